"""The grid heat is computed on: the cavity's cells, coarsened by rule, with their piece of skin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

import numpy as np
from scipy.special import ndtri
from shapely import Polygon, contains_xy

from pourwright.errors import UsageError
from pourwright.heat._blocks import AIR, NOTHING, pool_blocks, settle_thin, surface_of
from pourwright.irons import Iron

TARGET_CELLS = 1_000_000
_DENSE_BYTES, _CELL_BYTES = 16, 160  # measured: bytes a cell of the box and a cell with foam, at the peak
# Smoothed over 3 cells a side, a plane's filled share is close to a normal distribution function of the distance to
# it, whichever way it faces: variance 1/12 (cell) + 1/2 (weights 1, 2, 1) in cells squared.
_SMOOTH_SPREAD = (1 / 12 + 1 / 2) ** 0.5
_DEPTH_LEAST, _DEPTH_MOST = 0.2, 1.3  # in cells; beyond, the estimate is worth nothing
_OF_IRON = 0.25  # in cells; the middle of an empty cell that is a thing inside lies no farther from its surface
_DEPTH_DOUBT = -0.05  # in cells; a plane through a cell half full or more cannot be farther inside


Beside: TypeAlias = tuple[tuple[np.ndarray, ...], tuple[Iron, ...]]
"""Rims of openings and things inside, by which surfaces are told apart."""


@dataclass(frozen=True, eq=False)
class HeatGrid:
    """Cubic heat cells in standing coordinates, one empty cell of border all round. Arrays read-only.

    ``pour`` (nx, ny, nz) int16: the pour that fills the cell, ``NOTHING`` (-1) outside the cavity, ``AIR`` (-2) where
    the cavity is never poured. ``share`` float32: the foam it stands for in cells (1 inside; at the skin what is in
    it and what thinner neighbours gave it; shares sum to the foam's volume but for ``dropped_share``). The surfaces
    are the pieces of skin (or opening), one a cell that has any.
    """

    origin_m: np.ndarray  # (3,) low corner of cell (0, 0, 0)
    cell_m: float
    factor: int  # fine cells along its edge
    pour: np.ndarray
    share: np.ndarray
    surface_cell: np.ndarray  # (m,) int64, flat index of its cell
    surface_area_m2: np.ndarray  # (m,)
    surface_depth_m: np.ndarray  # (m,) from the cell's centre to the surface
    surface_point_m: np.ndarray  # (m, 3) standing
    surface_opening: np.ndarray  # (m,) int16, -1 skin, else the opening it lies in
    surface_iron: np.ndarray  # (m,) int16, -1 skin, else the thing inside that it is the surface of
    dropped_share: float  # of the foam, in slivers too thin for these cells

    @property
    def shape(self) -> tuple[int, int, int]:
        """Cells along x, y, z, border included."""
        return self.pour.shape

    @property
    def cells(self) -> int:
        """Cells that get foam."""
        return int(np.count_nonzero(self.pour >= 0))

    def centres(self, flat: np.ndarray) -> np.ndarray:
        """Centres (..., 3) in standing metres of cells given by flat index (...)."""
        index = np.stack(np.unravel_index(np.asarray(flat), self.shape), axis=-1)
        return self.origin_m + (index + 0.5) * self.cell_m

    def freeze(self) -> HeatGrid:
        """The same, with its arrays set read-only."""
        for array in vars(self).values():
            if isinstance(array, np.ndarray):
                array.setflags(write=False)
        return self


def coarsening(shape: tuple[int, int, int], filled_cells: float, target: int, memory_bytes: int) -> int:
    """Fine cells along the edge of a heat cell: the least that keeps near ``target`` cells and within the memory.

    A quarter more cells than asked for are let pass, because the next step leaves but an eighth of them.

    >>> coarsening((400, 400, 800), 4.9e7, 1_000_000, 1_000_000_000)
    4
    """
    for factor in range(1, 1 + max(shape)):
        dense = float(np.prod([n / factor + 2 for n in shape]))
        cells = filled_cells / factor**3
        if cells <= 1.25 * target and dense * _DENSE_BYTES + cells * _CELL_BYTES <= memory_bytes:
            return factor
    return max(shape)


class FineCells(NamedTuple):
    """The cavity's own cells, with the pour of each of their nodes.

    ``fraction`` (nx, ny, nz) uint8: filled share of each cell, 255 full. ``label`` (nx, ny, nz) int: node index + 1, 0
    outside. ``node_pour`` (nodes,) int: pour that fills each node, negative where it is never poured. ``origin_m``
    (3,): low corner of the grid, standing. ``cell_m``: edge of a cell.
    """

    fraction: np.ndarray
    label: np.ndarray
    node_pour: np.ndarray
    origin_m: np.ndarray
    cell_m: float


def heat_grid(
    fine: FineCells,
    *,
    openings: tuple[np.ndarray, ...] = (),
    irons: tuple[Iron, ...] = (),
    target_cells: int = TARGET_CELLS,
    memory_bytes: int = 900_000_000,
    factor: int | None = None,
) -> HeatGrid:
    """Heat cells of a cavity whose nodes are given to pours.

    Parameters
    ----------
    fine : FineCells
    openings : tuple of arrays (k, 3)
        Rims of the openings, flat loops in standing metres: their surface is air, not skin.
    irons : tuple of Iron
        What stands inside: the surface of cells that lie against nothing else is the iron's, not skin.
    target_cells, memory_bytes : int
        The fine cells are joined in blocks of 2, 3, ... a side until both are kept.
    factor : int, optional
        Fixes the block instead.

    Returns
    -------
    HeatGrid

    Raises
    ------
    UsageError
        If the arrays do not fit each other or no cell gets foam.

    Notes
    -----
    The surface lies inside cells. Each piece gets the shadow of its staircase faces on the plane of the smoothed
    normal (exact in sum for a plane), and its distance from the cell's centre from the smoothed shares, so that
    neither the skin's heat nor its cooling is counted up to 1.7 times too large. Along a sharp edge about 0.6 of a
    cell's width of area is lost, the careful side for the core. Two limbs closer than a heat cell
    run together. The error of the cell size is measured by running `HeatGrid` at twice the cell (see `halved`).
    """
    fraction, label, node_pour, origin_m, cell_m = fine
    if fraction.shape != label.shape or fraction.ndim != 3:
        raise UsageError(f"shares {fraction.shape} and labels {label.shape} must be boxes of the same size")
    filled = float(fraction.sum(dtype=np.int64)) / 255
    if factor is None:
        factor = coarsening(fraction.shape, filled, target_cells, memory_bytes)
    return _joined(
        fraction, 255.0, label, node_pour, np.asarray(origin_m, float), float(cell_m), factor, (openings, irons)
    )


def halved(grid: HeatGrid, openings: tuple[np.ndarray, ...] = (), irons: tuple[Iron, ...] = ()) -> HeatGrid:
    """The same foam on cells twice as large: run it to see what the cell size does to the answer.

    What differs between the two runs bounds the error of the finer: for an error of order one it is as large as the
    difference, of order two a third of it.
    """
    inner = grid.pour[1:-1, 1:-1, 1:-1].astype(np.int32)
    pours = int(inner.max()) + 1
    label = np.where(inner >= 0, inner + 1, np.where(inner == AIR, pours + 1, 0)).astype(np.int32)
    out = _joined(
        grid.share[1:-1, 1:-1, 1:-1], 1.0, label, np.append(np.arange(pours), -1), grid.origin_m + grid.cell_m,
        grid.cell_m, 2, (openings, irons),
    )  # fmt: skip
    return replace(out, factor=2 * grid.factor)


def _joined(
    fraction: np.ndarray,
    full: float,
    label: np.ndarray,
    node_pour: np.ndarray,
    origin: np.ndarray,
    cell: float,
    factor: int,
    beside: Beside,
) -> HeatGrid:
    blocks = tuple(-(-n // factor) for n in fraction.shape)
    share = np.zeros([n + 2 for n in blocks], np.float32)
    pour = np.full(share.shape, NOTHING, np.int16)
    pool_blocks(fraction, full, label, np.asarray(node_pour, np.int16), factor, 0, blocks[0], share, pour)
    size = cell * factor
    return _finish(share, pour, origin - size, size, factor, beside)


def _smoothed(values: np.ndarray, axis: int) -> np.ndarray:
    """A quarter of each neighbour along an axis and half of its own; nothing beyond the ends.

    As scipy's ``convolve1d`` does, which takes longer to load than this.
    """
    out = np.empty_like(values)
    along, into = np.moveaxis(values, axis, 0), np.moveaxis(out, axis, 0)
    empty = np.zeros(along.shape[1:])
    for i in range(len(along)):  # plane by plane: a copy of all of it in full precision would be large
        before, after = along[i - 1] if i else empty, along[i + 1] if i + 1 < len(along) else empty
        into[i] = 0.5 * along[i].astype(float) + 0.25 * (before.astype(float) + after)
    return out


def _finish(
    share: np.ndarray,
    pour: np.ndarray,
    origin: np.ndarray,
    cell: float,
    factor: int,
    beside: Beside,
) -> HeatGrid:
    foam = float(share[pour >= 0].sum(dtype=float))
    # The surface is that of the whole cavity: smoothed before thin cells are moved about.
    smooth = np.minimum(share, 1)
    for axis in range(3):
        smooth = _smoothed(smooth, axis)
    keep = (share >= 0.5) & (pour != NOTHING)
    added = np.zeros_like(share)
    dropped = settle_thin(share, pour, keep, added)
    share = np.where(keep, share + added, 0).astype(np.float32)
    pour = np.where(keep, pour, NOTHING).astype(np.int16)
    if not np.any(pour >= 0):
        raise UsageError("no cell of the cavity is given to a pour: check which nodes each pour fills")
    cells = _with_bare_faces(pour)
    faces = np.empty(len(cells))
    normal = np.empty((len(cells), 3))
    smoothed = np.empty(len(cells))
    thin = np.empty(len(cells), np.int64)
    surface_of(cells, pour, smooth, faces, normal, smoothed, thin)
    area = faces * cell**2
    depth = cell * _depth(smoothed, share.ravel()[cells].astype(float), faces, thin)
    centres = origin + (np.stack(np.unravel_index(cells, pour.shape), axis=-1) + 0.5) * cell
    points = centres + depth[:, None] * normal
    return HeatGrid(
        origin_m=origin,
        cell_m=cell,
        factor=factor,
        pour=pour,
        share=share,
        surface_cell=cells,
        surface_area_m2=area,
        surface_depth_m=depth,
        surface_point_m=points,
        surface_opening=_in_openings(points, normal, beside[0], cell),
        surface_iron=_on_irons(cells, pour, origin, cell, beside[1]),
        dropped_share=float(dropped / foam) if foam > 0 else 0.0,
    ).freeze()


def _depth(smoothed: np.ndarray, share: np.ndarray, faces: np.ndarray, thin: np.ndarray) -> np.ndarray:
    """Distance of a cell's centre to the surface, in cells.

    From the smoothed share, which sees a plane's distance whichever way it faces. Where that puts the middle of a cell
    more than half full outside, it is a tip, not a plane: there the foam the cell stands for beyond its middle, over
    its area. Between two opposite walls, half of the width that the share leaves.
    """
    plane = _SMOOTH_SPREAD * ndtri(np.clip(smoothed, 1e-6, 1 - 1e-6))
    beyond = (share - 0.5) / np.maximum(faces, 0.25)
    one_side = np.where(plane < _DEPTH_DOUBT, beyond, plane)
    between = 0.5 * share ** (1 / np.maximum(thin, 1))
    return np.clip(np.where(thin > 0, between, one_side), _DEPTH_LEAST, _DEPTH_MOST)


def _with_bare_faces(pour: np.ndarray) -> np.ndarray:
    """Flat indices of cells with foam that have a face to nothing."""
    nothing = pour == NOTHING
    bare = np.zeros(pour.shape, bool)
    inner = (slice(1, -1),) * 3
    for axis in range(3):
        for step in (-1, 1):
            moved = [slice(1, -1)] * 3
            moved[axis] = slice(1 + step, pour.shape[axis] - 1 + step)
            bare[inner] |= nothing[tuple(moved)]
    return np.flatnonzero(bare & (pour >= 0))


def _on_irons(
    cells: np.ndarray, pour: np.ndarray, origin: np.ndarray, cell: float, irons: tuple[Iron, ...]
) -> np.ndarray:
    """Index of the thing inside that each cell (m,) with a bare face lies against, -1 where any face is skin."""
    found = np.full(len(cells), -1, np.int16)
    if not irons:
        return found
    index = np.stack(np.unravel_index(cells, pour.shape), axis=-1)
    skin = np.zeros(len(cells), bool)
    for step in np.concatenate([np.eye(3, dtype=np.int64), -np.eye(3, dtype=np.int64)]):
        beside = index + step
        bare = pour[tuple(beside.T)] == NOTHING
        away = np.stack([iron.away_m(origin + (beside + 0.5) * cell) for iron in irons])
        nearest = away.argmin(axis=0)
        iron = bare & (away.min(axis=0) <= _OF_IRON * cell)
        found[iron] = nearest[iron]
        skin |= bare & ~iron
    found[skin] = -1
    return found


def _in_openings(points: np.ndarray, normal: np.ndarray, openings: tuple[np.ndarray, ...], cell: float) -> np.ndarray:
    """Index of the opening each surface point lies in, -1 for skin."""
    found = np.full(len(points), -1, np.int16)
    for number, rim in enumerate(openings):
        loop = np.asarray(rim, float)
        middle = loop.mean(axis=0)
        around = np.cross(loop - middle, np.roll(loop, -1, axis=0) - middle).sum(axis=0)
        axis = around / np.linalg.norm(around)
        u = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
        u = u / np.linalg.norm(u)
        v = np.cross(axis, u)
        flat = Polygon(np.column_stack([(loop - middle) @ u, (loop - middle) @ v]))
        off = points - middle
        near = (np.abs(off @ axis) < 1.5 * cell) & (np.abs(normal @ axis) > 0.7)
        near[near] = contains_xy(flat, off[near] @ u, off[near] @ v)
        found[near] = number
    return found
