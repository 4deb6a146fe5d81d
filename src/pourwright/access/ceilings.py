"""Level and nearly level ceilings of a cavity, as regions with corners: air stays under them wherever no vent is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.access.judged import LEVEL, ONE_VENT
from pourwright.access.outline import corners_of, outline_of
from pourwright.cavity import Cavity, ColumnMap

STEPS = ((1, 0), (-1, 0), (0, 1), (0, -1))
SMOOTHED = 2
"""How often the heights of a ceiling are evened out between neighbours before its slope is taken; our judgement."""
WHOLE = 0.98
"""Filled share of the cell under the top one from which on that one tells where the ceiling is; our judgement."""
EDGED = 2
"""Rows of cells at its edges that belong to a ceiling although their own slope is not known; our judgement."""


@dataclass(frozen=True, eq=False)
class Ceiling:
    """One level or nearly level piece of ceiling. Standing metres; arrays read-only.

    ``spots_m`` (n, 3) points of the ceiling, one a column of cells, in the order of the columns; ``nodes`` (n,) the
    node of the level graph under each. ``slope`` (2,) its rise a metre to the right and to the back; ``outline`` in
    plan, with few corners; ``corners_m`` (k, 3) where it juts out, so that air ends there. ``ways_out`` (n,) bool:
    spots beside which the cavity goes on higher, or an opening lies: air leaves there by itself.
    """

    spots_m: np.ndarray
    nodes: np.ndarray
    area_m2: float
    slope: np.ndarray
    outline: shapely.Polygon
    corners_m: np.ndarray
    ways_out: np.ndarray

    @property
    def cell_m(self) -> float:
        """Size of the cells that it is known by."""
        return math.sqrt(self.area_m2 / len(self.spots_m))

    @property
    def crown_m(self) -> np.ndarray:
        """Its highest point (3,)."""
        return np.asarray(self.spots_m[int(np.argmax(self.spots_m[:, 2]))])

    def at(self, plan_m: np.ndarray) -> np.ndarray:
        """Points (n, 3) of its mean plane over points (n, 2) in plan [m]."""
        plan = np.atleast_2d(plan_m)
        middle = self.spots_m.mean(axis=0)
        return np.column_stack([plan, middle[2] + (plan - middle[:2]) @ self.slope])


def level_ceilings(cavity: Cavity, columns: ColumnMap, skip: np.ndarray) -> tuple[Ceiling, ...]:
    """Ceilings that slope less than `LEVEL` and are larger than what one vent in their middle empties, largest first.

    Parameters
    ----------
    cavity : Cavity
    columns : ColumnMap
        Filled runs of its columns.
    skip : array (runs,) bool
        Runs that end at an opening: no ceiling.
    """
    if not len(columns.low):
        return ()
    height, whole = heights(cavity, columns)
    beside = beside_each(columns, height, cavity.grid.cell_m)
    height = _carried(height, beside, whole)
    level = (np.hypot(*_slopes(height, beside, cavity.grid.cell_m).T) <= math.tan(LEVEL.value)) & ~skip
    rows, ways = np.nonzero((beside >= 0) & level[:, None])
    others = beside[rows, ways]
    rows, others = rows[level[others]], others[level[others]]
    count = len(height)
    links = coo_array((np.ones(len(rows), np.int8), (rows, others)), shape=(count, count))
    piece = connected_components(links, directed=False)[1]
    size = np.bincount(piece[level], minlength=int(piece.max()) + 1) * cavity.grid.cell_m**2
    found = []
    for number in np.flatnonzero(size > 0.25 * ONE_VENT.value**2):
        own = np.flatnonzero(level & (piece == number))
        if not _broad(own, beside):
            continue
        runs = _edged(own, beside, height, skip, cavity.grid.cell_m)
        ceiling = _ceiling(cavity, columns, height, runs, _ways_out(columns, runs, beside, height, skip))
        plan = ceiling.spots_m[:, :2]
        if np.linalg.norm(plan - plan.mean(axis=0), axis=1).max() > ONE_VENT.value:
            found.append(ceiling)
    return tuple(sorted(found, key=lambda one: (-round(one.area_m2, 9), *np.round(one.spots_m[0], 9))))


def heights(cavity: Cavity, columns: ColumnMap) -> tuple[np.ndarray, np.ndarray]:
    """Height (runs,) of the ceiling over each run [m], to a part of a cell, and whether it is (runs,) known so well.

    It is told by the filled shares of the top cells; of a column that the wall beside it cuts they tell nothing.
    """
    ix, iy = columns.column.T

    def share(level: np.ndarray) -> np.ndarray:
        return np.asarray(cavity.fraction[ix, iy, level] / 255.0)

    top = share(columns.high - 1)
    above = np.minimum(columns.high, cavity.grid.shape[2] - 1)
    over = np.where(columns.high < cavity.grid.shape[2], share(above), 0.0)
    under = np.where(columns.high - 2 >= columns.low, share(np.maximum(columns.high - 2, 0)), 1.0)
    part = np.clip(top + np.where(over < 0.5, over, 0.0), 0.0, 1.5)
    return float(cavity.grid.origin_m[2]) + (columns.high - 1 + part) * cavity.grid.cell_m, under >= WHOLE


def _carried(height: np.ndarray, beside: np.ndarray, whole: np.ndarray) -> np.ndarray:
    """Heights with that of each column that is not known well taken from those beside it that are."""
    for _ in range(EDGED):
        good = (beside >= 0) & whole[np.maximum(beside, 0)]
        count = good.sum(axis=1)
        around = np.where(good, height[np.maximum(beside, 0)], 0.0).sum(axis=1) / np.maximum(count, 1)
        take = ~whole & (count > 0)
        height, whole = np.where(take, around, height), whole | take
    return height


def beside_each(columns: ColumnMap, height: np.ndarray, cell_m: float) -> np.ndarray:
    """Runs (runs, 4) whose ceiling goes on to the right, left, back and front of each run's; -1 where it ends."""
    nx, ny, nz = columns.shape
    at = np.zeros((nx + 2, ny + 2, nz + 3), np.int32)  # one more than the run; most of it is never touched
    ix, iy = columns.column.T
    at[ix + 1, iy + 1, columns.high + 1] = np.arange(1, len(height) + 1)
    out = np.full((len(height), 4), -1, np.int64)
    for way, (dx, dy) in enumerate(STEPS):
        for dz in (0, 1, -1):
            other = at[ix + 1 + dx, iy + 1 + dy, columns.high + 1 + dz] - 1
            near = (out[:, way] < 0) & (other >= 0) & (np.abs(height[np.maximum(other, 0)] - height) <= cell_m)
            out[near, way] = other[near]
    return out


def _slopes(height: np.ndarray, beside: np.ndarray, cell_m: float) -> np.ndarray:
    """Rise a metre (runs, 2) to the right and to the back, smoothed over the columns around; one-sided at edges."""
    smooth = height
    for _ in range(SMOOTHED):
        known = np.where(beside >= 0, smooth[np.maximum(beside, 0)], smooth[:, None])
        even = np.column_stack([_pair(known[:, :2], beside[:, :2], smooth), _pair(known[:, 2:], beside[:, 2:], smooth)])
        smooth = even.mean(axis=1)
    out = np.zeros((len(height), 2))
    for axis in range(2):
        ahead, behind = beside[:, 2 * axis], beside[:, 2 * axis + 1]
        far = np.where(ahead >= 0, smooth[np.maximum(ahead, 0)], smooth)
        back = np.where(behind >= 0, smooth[np.maximum(behind, 0)], smooth)
        steps = (ahead >= 0).astype(float) + (behind >= 0)
        out[:, axis] = (far - back) / (np.maximum(steps, 1.0) * cell_m)
    return out


def _pair(known: np.ndarray, beside: np.ndarray, own: np.ndarray) -> np.ndarray:
    """Mean of a column and those on both sides of it; its own where one of them is missing, as a slope goes on."""
    both = (beside >= 0).all(axis=1)
    return np.where(both, (known.sum(axis=1) + own) / 3.0, own)


def _edged(runs: np.ndarray, beside: np.ndarray, height: np.ndarray, skip: np.ndarray, cell_m: float) -> np.ndarray:
    """Runs with those at their edges that are no more than half a cell higher or lower."""
    for _ in range(EDGED):
        around = beside[runs]
        row, way = np.nonzero(around >= 0)
        other = around[row, way]
        near = (np.abs(height[other] - height[runs[row]]) <= 0.5 * cell_m) & ~skip[other]
        runs = np.union1d(runs, other[near])
    return runs


def _broad(runs: np.ndarray, beside: np.ndarray) -> bool:
    """Whether some run has level ceiling on all four sides: a strip one or two cells wide is the edge of a wall."""
    return bool(np.isin(beside[runs], runs).all(axis=1).any())


def _ways_out(
    columns: ColumnMap, runs: np.ndarray, beside: np.ndarray, height: np.ndarray, skip: np.ndarray
) -> np.ndarray:
    """Runs (n,) bool beside which the cavity goes on higher, or an opening lies."""
    around = beside[runs]
    there = np.maximum(around, 0)
    out = (around >= 0) & ~np.isin(around, runs) & (skip[there] | (height[there] > height[runs][:, None]))
    column = columns.column[runs]
    for way, (dx, dy) in enumerate(STEPS):
        cells = np.column_stack([column + np.array([dx, dy]), columns.high[runs] - 1])
        good = ((cells[:, :2] >= 0) & (cells[:, :2] < columns.shape[:2])).all(axis=1) & (around[:, way] < 0)
        over = np.full(len(runs), -1)
        over[good] = columns.run_of(cells[good])
        out[:, way] |= (over >= 0) & (columns.high[np.maximum(over, 0)] > columns.high[runs])
    return np.asarray(out.any(axis=1))


def _ceiling(cavity: Cavity, columns: ColumnMap, height: np.ndarray, runs: np.ndarray, ways_out: np.ndarray) -> Ceiling:
    cell = cavity.grid.cell_m
    column = columns.column[runs]
    plan = cavity.grid.origin_m[:2] + (column + 0.5) * cell
    spots = np.column_stack([plan, height[runs]])
    away = plan - plan.mean(axis=0)
    slope = np.linalg.lstsq(away, spots[:, 2] - spots[:, 2].mean(), rcond=None)[0]
    outline = outline_of(column, cavity.grid.origin_m[:2], cell)
    corners = corners_of(outline)
    middle = spots.mean(axis=0)
    lifted = np.column_stack([corners, middle[2] + (corners - middle[:2]) @ slope]).reshape(-1, 3)
    nodes = columns.high_node[runs]
    for array in (spots, nodes, slope, lifted, ways_out):
        array.setflags(write=False)
    return Ceiling(spots, nodes, len(runs) * cell**2, slope, outline, lifted, ways_out)
