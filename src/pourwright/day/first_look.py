"""A short search: even waits for every number of pours while one more pays, then starts one by one, in few rounds."""

from __future__ import annotations

import numpy as np

from pourwright.day.model import Stretch
from pourwright.day.search import ALMOST, LADDER, Evened, Found, Search
from pourwright.day.timing import Timed, listed

NEARLY = 1.05  # share used at the longest even waits from which a number of pours is not timed further
TIMED = 2  # numbers of pours, the cheapest with even waits, whose starts are found one by one
ROUNDS = 3  # of that; all three our judgement


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
    division, best, rung = search.fewest(), np.inf, len(LADDER) - 1
    while True:
        search.progress("day", min(0.8, 0.8 * search.timing.spent / max(search.budget, 1)))
        found, rung = _with_even_waits(search, division, rung)
        front[len(found.stretches)] = found
        cost = found.cost_s if found.kept else np.inf
        more = search.one_more(found)
        if more is None or (np.isfinite(best) and cost > best - 1.0) or search.timing.spent > search.budget:
            break
        best = min(best, cost)
        if best <= search.least_cost_s(len(more)):
            break
        division = more
    for n in sorted(front, key=lambda n: (not front[n].kept, front[n].cost_s))[:TIMED]:
        front[n] = _timed(search, front[n])
    return [front[n] for n in sorted(front)]


def _timed(search: Search, found: Found) -> Found:
    """Starts one by one, where even waits come near to keeping the limits."""
    if found.timed.excess_h > ALMOST:
        return found
    again = search.timing.find(found.stretches, found.timed.start_s, rounds=ROUNDS, hasty=True)
    return min(found, search.found(found.stretches, again), key=lambda one: one.cost_s)


def _with_even_waits(search: Search, division: tuple[Stretch, ...], rung: int) -> tuple[Found, int]:
    """Cuts of even dose with the shortest even waits of a ladder that keep the limits, the margin of waits too.

    Looked for from ``rung`` down, which did for a pour less, and up where that does not do; with it, the rung.
    """
    timing, waits, last = search.timing, [search.work.shortest_wait_s * r for r in LADDER], len(LADDER) - 1
    evened: dict[int, Evened] = {}

    def kept(at: int, most: float = 1.0, beside: int | None = None) -> bool:
        new = [r for r in (at, beside) if r is not None and r >= 0 and r not in evened]
        if at in new:
            evened.update(zip(new, search.evened_each(division, [waits[r] for r in new]), strict=True))
        return evened[at][0] <= most

    timing.with_short = False  # asked for only of what is nearly taken
    if rung < last or kept(last, NEARLY):
        while rung > 0 and kept(rung - 1, beside=rung - 2 if rung in evened else rung):
            rung -= 1
        while rung < last and not kept(rung):
            rung += 1
    timing.with_short = True
    kept(rung)
    stretches = evened[rung][1]
    while True:
        start = listed(search.piles, stretches, search.work, np.full(len(stretches), waits[rung]))
        used = timing.used(stretches, [start])[0]
        found = search.found(stretches, Timed(start, used, None, max(0.0, float(used.max()) - 1.0)))
        if found.kept or rung == last:
            return found, rung
        rung += 1
