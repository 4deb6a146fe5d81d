"""Where the cavity is narrow for its heat cells, and the limbs' own solutions beside the grid's."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from pourwright.heat.grid import HeatGrid
from pourwright.heat.limb import FOAM_CELLS, LimbCourse, limb_history
from pourwright.heat.model import HeatResult, PourTemperatures, SkinLayer, StagedHeat

ACROSS, FEW = 12.0, 8.0
"""Limbs of fewer heat cells across get a solution of their own: for the peak, and for the time above as well.

A round limb of 8 cells lies up to 3 K too low on its grid. How long a limb stays hot hangs on its whole shape, which
the grid knows better from there on.
"""
TOLD_K = 0.25
"""A limb that is hotter than the grid by less leaves peak and place to the grid."""
_ROUND_TO_FLAT = 0.653  # thickness of the flat limb whose slowest mode a round one of diameter 1 has: pi / (2 x 2.405)


@dataclass(frozen=True, eq=False)
class Narrow:
    """The hottest of a pour's places narrower than a number of cells, as far as its section tells."""

    pour: int
    width_m: float  # thickness of the foam across its smallest section
    diameter_m: float  # of the round section that is as large as that one
    cell: int  # flat index in the grid
    few: bool  # fewer than `FEW` cells across


def narrow_places(grid: HeatGrid) -> tuple[Narrow, ...]:
    """For each pour, its widest place narrower than `ACROSS` cells, and that narrower than `FEW` where it is another.

    Parameters
    ----------
    grid : HeatGrid

    Returns
    -------
    tuple of Narrow

    Notes
    -----
    The section of a place is the smallest of those along the grid's planes, and its width the largest in it of the
    shortest runs along the grid's axes; both are summed shares of cells, so that they do not come in whole cells. A
    limb that lies askew to all axes counts as thicker than it is, by up to the root of three: the hot side. Foam of
    other pours counts as foam.
    """
    flat = np.flatnonzero(grid.pour >= 0)
    share = grid.share.ravel()[flat].astype(float)
    number = np.full(grid.pour.size, -1, np.int32)
    number[flat] = np.arange(len(flat), dtype=np.int32)
    _, ny, nz = grid.shape
    after = [number[flat + stride] for stride in (ny * nz, nz, 1)]
    chord = np.full(len(flat), np.inf)  # through each cell
    for axis in range(3):
        run = _pieces(after[axis : axis + 1])
        chord = np.minimum(chord, np.bincount(run, weights=share)[run] * grid.cell_m)
    width, area = np.zeros(len(flat)), np.full(len(flat), np.inf)
    for axis in range(3):
        cut = _pieces([after[other] for other in range(3) if other != axis])
        size = np.bincount(cut, weights=share)[cut] * grid.cell_m**2
        thick = np.zeros(int(cut.max()) + 1)
        np.maximum.at(thick, cut, chord)
        smaller = size < area
        width[smaller], area[smaller] = thick[cut[smaller]], size[smaller]
    diameter = np.sqrt(4.0 * area / np.pi)
    cells = np.minimum(width, diameter) / grid.cell_m
    slow, pours = np.minimum(width, _ROUND_TO_FLAT * diameter), grid.pour.ravel()[flat]
    found: dict[int, None] = {}
    for most in (ACROSS, FEW):
        mine = np.flatnonzero(cells < most)
        # Slowest to cool first within each pour, then the middle of its section, then by place.
        order = mine[np.lexsort((flat[mine], -chord[mine], -slow[mine], pours[mine]))]
        found.update(dict.fromkeys(order[np.diff(pours[order], prepend=-1) > 0].tolist()))
    return tuple(
        Narrow(int(pours[k]), float(width[k]), float(diameter[k]), int(flat[k]), bool(cells[k] < FEW)) for k in found
    )


def _pieces(after: list[np.ndarray]) -> np.ndarray:
    """The piece (n,) that each cell lies in, where cells join the ones ``after`` them (-1: none)."""
    count = len(after[0])
    low = np.concatenate([np.flatnonzero(near >= 0) for near in after])
    high = np.concatenate([near[near >= 0] for near in after])
    graph = coo_matrix((np.ones(len(low), np.int8), (low, high)), shape=(count, count))
    return np.asarray(connected_components(graph, directed=False)[1])


def with_limbs(problem: StagedHeat, result: HeatResult, places: tuple[Narrow, ...]) -> HeatResult:
    """The result of ``problem`` with the limbs' own solutions where they are hotter than the grid's.

    The peak is the larger of the two, and where the limb gives it ``across_m`` holds its width. With few cells across,
    so is the time above each threshold. Skin, means, tops and the heat balance stay the grid's.
    """
    pours, core = list(result.pours), result.core_k.copy()
    for place in places:
        pour = pours[place.pour]
        if not np.isfinite(pour.peak_k):
            continue
        history, across = _history(problem, result, place)
        pours[place.pour] = _hotter(problem, pour, history, place, across)
        since = result.time_s - pour.start_s
        own = np.interp(since, history.time_s, history.axis_k, left=-np.inf, right=-np.inf)
        seen = np.isfinite(core[place.pour]) & (since > 0)
        core[place.pour, seen] = np.maximum(core[place.pour, seen], own[seen])
    core.setflags(write=False)
    return replace(result, pours=tuple(pours), core_k=core)


def limb_error(problem: StagedHeat, result: HeatResult, place: Narrow) -> float:
    """What halving the cells across a limb changes of its peak [K]; its error is a third of that (order two)."""
    peaks = [float(_history(problem, result, place, n)[0].axis_k.max()) for n in (FOAM_CELLS, FOAM_CELLS // 2)]
    return abs(peaks[0] - peaks[1])


def _history(
    problem: StagedHeat, result: HeatResult, place: Narrow, cells: int = FOAM_CELLS
) -> tuple[LimbCourse, float]:
    """The cooler of the round and the flat limb that no section there is hotter than, and its width."""
    pour = problem.pours[place.pour]
    history = result.core_k[place.pour]
    start_k = float(history[np.flatnonzero(np.isfinite(history))[0]])  # warmed by what it landed on
    skin = _skin_at(problem, place)
    both = [
        (limb_history(size, is_round, pour, skin, problem.surroundings, start_k=start_k, foam_cells=cells), size)
        for size, is_round in ((place.diameter_m, True), (place.width_m, False))
    ]
    return min(both, key=lambda one: float(one[0].axis_k.max()))


def _skin_at(problem: StagedHeat, place: Narrow) -> SkinLayer:
    """The skin with its thickness nearest to the place."""
    thickness = np.asarray(problem.skin.thickness_m, float)
    if not thickness.ndim or not len(thickness):
        return problem.skin
    far = np.linalg.norm(problem.grid.surface_point_m - problem.grid.centres(np.array(place.cell)), axis=1)
    return replace(problem.skin, thickness_m=float(thickness[int(np.argmin(far))]))


def _hotter(
    problem: StagedHeat, pour: PourTemperatures, history: LimbCourse, place: Narrow, across: float
) -> PourTemperatures:
    """A pour with what is larger along its limb."""
    grid, out = problem.grid, pour
    above = tuple(
        max(hours, history.seconds_above(limit) / 3600.0)
        for hours, limit in zip(pour.hours_above, problem.thresholds_k, strict=True)
    )
    if place.few:
        out = replace(pour, hours_above=above)
    peak = float(history.axis_k.max())
    if peak > pour.peak_k + TOLD_K:
        when = pour.start_s + float(history.time_s[np.argmax(history.axis_k)])
        point = grid.centres(np.array(place.cell))
        point.setflags(write=False)
        out = replace(out, peak_k=peak, peak_s=when, peak_point_m=point, across_m=across)
    return out
