from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from pourwright.cavity import LevelGraph


def _graph(level, area, edges, dz=0.005, dh=None, width=None, overlap=None) -> LevelGraph:
    """A level graph from its nodes (level, area) and edges (lower, upper); round sections unless told otherwise."""
    level, area = np.asarray(level, np.int32), np.asarray(area, float)
    dh = 2 * np.sqrt(area / np.pi) if dh is None else np.broadcast_to(np.asarray(dh, float), area.shape)
    width = dh if width is None else np.broadcast_to(np.asarray(width, float), area.shape)
    lower, upper = (np.array([e[k] for e in edges], np.int32) for k in (0, 1))
    contact = np.minimum(area[lower], area[upper]) if overlap is None else np.asarray(overlap, float)
    return LevelGraph(
        level_m=np.arange(int(level.max()) + 2) * dz,
        node_level=level,
        node_volume_m3=area * dz,
        node_area_m2=area,
        node_centroid_m=np.column_stack([np.arange(len(area)) * 0.0, np.zeros(len(area)), (level + 0.5) * dz]),
        node_perimeter_m=4 * area / dh,
        node_hydraulic_diameter_m=dh,
        node_width_m=width,
        edge_lower=lower,
        edge_upper=upper,
        edge_overlap_m2=contact,
        label=np.zeros((1, 1, 1), np.int32),
        pools=(),
        pockets=(),
        ripple_m=0.0,
    )


@pytest.fixture(scope="session")
def graph() -> Callable[..., LevelGraph]:
    return _graph


@pytest.fixture(scope="session")
def tower() -> Callable[..., LevelGraph]:
    """A single column from the areas of its levels."""

    def make(area, **changes):
        n = len(area)
        return _graph(np.arange(n), area, [(i, i + 1) for i in range(n - 1)], **changes)

    return make
