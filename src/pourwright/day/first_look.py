"""A short search: even waits for every number of pours while one more pays, then starts one by one, in few rounds."""

from __future__ import annotations

import numpy as np

from pourwright.day.model import Stretch
from pourwright.day.search import ALMOST, LADDER, NEARLY, Found, Search
from pourwright.day.timing import CLOSE, Timed, listed

TIMED, ROUNDS = 2, 2  # numbers of pours, the cheapest with even waits, whose starts are found one by one; in how many rounds


def first_look(search: Search) -> list[Found]:
    """The front of a short search: one entry a number of pours, from the fewest up as long as one more pays.

    Parameters
    ----------
    search : Search

    Returns
    -------
    list of Found
    """
    front: dict[int, Found] = {}
    division, best = search.fewest(), np.inf
    while True:
        found = _with_even_waits(search, division)
        front[len(found.stretches)] = found
        cost = found.cost_s if found.timed.excess_h < ALMOST else np.inf
        more = search.one_more(found)
        if more is None or (np.isfinite(best) and cost > best - 1.0) or search.timing.spent > search.budget:
            break
        best = min(best, cost)
        if best <= search.least_cost_s(len(more)):
            break
        division = more
    for n in sorted(front, key=lambda n: (front[n].timed.excess_h > ALMOST, front[n].cost_s))[:TIMED]:
        front[n] = _timed(search, front[n])
    return [front[n] for n in sorted(front)]


def _timed(search: Search, found: Found) -> Found:
    """Starts one by one, where even waits come near to keeping the limits."""
    if found.timed.excess_h > ALMOST:
        return found
    again = search.timing.find(found.stretches, found.timed.start_s, rounds=ROUNDS, hasty=True)
    return min(found, search.found(found.stretches, again), key=lambda one: one.cost_s)


def _with_even_waits(search: Search, division: tuple[Stretch, ...]) -> Found:
    """Cuts of even dose with the shortest even waits of a ladder that keep the limits, the margin of waits too."""
    timing, waits = search.timing, [search.work.shortest_wait_s * r for r in LADDER]
    timing.with_short = False  # asked for only of what is nearly taken
    low, high = 0, len(waits) - 1
    evened = {high: search.evened(division, waits[high])}
    while low < high and evened[max(evened)][0] <= NEARLY:
        mid = (low + high) // 2
        evened[mid] = search.evened(division, waits[mid])
        low, high = (low, mid) if evened[mid][0] <= 1.0 else (mid + 1, high)
    if evened[max(evened)][0] > NEARLY:
        low = max(evened)
    timing.with_short = True
    for rung in range(low, len(waits)):
        stretches = evened[rung][1] if rung in evened else evened[low][1]
        start = listed(search.piles, stretches, search.work, np.full(len(stretches), waits[rung]))
        used = timing.used(stretches, [start])[0]
        found = search.found(stretches, Timed(start, used, None, max(0.0, float(used.max()) - 1.0)))
        if found.timed.excess_h <= CLOSE:
            break
    return found
