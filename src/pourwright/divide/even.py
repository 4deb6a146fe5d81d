"""Where to cut: the best division of the levels into lifts, by dynamic programming.

The objective is lexicographic, each term only where the ones before it are equal:

1. fewest lifts;
2. fewest pairs of neighbouring lifts of which one is thinner than the sliver share of the other;
3. fewest pours, landings where one a pour cannot reach its extents in plan, and pieces too small for a pour, which so
   count twice;
4. most even: smallest sum of squares of the lifts' numbers of levels.

A division is made of boundaries ``start = b0 < b1 < ... < bn = stop``. Every band shorter than the tallest at its
bottom keeps the limits as well (each limit grows with the band), so the fewest lifts follow from the tallest bands; the
terms that follow are counted exactly, in whole numbers, over all divisions of that many lifts. The third term looks at
two neighbouring lifts, so the state of the programme is the last pair of boundaries.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.compiled import njit

_NEVER = np.iinfo(np.int64).max // 4


@dataclass(frozen=True, slots=True)
class BestCuts:
    """Boundaries (levels counted from the first) and the value of each term of the objective."""

    boundaries: tuple[int, ...]
    lifts: int
    slivers: int
    pours: int
    squares: int


def divide(tallest: np.ndarray, cost: np.ndarray, sliver_share: float) -> BestCuts:
    """Best division of ``len(tallest)`` levels.

    Parameters
    ----------
    tallest : (levels,) int64, at least 1
        How many levels a lift that begins at each level may have.
    cost : (levels, levels + 1) int64, not negative
        Third term of the lift that begins at a level (row) and has so many levels (column).
    sliver_share : float, 0 to 1

    Returns
    -------
    BestCuts
        Among equals the one whose lower lifts are thicker.
    """
    levels = len(tallest)
    reach = np.minimum(np.arange(levels) + tallest, levels)
    to_go = _fewest(reach)
    lifts = int(to_go[0])
    windows = _windows(reach, to_go, lifts)
    scale_squares = levels * levels + 1
    scale_cost = scale_squares * (int(cost.max(initial=0)) * lifts + 1)
    if scale_cost * (lifts + 1) > _NEVER:
        raise OverflowError(f"{levels} levels with {lifts} lifts do not fit the division's counters")
    values, before = [], []
    low, high = windows[0]
    value = np.zeros((1, 1), np.int64)
    inner = (low, low)
    outer = (low, high)
    for step in range(1, lifts + 1):
        inner, outer = (windows[step - 1], windows[step])
        prior = windows[step - 2] if step > 1 else (0, 0)
        value, came = _step(
            value, reach, cost, to_go, prior, inner, outer, lifts - step, step == 1, sliver_share,
            scale_squares, scale_cost,
        )  # fmt: skip
        values.append(value)
        before.append(came)
    boundaries = [levels]
    at = int(np.argmax(values[-1][::-1, 0] == values[-1][:, 0].min()))  # last among equals: a thinner top lift
    a = windows[lifts - 1][0] + values[-1].shape[0] - 1 - at
    b = levels
    total = int(values[-1][a - windows[lifts - 1][0], b - windows[lifts][0]])
    for step in range(lifts, 0, -1):
        boundaries.append(a)
        earlier = int(before[step - 1][a - windows[step - 1][0], b - windows[step][0]])
        a, b = earlier, a
    boundaries.reverse()
    return BestCuts(
        tuple(boundaries),
        lifts,
        total // scale_cost,
        total % scale_cost // scale_squares,
        total % scale_squares,
    )


def _fewest(reach: np.ndarray) -> np.ndarray:
    """Fewest lifts from each boundary to the top."""
    levels = len(reach)
    to_go = np.zeros(levels + 1, np.int64)
    for b in range(levels - 1, -1, -1):
        to_go[b] = 1 + to_go[b + 1 : reach[b] + 1].min()
    return to_go


def _windows(reach: np.ndarray, to_go: np.ndarray, lifts: int) -> list[tuple[int, int]]:
    """For each number of lifts the lowest and highest boundary after them, in a division of the fewest lifts."""
    levels = len(reach)
    windows = [(0, 0)]
    ahead = np.zeros(levels + 1, bool)
    ahead[0] = True
    for step in range(1, lifts + 1):
        nxt = np.zeros(levels + 1, bool)
        for a in np.flatnonzero(ahead):
            nxt[a + 1 : reach[a] + 1] = True
        nxt &= to_go <= lifts - step
        ahead = nxt
        found = np.flatnonzero(ahead)
        windows.append((int(found[0]), int(found[-1])))
    return windows


@njit(cache=True)
def _step(value, reach, cost, to_go, prior, inner, outer, left, first, share, scale_squares, scale_cost):  # type: ignore[no-untyped-def]
    """One more lift [a, b): best value of each pair of last boundaries, and the boundary before them."""
    rows, columns = inner[1] - inner[0] + 1, outer[1] - outer[0] + 1
    best = np.full((rows, columns), _NEVER)
    came = np.full((rows, columns), -1)
    for a in range(inner[0], inner[1] + 1):
        for b in range(max(outer[0], a + 1), min(outer[1], reach[a]) + 1):
            if to_go[b] > left:
                continue
            own = (b - a) * (b - a) + scale_squares * cost[a, b - a]
            if first:
                best[a - inner[0], b - outer[0]] = own
                continue
            found, at = _NEVER, -1
            for p in range(prior[0], min(prior[1], a - 1) + 1):
                earlier = value[p - prior[0], a - inner[0]]
                if earlier >= _NEVER:
                    continue
                thin, thick = min(a - p, b - a), max(a - p, b - a)
                if thin < share * thick:
                    earlier += scale_cost
                if earlier <= found:  # last among equals: the lower lifts are thicker
                    found, at = earlier, p
            if found < _NEVER:
                best[a - inner[0], b - outer[0]] = found + own
                came[a - inner[0], b - outer[0]] = at
    return best, came
