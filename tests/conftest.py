"""Hand-made cavities: a mask of cells is all a level graph needs."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import Cavity, Grid, build_levels, pour_frame


def _cavity(mask, cell):
    mask = np.asarray(mask, bool)
    size = np.array(mask.shape) * cell
    frame = pour_frame(np.array([[0.0, 0, 0], size]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    volume = float(mask.sum()) * cell**3
    return Cavity(
        grid=Grid(np.zeros(3), cell, mask.shape),
        frame=frame,
        fraction=(mask * 255).astype(np.uint8),
        volume_m3=volume,
        volume_low_m3=volume,
        volume_high_m3=volume,
        crumbs=0,
        crumbs_m3=0.0,
        crumb_limit_m3=0.0,
        method="by hand",
    )


@pytest.fixture(scope="session")
def cells():
    """``cells(mask, cell, ripple)`` -> cavity and level graph of a boolean mask (nx, ny, nz)."""

    def make(mask, cell=0.01, ripple=None):
        cavity = _cavity(mask, cell)
        return cavity, build_levels(cavity, ripple_m=ripple)

    return make


def _mask(shape, *boxes):
    out = np.zeros(shape, bool)
    for x0, x1, y0, y1, z0, z1 in boxes:
        out[x0:x1, y0:y1, z0:z1] = True
    return out


@pytest.fixture(scope="session")
def shapes():
    """Masks by name, cells of any size: what the planner has to understand."""
    return {
        "column": _mask((10, 10, 40), (0, 10, 0, 10, 0, 40)),
        # two legs, joined from level 30 on
        "legs": _mask((30, 10, 60), (0, 8, 0, 10, 0, 30), (20, 30, 0, 10, 0, 30), (0, 30, 0, 10, 30, 60)),
        # a tip that begins at level 20 beside the trunk and joins it at level 40
        "horn": _mask((30, 10, 60), (0, 12, 0, 10, 0, 60), (20, 26, 0, 10, 20, 40), (0, 26, 0, 10, 40, 50)),
        "hourglass": _mask((20, 20, 60), (0, 20, 0, 20, 0, 25), (8, 12, 8, 12, 25, 35), (0, 20, 0, 20, 35, 60)),
        # two uprights and a bar between them at mid height
        "h": _mask((40, 10, 60), (0, 10, 0, 10, 0, 60), (30, 40, 0, 10, 0, 60), (0, 40, 0, 10, 25, 35)),
        "arch": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 40, 50)),
        "u": _mask((40, 10, 50), (0, 10, 0, 10, 0, 50), (30, 40, 0, 10, 0, 50), (0, 40, 0, 10, 0, 10)),
    }
