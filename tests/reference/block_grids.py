"""A plain block of foam as a heat grid: slabs, bars and stacks to try the computation on."""

from __future__ import annotations

import numpy as np

from pourwright.errors import UsageError
from pourwright.heat._blocks import NOTHING
from pourwright.heat.grid import HeatGrid

_FACES = {"x-": (0, 0), "x+": (0, -1), "y-": (1, 0), "y+": (1, -1), "z-": (2, 0), "z+": (2, -1)}


def block_grid(pour: np.ndarray, cell_m: float, *, skin: tuple[str, ...] = (), air: tuple[str, ...] = ()) -> HeatGrid:
    """A block of full cells whose named faces carry skin or lie open to the shop; the others pass no heat.

    Parameters
    ----------
    pour : array (nx, ny, nz) int
        Pour that fills each cell.
    cell_m : float
        Edge of a cell [m].
    skin, air : tuple of str
        Faces, from ``x-``, ``x+``, ``y-``, ``y+``, ``z-``, ``z+``. No cell may have two of them.

    Returns
    -------
    HeatGrid
        With the block's low corner at the origin.

    Raises
    ------
    UsageError
        For an unknown face, or two faces on one cell.

    Examples
    --------
    A slab 40 mm thick, open to the air above and below:

    >>> slab = block_grid(np.zeros((1, 1, 8), int), 0.005, air=("z-", "z+"))
    >>> slab.cells, slab.surface_cell.size
    (8, 2)
    """
    padded = np.pad(np.asarray(pour).astype(np.int16), 1, constant_values=NOTHING)
    cells, points, openings = [np.zeros(0, np.int64)], [np.zeros((0, 3))], [np.zeros(0, np.int16)]
    for name in (*skin, *air):
        if name not in _FACES:
            raise UsageError(f"face {name!r} of a block: allowed are {', '.join(_FACES)}")
        axis, end = _FACES[name]
        index = [np.arange(1, n + 1) for n in np.shape(pour)]
        index[axis] = index[axis][[end]]
        where = np.stack(np.meshgrid(*index, indexing="ij"), -1).reshape(-1, 3)
        out = np.zeros(3)
        out[axis] = 0.5 if end else -0.5
        cells.append(np.ravel_multi_index(tuple(where.T), padded.shape))
        points.append((where - 0.5 + out) * cell_m)
        openings.append(np.full(len(where), 0 if name in air else -1, np.int16))
    flat = np.concatenate(cells)
    if len(np.unique(flat)) != len(flat):
        raise UsageError("a cell of a block can have one cooled face only: use two cells or more across")
    return HeatGrid(
        origin_m=np.full(3, -float(cell_m)),
        cell_m=float(cell_m),
        factor=1,
        pour=padded,
        share=(padded != NOTHING).astype(np.float32),
        surface_cell=flat,
        surface_area_m2=np.full(len(flat), cell_m**2),
        surface_depth_m=np.full(len(flat), 0.5 * cell_m),
        surface_point_m=np.concatenate(points),
        surface_opening=np.concatenate(openings),
        surface_iron=np.full(len(flat), -1, np.int16),
        dropped_share=0.0,
    ).freeze()
