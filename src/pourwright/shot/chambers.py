"""Chambers: pieces of the cavity that are not connected, each filled for itself."""

from __future__ import annotations

from dataclasses import dataclass

import edt
import numpy as np

from pourwright.cavity import Cavity, LevelGraph, apart_of


@dataclass(frozen=True, eq=False)
class Chambers:
    """``of_node`` (n,) chamber of each node of the level graph, numbered from 0, largest first. Read-only."""

    of_node: np.ndarray
    volume_m3: np.ndarray  # (chambers,)
    widest_m: np.ndarray  # (chambers,) diameter of the largest ball in it
    thickness_m: np.ndarray  # (chambers,) twice the volume over the area of the wall round it: the gap of a flat one

    @property
    def count(self) -> int:
        """Number of chambers."""
        return len(self.volume_m3)


def chambers_of(cavity: Cavity, graph: LevelGraph) -> Chambers:
    """The chambers of a cavity."""
    apart, cell = apart_of(graph), cavity.grid.cell_m
    piece, count = apart.of_node, apart.count
    # Side walls from the outlines; floors and ceilings from what each section does not share with its neighbours.
    area = np.bincount(piece, graph.node_perimeter_m * cell + 2 * graph.node_area_m2, count)
    shared = np.bincount(piece[graph.edge_lower], graph.edge_overlap_m2, count)
    area = np.maximum(area - 2 * shared, 1e-12)
    away = edt.edt(np.ascontiguousarray(cavity.fraction >= 128), black_border=True) * cell
    label = np.concatenate([[-1], piece])[graph.label]
    widest = np.array([2 * float(away[label == chamber].max()) for chamber in range(count)])
    thickness = 2 * apart.volume_m3 / area
    for array in (widest, thickness):
        array.setflags(write=False)
    return Chambers(piece, apart.volume_m3, widest, thickness)
