"""What the size of the heat cells does to the hottest point: the same foam round it on finer cells."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from pourwright.errors import UsageError
from pourwright.heat._blocks import NOTHING
from pourwright.heat.grid import Beside, FineCells, HeatGrid, heat_grid
from pourwright.heat.model import SkinLayer, StagedHeat
from pourwright.heat.staged import simulate

REACH = 6
"""Heat cells kept on each side of the hottest point; heat comes a third as far until the peak on a plan's cells."""
_RING = 2  # more of them, so that no face of the cut is taken for skin
_LONGEST_S = 3600.0
_AFTER = 1.1  # of the time to the peak


def cell_error(
    fine: FineCells,
    problem: StagedHeat,
    pour: int,
    point_m: np.ndarray,
    until_s: float,
    *,
    openings: tuple[np.ndarray, ...] = (),
) -> float:
    """How far the peak of a pour may be off by its heat cells [K], from what halving them round the spot changes.

    Parameters
    ----------
    fine, openings
        As for `heat_grid`; the problem's grid was made from them.
    problem : StagedHeat
    pour : int
        The pour, by number.
    point_m : array (3,)
        Its hottest point, standing [m].
    until_s : float
        When that is, from the pour's start [s].

    Returns
    -------
    float
        nan where the spot has no cells of the pour round it.

    Notes
    -----
    The piece is cut out round the spot; nothing passes the cut, nor into pours that came before. Both runs are of that
    piece alone, so that only the cells differ. An error of order one is taken, the careful one: with cells r times
    finer it is the difference times r / (r - 1). Where the heat cells are the cavity's own, they are doubled instead,
    and the difference itself counts.
    """
    factor, grid = problem.grid.factor, problem.grid
    other = factor // 2 if factor > 1 else 2
    block = math.lcm(factor, other)  # the same piece on both
    peaks = []
    for step in (factor, other):
        part = _cut(fine, grid, pour, point_m, (step, block), (openings, problem.irons))
        if part is None:
            return float("nan")
        peaks.append(_peak(problem, part, pour, until_s))
    change = abs(peaks[1] - peaks[0])
    ratio = factor / other
    return change * ratio / (ratio - 1.0) if factor > 1 else change


def _cut(
    cells: FineCells, grid: HeatGrid, pour: int, point_m: np.ndarray, blocked: tuple[int, int], beside: Beside
) -> HeatGrid | None:
    """The pour round the spot on cells of so many fine ones a side, cut out by blocks of so many: ``blocked``."""
    (factor, coarse), (fraction, label, node_pour, origin_m, cell_m) = blocked, cells
    spot = np.floor((point_m - origin_m) / (coarse * cell_m)).astype(int)
    reach = max(1, round(REACH * grid.factor / coarse))
    blocks = [-(-n // coarse) for n in fraction.shape]
    low = np.clip(spot - reach, 0, np.array(blocks) - 1)
    high = np.clip(spot + reach + 1, 1, blocks)
    outer_low, outer_high = np.maximum(low - _RING, 0), np.minimum(high + _RING, blocks)
    fine = tuple(slice(a * coarse, b * coarse) for a, b in zip(outer_low, outer_high, strict=True))
    # 0 the pour, 1 what lies in already; what is poured later is air still.
    owner = np.where(node_pour == pour, 0, np.where((node_pour >= 0) & (node_pour < pour), 1, -1)).astype(np.int16)
    corner = origin_m + outer_low * coarse * cell_m
    try:
        piece = FineCells(fraction[fine], label[fine], owner, corner, cell_m)
        whole = heat_grid(piece, openings=beside[0], irons=beside[1], factor=factor)
    except UsageError:  # no cell of it
        return None
    times = coarse // factor
    first, last = (low - outer_low) * times + 1, (high - outer_low) * times + 1
    last = np.minimum(last, np.array(whole.shape) - 1)
    kept = np.zeros(whole.shape, bool)
    kept[tuple(slice(a, b) for a, b in zip(first, last, strict=True))] = True
    kept &= whole.pour != 1
    mine_only = np.where(kept, whole.pour, NOTHING).astype(np.int16)
    if not np.any(mine_only == 0):
        return None
    mine = mine_only.ravel()[whole.surface_cell] >= 0
    surfaces = {name: getattr(whole, name)[mine] for name in vars(whole) if name.startswith("surface_")}
    return replace(whole, pour=mine_only, **surfaces).freeze()


def _peak(problem: StagedHeat, part: HeatGrid, pour: int, until_s: float) -> float:
    """Hottest the piece gets by itself."""
    only = replace(problem.pours[pour], name="1", lift=1, start_s=0.0)
    end = min(_LONGEST_S, max(_AFTER * until_s, only.curve.end_s))
    thickness = np.asarray(problem.skin.thickness_m, float)
    layer: SkinLayer = replace(problem.skin, thickness_m=float(thickness.mean()) if thickness.size else 0.003)
    return simulate(replace(problem, grid=part, pours=(only,), skin=layer, end_s=end, start_field_k=None)).peak_k
