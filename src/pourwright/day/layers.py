"""Heat cells cut into layers: a lift cools through its top, so heat needs finer steps upwards than to the sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.heat import HeatGrid

FLAT = 0.7
"""Upward part of a normal from which a piece of skin lies over or under its cell, not beside it."""
LEAST_DEPTH = 0.1  # of the edge: what a layer next to its skin is from it at least


@dataclass(frozen=True, eq=False)
class LayeredGrid:
    """A heat grid whose cells are ``height_m`` tall and ``cell_m`` wide; fields as in `HeatGrid`."""

    origin_m: np.ndarray
    cell_m: float
    height_m: float
    pour: np.ndarray
    share: np.ndarray
    surface_cell: np.ndarray
    surface_area_m2: np.ndarray
    surface_depth_m: np.ndarray
    surface_opening: np.ndarray
    surface_beside: np.ndarray  # bool: beside its cell, not over or under it

    @property
    def shape(self) -> tuple[int, int, int]:
        """Cells along x, y, z, border included."""
        return self.pour.shape

    def centres(self, flat: np.ndarray) -> np.ndarray:
        """Centres (..., 3) in standing metres of cells given by flat index (...)."""
        index = np.stack(np.unravel_index(np.asarray(flat), self.shape), axis=-1)
        return self.origin_m + (index + 0.5) * np.array([self.cell_m, self.cell_m, self.height_m])


def layered(grid: HeatGrid, count: int, cut_level: np.ndarray, first: np.ndarray) -> LayeredGrid:
    """A grid with every cell cut into ``count`` layers, each given to the slab of its own height.

    Parameters
    ----------
    grid : HeatGrid
        Of the slabs; ``grid.factor`` fine cells along an edge, and levels are fine cells.
    count : int
    cut_level : ndarray (slabs,)
        Level at the bottom of each slab.
    first : ndarray (limbs + 1,)
        First slab of each limb.

    Returns
    -------
    LayeredGrid

    Notes
    -----
    What a limb fills along lies at other heights than its slab: it stays as it is. A layer holds its part of the
    cell's foam, and of the skin beside it; skin over or under a cell belongs to the layer next to it.
    """
    pour = np.repeat(grid.pour, count, axis=2)
    tall = grid.factor / count
    x, y, z = np.nonzero(pour >= 0)
    whole = pour[x, y, z].astype(np.int64)
    limb = np.searchsorted(first, whole, side="right") - 1
    bottom = (z // count - 1) * grid.factor  # level under the cell; one layer of border below
    middle = (z - count + 0.5) * tall
    end = np.append(cut_level[1:], np.iinfo(np.int64).max)
    end[first[1:] - 1] = np.iinfo(np.int64).max
    here = (cut_level[whole] < bottom + grid.factor) & (end[whole] > bottom)
    far = int(cut_level.max()) + grid.factor + 1
    of = np.searchsorted(cut_level + np.repeat(np.arange(len(first) - 1), np.diff(first)) * far, middle + limb * far)
    of = np.clip(of - 1, first[limb], first[limb + 1] - 1)
    pour[x, y, z] = np.where(here, of, whole)
    place, area, depth, opening, beside = _skins(grid, count)
    return LayeredGrid(
        grid.origin_m, grid.cell_m, grid.cell_m / count, pour, np.repeat(grid.share, count, axis=2), place, area,
        depth, opening, beside,
    )  # fmt: skip


def _skins(grid: HeatGrid, count: int) -> tuple[np.ndarray, ...]:
    """Cell, area, depth and opening of the pieces of skin, and whether each lies beside its cell.

    A thing inside takes no heat here, the careful side.
    """
    x, y, z = np.unravel_index(grid.surface_cell, grid.shape)
    up = (grid.surface_point_m - grid.centres(grid.surface_cell))[:, 2] / grid.surface_depth_m
    part = np.arange(count)
    flat = np.abs(up) > FLAT
    only = np.where(up > 0, count - 1, 0)
    takes = np.where(flat[:, None], part == only[:, None], True) & (grid.surface_iron < 0)[:, None]
    row, layer = np.nonzero(takes)
    tall = (grid.shape[0], grid.shape[1], grid.shape[2] * count)
    place = np.ravel_multi_index((x[row], y[row], z[row] * count + layer), tall)
    area = grid.surface_area_m2[row] / np.where(flat[row], 1, count)
    nearer = 0.5 * (1 - 1 / count) * grid.cell_m * np.abs(up)
    depth = np.where(flat, np.maximum(grid.surface_depth_m - nearer, LEAST_DEPTH * grid.cell_m), grid.surface_depth_m)
    return place, area, depth[row], grid.surface_opening[row], ~flat[row]
