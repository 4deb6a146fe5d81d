"""How liquid gets from a hole down to a pour: by a straight fall that clears the wall, else by a tube or a hose."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

import edt
import numpy as np

from pourwright.access import judged
from pourwright.access.past_walls import FARTHEST_M
from pourwright.access.set_in import Before, off_things_m
from pourwright.cavity import Cavity, Grid, LevelGraph
from pourwright.compiled import njit
from pourwright.irons import Iron, upright_m

STRAIGHT, TUBE, HOSE, NONE = 0, 1, 2, 3
"""Ways down, the simplest first: a fall, a stiff tube that hangs free, a hose led down by its own bend, none."""


@dataclass(frozen=True, eq=False)
class Falls:
    """Ways down of candidates (rows) in every lift (columns); read-only.

    ``fall_m`` height of fall, ``clear_m`` least distance from the wall on the way, ``width_m`` narrowest place on the
    way, ``way`` one of `STRAIGHT` to `NONE`; nan and `NONE` where nothing is served. ``deep_m`` is how far the floor of
    the pour lies under the place where the liquid lands, where that is too far to run down a wall, else 0: a hose has
    to be led down there, and fall and width are those of all its way. ``ends_m`` (rows, columns, 2) are the heights
    between which the distance counts; ``over`` where the stream would come to what is set in before, an anchor, no
    farther than it must keep from anything.
    """

    fall_m: np.ndarray
    clear_m: np.ndarray
    width_m: np.ndarray
    way: np.ndarray
    deep_m: np.ndarray
    ends_m: np.ndarray
    over: np.ndarray

    @property
    def easy(self) -> np.ndarray:
        """Whether the way down is a straight fall, or a tube or hose that is not too long to be handled."""
        led = (self.way < NONE) & (np.nan_to_num(self.fall_m, nan=np.inf) <= judged.LONG_TUBE.value)
        return np.asarray((self.way == STRAIGHT) | led)


TUBE_BORES = (0.016, 0.020, 0.025, 0.032, 0.040)
"""Bores of tube and hose that a shop has [m]: common practice, no source."""


def clearance_due(fall_m: Any) -> Any:
    """Distance from the wall [m], float or array, that a straight fall must keep.

    >>> float(clearance_due(0.4)), float(clearance_due(1.0))
    (0.0, 0.035)
    """
    far = judged.FALL_CLEAR.value + judged.FALL_SPREAD.value * np.asarray(fall_m, float)
    return np.where(np.asarray(fall_m) > judged.FREE_FALL.value, far, 0.0)[()]


@njit(cache=True, nogil=True)
def _clearance(label, x, y, low, high, dx, dy, away, out):  # type: ignore[no-untyped-def]
    """Least distance [cells] of columns from the wall, level by level in plan; rings ``dx, dy`` grow with ``away``."""
    nx, ny, _ = label.shape
    for k in range(len(x)):
        best = away[-1]
        for z in range(low[k], high[k]):
            for j in range(len(dx)):
                if away[j] >= best:
                    break
                ix, iy = x[k] + dx[j], y[k] + dy[j]
                if ix < 0 or iy < 0 or ix >= nx or iy >= ny or label[ix, iy, z] == 0:
                    best = away[j]
                    break
        out[k] = best


@njit(cache=True, nogil=True)
def _narrowest(label, width, x, y, low, high, out):  # type: ignore[no-untyped-def]
    """Narrowest node that each column passes [m]."""
    for k in range(len(x)):
        for z in range(low[k], high[k]):
            node = label[x[k], y[k], z] - 1
            if node >= 0:
                out[k] = min(out[k], width[node])


@dataclass(frozen=True, eq=False)
class Aims:
    """Candidates (rows) whose way down is looked for.

    ``xy`` (m, 2) int, column of each; ``level``, ``serves`` (m, lifts) int, level it lands on and pour it serves, below
    0 for none; ``exit_standing_m`` (m, 3) where the column leaves the piece; ``low_m``, ``hole_m`` (m,) lowest edge of
    its hole above the base, and the hole's diameter, 0 for an opening.
    """

    xy: np.ndarray
    level: np.ndarray
    serves: np.ndarray
    exit_standing_m: np.ndarray
    low_m: np.ndarray
    hole_m: np.ndarray


def falls(cavity: Cavity, graph: LevelGraph, aims: Aims, floors: Floors, before: Before) -> Falls:
    """The way down of every candidate in every lift that it serves.

    Notes
    -----
    The distance from the wall is that in plan, to a cell, from one hole's width below the hole's edge down to the
    clearance due above the place where the liquid lands. Higher up the spout of the funnel stands in the hole and the
    stream has not spread. Lower down the pool narrows to its floor: what strikes the wall there runs down no farther
    than the clearance into the same pool, and this pour's own foam covers what sticks (our judgement). Things inside
    count as wall, and so does what is set in ``before`` a lift from that lift on.
    """
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])
    xy, level, serves, low_m, hole_m = aims.xy, aims.level, aims.serves, aims.low_m, aims.hole_m
    fall = np.where(serves >= 0, aims.exit_standing_m[:, 2, None] - (base + level * cell), np.nan)
    rows, lifts = np.nonzero(serves >= 0)
    due = clearance_due(fall[rows, lifts])
    low = level[rows, lifts] + np.ceil(np.maximum(due, judged.FALL_CLEAR.value) / cell).astype(np.int64)
    high = np.floor((low_m[rows] - hole_m[rows] - base) / cell).astype(np.int64)
    middle = (level[rows, lifts] + np.floor((low_m[rows] - base) / cell).astype(np.int64)) // 2
    short = high <= low
    low, high = np.where(short, middle, low), np.where(short, middle + 1, high)
    low, high = np.clip(low, 0, graph.levels - 1), np.clip(high, 1, graph.levels)
    reach = max(2, math.ceil(FARTHEST_M / cell))
    dx, dy = (part.ravel() for part in np.meshgrid(*(2 * [np.arange(-reach, reach + 1)]), indexing="ij"))
    away = np.hypot(dx, dy)
    order = np.lexsort((dy, dx, away))
    order = order[away[order] <= reach]
    x, y = (np.ascontiguousarray(xy[rows, k]).astype(np.int64) for k in range(2))
    near, narrow = np.zeros(len(rows)), np.full(len(rows), np.inf)
    _clearance(graph.label, x, y, low, high, dx[order], dy[order], away[order], near)
    _narrowest(graph.label, beside_irons_m(cavity, graph), x, y, low, high, narrow)
    at_m = cavity.grid.origin_m[:2] + (np.column_stack([x, y]) + 0.5) * cell
    ends = (base + low * cell, base + high * cell)
    past = upright_m(cavity.irons, at_m, *ends, 0.5 * cell, FARTHEST_M + cell) / cell
    near = np.minimum(near, past + 0.5)  # of a thing inside the distance is that of its surface, not of a cell
    over = np.zeros(fall.shape, bool)
    for lift in np.unique(lifts).tolist() if before.irons else ():
        mine = lifts == lift
        off = off_things_m(before.at(lift), at_m[mine], ends[0][mine], ends[1][mine])
        over[rows[mine], lift] = off < judged.FALL_CLEAR.value
        near[mine] = np.minimum(near[mine], off / cell + 0.5)
    clear, width = np.full(fall.shape, np.nan), np.full(fall.shape, np.nan)
    spans = np.full((*fall.shape, 2), np.nan)
    exact = base + level[rows, lifts] * cell + np.maximum(due, judged.FALL_CLEAR.value)
    spans[rows, lifts] = np.column_stack([np.where(short, ends[0], exact), ends[1]])
    clear[rows, lifts], width[rows, lifts] = np.maximum(near - 0.5, 0.0) * cell, narrow
    way = np.full(fall.shape, NONE, np.int8)
    for row, lift in zip(rows.tolist(), lifts.tolist(), strict=True):
        way[row, lift] = way_down(fall[row, lift], clear[row, lift], width[row, lift], hole_m[row])
    struck = past * cell < 0.5 * judged.FALL_CLEAR.value  # however short the fall
    for row, lift in zip(rows[struck].tolist(), lifts[struck].tolist(), strict=True):
        if way[row, lift] == STRAIGHT:
            way[row, lift] = _led(width[row, lift], hole_m[row])
    deep = np.zeros(fall.shape)
    for row, lift in zip(rows.tolist(), lifts.tolist(), strict=True):
        at = int(level[row, lift])
        node = int(graph.label[xy[row, 0], xy[row, 1], at]) - 1
        under, narrow_m = floors.under(int(serves[row, lift]), node, at, cell)
        if under > judged.FREE_FALL.value:
            deep[row, lift], fall[row, lift] = under, fall[row, lift] + under
            width[row, lift] = min(width[row, lift], narrow_m)
            clear[row, lift] = 0.0
            way[row, lift] = _led(width[row, lift], hole_m[row])
    for array in (fall, clear, width, way, deep, spans, over):
        array.setflags(write=False)
    return Falls(fall, clear, width, way, deep, spans, over)


@dataclass(frozen=True, eq=False)
class Floors:
    """The pours over all lifts: level of the lowest floor of each, and what a hose can pass down to it.

    ``way_m``: for the nodes of a pour the narrowest place [m] under each on the widest way that leads down, level by
    level, to `TUBE_ENDS` over the lowest floor; inf where the hose ends already, 0 where no way leads down there.
    """

    bottom: tuple[int, ...]
    way_m: tuple[Mapping[int, float], ...]

    def under(self, pour: int, node: int, level: int, cell_m: float) -> tuple[float, float]:
        """How far a pour goes down under a level [m], and the narrowest place on the way there from a node."""
        return (level - self.bottom[pour]) * cell_m, self.way_m[pour].get(node, 0.0)


def floors_of(graph: LevelGraph, pours: Iterable[np.ndarray], width_m: np.ndarray) -> Floors:
    """`Floors` of pours given by their nodes; ``width_m`` (nodes,) is what is free for a hose."""
    cell = float(graph.level_m[1] - graph.level_m[0])
    order = np.argsort(graph.node_level[graph.edge_upper], kind="stable")
    lower, upper = graph.edge_lower[order], graph.edge_upper[order]
    bottom, ways = [], []
    for nodes in pours:
        low = int(graph.node_level[nodes].min())
        ends = low + round(judged.TUBE_ENDS.value / cell)
        mine = np.zeros(len(graph.node_level), bool)
        mine[nodes] = True
        both = mine[lower] & mine[upper]
        below, above = lower[both], upper[both]
        under = np.where(mine & (graph.node_level == low), np.inf, 0.0)
        steps = np.flatnonzero(np.diff(graph.node_level[above], prepend=-1))
        for first, last in pairwise([*steps.tolist(), len(above)]):  # level by level: those below are known
            some, next_up = below[first:last], above[first:last]
            passed = np.where(graph.node_level[some] < ends, np.inf, width_m[some])
            np.maximum.at(under, next_up, np.minimum(under[some], passed))
        bottom.append(low)
        ways.append(dict(zip(nodes.tolist(), under[nodes].tolist(), strict=True)))
    return Floors(tuple(bottom), tuple(ways))


HALF_FULL = 128
"""Share of a cell (of 255) from which the widths of the level graph count it."""
UNSEEN = 0.5
"""Share of a thing in a level that lies in cells of the cavity, over which it is not cut out of them; our judgement."""


def beside_irons_m(cavity: Cavity, graph: LevelGraph) -> np.ndarray:
    """Width (nodes,) that is free for a hose: beside a thing too thin to be seen in the cells, half of what it leaves.

    Where most of it is cut out of the cells, the widths of the level graph know it.
    """
    width = np.array(graph.node_width_m)
    for iron in cavity.irons:
        at, open_ = _cells_of(cavity, graph, iron)
        node = np.unique(graph.label[tuple(at[open_ & _unseen(graph, at, open_)[at[:, 2]]].T)]) - 1
        width[node] = np.minimum(width[node], np.maximum(0.5 * (graph.node_width_m[node] - iron.across_m), 0.0))
    return width


@lru_cache(maxsize=1)
def limb_width_m(cavity: Cavity, graph: LevelGraph) -> np.ndarray:
    """Width (nodes,) of the limb with what stands in it: a hole in its skin is no smaller for an iron behind it.

    Where a thing is cut out of the cells it is filled in again, and the largest circle found in the section of both.
    """
    width, grid = np.array(graph.node_width_m), cavity.grid
    seen: dict[int, list[Iron]] = {}
    for iron in cavity.irons:
        at, open_ = _cells_of(cavity, graph, iron)
        cut_out = (np.bincount(at[:, 2], minlength=graph.levels) > 0) & ~_unseen(graph, at, open_)
        for level in np.flatnonzero(cut_out).tolist():
            seen.setdefault(level, []).append(iron)
    for level, irons in seen.items():
        from scipy import ndimage  # slow to load, and few pieces hold irons

        taken = np.zeros(grid.shape[:2], bool)
        for iron in irons:
            x, y = _columns_near(grid, iron)
            near = np.stack(np.meshgrid(x, y, [level], indexing="ij"), axis=-1).reshape(-1, 3)
            taken[near[:, 0], near[:, 1]] |= iron.away_m(grid.centres(near)) <= grid.cell_m
        page = np.ascontiguousarray(graph.label[:, :, level])
        for label in np.unique(page[ndimage.binary_dilation(taken) & (page > 0)]).tolist():
            both = (page == label) | taken
            box = ndimage.find_objects(both.astype(np.int8))[0]  # beyond it there is nothing to be far from
            far = float(edt.edt(np.ascontiguousarray(both[box]), black_border=True, parallel=1).max())
            width[label - 1] = max(width[label - 1], (2.0 * far - 1.0) * grid.cell_m)
    width.setflags(write=False)
    return width


def _columns_near(grid: Grid, iron: Iron) -> tuple[np.ndarray, np.ndarray]:
    """Places along x and along y of the columns in which a cell's middle can lie within a cell of a thing."""
    corners = (iron.corners_m() - grid.origin_m) / grid.cell_m - 0.5
    low, high = np.floor(corners.min(axis=0) - 1.0), np.ceil(corners.max(axis=0) + 1.0)
    x, y = (np.arange(max(0, int(low[k])), min(grid.shape[k], int(high[k]) + 1)) for k in range(2))
    return x, y


def _cells_of(cavity: Cavity, graph: LevelGraph, iron: Iron) -> tuple[np.ndarray, np.ndarray]:
    """Cells (n, 3) that points all through a thing lie in, and whether each counts with the cavity."""
    at = np.floor((iron.points_m(0.5 * cavity.grid.cell_m) - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
    at = at[((at >= 0) & (at < graph.label.shape)).all(axis=1)]
    return at, (graph.label[tuple(at.T)] > 0) & (cavity.fraction[tuple(at.T)] >= HALF_FULL)


def _unseen(graph: LevelGraph, at: np.ndarray, open_: np.ndarray) -> np.ndarray:
    """Levels (levels,) bool in which most of a thing is not cut out of the cells."""
    there = np.bincount(at[:, 2], minlength=graph.levels)
    return np.asarray(np.bincount(at[open_, 2], minlength=graph.levels) > UNSEEN * there)


def way_down(fall_m: float, clear_m: float, width_m: float, hole_m: float) -> int:
    """The simplest way down that a fall, what is clear about it, the width of the limb and the hole allow."""
    if fall_m <= judged.LONGEST_FALL.value and clear_m >= clearance_due(fall_m):
        return STRAIGHT
    if bores(hole_m, 2.0 * clear_m):
        return TUBE
    return _led(width_m, hole_m)


def _led(width_m: float, hole_m: float) -> int:
    return HOSE if bores(hole_m, width_m - 2.0 * judged.HOSE_ROOM.value) else NONE


def bores(hole_m: float, free_m: float) -> list[float]:
    """Bores of tubes that go through a hole (0: an opening) with air beside them, and down a free width."""
    most = min(free_m, hole_m - judged.AIR_BESIDE.value if hole_m > 0 else math.inf)
    return [bore for bore in TUBE_BORES if bore + 2.0 * judged.TUBE_WALL.value <= most + 1e-9]
