"""The grid of cells: how fine, and whether it fits in memory."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity.chambers import CELLS_BETWEEN, stray_m3, thinnest_between
from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Grid
from pourwright.errors import CavityError
from pourwright.shell import Skin

BYTES_PER_CELL = 7  # share 1, labels 4, work: measured 5 to 6 on grids of 10 to 500 million cells
BYTES_PER_TRIANGLE = 280  # corners, their sorted copy, boxes: measured 250 on a mesh of 5 million
BYTES_PER_DIRTY_TRIANGLE = 650  # a second tree, area vectors, patches
DEFAULT_CELLS = 12_000_000  # what a plan takes when it is free to choose: about a second of work
CELLS_ALONG = 128  # at least so many along the longest side, however thick the wall
WALL_CELLS = 2.0  # cells in the thinnest wall, where the two rules above leave it free


def grid_shape(size_m: np.ndarray, cell_m: float) -> tuple[int, int, int]:
    """Cells that hold a piece of ``size_m`` (3,) metres: one spare at each side, none below the base or above."""
    n = np.maximum(1, np.ceil(np.asarray(size_m, float) / cell_m - 1e-9)).astype(int)
    return int(n[0]) + 2, int(n[1]) + 2, int(n[2])


def _coarsest(size_m: np.ndarray, cells: float) -> float:
    """Smallest cell [m], within 0.1 %, with which no more than ``cells`` cells are needed."""
    low, high = 0.0, float(np.max(size_m))
    while high - low > 1e-3 * high:
        middle = 0.5 * (low + high)
        if math.prod(grid_shape(size_m, middle)) > cells:
            low = middle
        else:
            high = middle
    return high


def _mesh_bytes(skin: Skin) -> int:
    return len(skin.faces) * (BYTES_PER_TRIANGLE if skin.clean else BYTES_PER_DIRTY_TRIANGLE)


def choose_cell(skin: Skin, frame: PourFrame, memory_bytes: int) -> float:
    """Cell size [m] for a skin in a pour frame, within ``memory_bytes``.

    Half of the thinnest wall (between chambers too), at least 128 cells along the longest side, and then as much
    coarser as 12 million cells or the memory ask. Shares are computed from distances to the surface, so a wall thinner
    than a cell is measured too.
    """
    size = frame.size_m
    cell = float(size.max()) / (2 * CELLS_ALONG)
    if skin.bands:
        thinnest = min(skin.walls_m)
        cell = min(thinnest / WALL_CELLS, float(size.max()) / CELLS_ALONG)
    cell = min(cell, thinnest_between(skin, stray_m3(skin, cell)) / CELLS_BETWEEN)
    spare = memory_bytes - _mesh_bytes(skin)
    cells = min(DEFAULT_CELLS, max(1, spare // BYTES_PER_CELL))
    return max(cell, _coarsest(size, cells))


def make_grid(skin: Skin, frame: PourFrame, cell_m: float | None, memory_bytes: int) -> Grid:
    """The grid for a skin, centred on it from left to right and front to back, its lowest level on the base.

    Raises
    ------
    CavityError
        If ``cell_m`` is not positive and finite or its grid does not fit in ``memory_bytes``.
    """
    size = np.asarray(frame.size_m, float)
    if cell_m is None:
        cell_m = choose_cell(skin, frame, memory_bytes)
    if not (math.isfinite(cell_m) and cell_m > 0):
        raise CavityError(f"The cell size is {cell_m} m: give a length above zero, or none to have it chosen.")
    if cell_m >= float(size.max()):
        raise CavityError(
            f"A cell of {cell_m * 1e3:.4g} mm is larger than the piece ({size.max() * 1e3:.4g} mm): give a smaller one."
        )
    shape = grid_shape(size, cell_m)
    mesh_bytes = _mesh_bytes(skin)
    need = math.prod(shape) * BYTES_PER_CELL + mesh_bytes
    if need > memory_bytes:
        spare = memory_bytes - mesh_bytes
        fits = (
            f"a cell of {_coarsest(size, spare / BYTES_PER_CELL) * 1e3:.3g} mm would fit"
            if spare > 7e4
            else ("no cell size fits")
        )
        raise CavityError(
            f"Cells of {cell_m * 1e3:.4g} mm make a grid of {math.prod(shape) / 1e6:.4g} million, which needs "
            f"{need / 1e6:.0f} MB with the mesh, and {memory_bytes / 1e6:.0f} MB are allowed: {fits}; "
            "give that or more memory."
        )
    origin = np.array([0.5 * (size[0] - shape[0] * cell_m), 0.5 * (size[1] - shape[1] * cell_m), 0.0])
    origin.setflags(write=False)
    return Grid(origin, float(cell_m), shape)
