"""Days that were found under fewer limits, made to keep more: a cut moved or added, and timed again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np

from pourwright.day.model import Stretch
from pourwright.day.search import Found, Search

LEAST = 1.0  # seconds; a day that is cheaper by less is not

Started = tuple[tuple[Stretch, ...], np.ndarray]
"""Pours and their starts."""


def mended_front(search: Search, days: Iterable[Started]) -> list[Found]:
    """A front under limits that its days were not found under: one day a number of pours, from the fewest up.

    A day that keeps them is timed again and stays as it is cut; of others the cuts are moved, or more are made. The
    cheapest and those with a pour less and a pour more are then settled, and the cheapest is tried with more. ``days``
    come with the most promising first: others are only timed again where marches run out.
    """
    front: dict[int, Found] = {}
    for stretches, start_s in days:
        _keep(front, mended(search, stretches, start_s, rounds=2))
        moved = _moved(search, stretches, start_s) if search.timing.spent <= search.budget else None
        if moved is not None:
            _keep(front, search.seeded(moved))
    best = min(front.values(), key=order)
    for n in range(len(best.stretches) - 1, len(best.stretches) + 2):
        if n in front:
            _keep(front, search.settled(front[n]))
    best = min(front.values(), key=order)
    while search.timing.spent <= 2 * search.budget and (fewer := _joined(search, best)) is not None:
        best = fewer
    _keep(front, best)
    for more in _parted(search, best):
        _keep(front, more)
    search.trim(front)
    return [front[n] for n in sorted(front)]


def mended(search: Search, division: tuple[Stretch, ...], start_s: np.ndarray, rounds: int = 6) -> Found:
    """A division whose pours keep what `Search.may` asks, timed again.

    Pour by pour, upwards: of the pour below taking what is too much, the pour above taking it, and one pour more, what
    costs least.
    """
    search.timing.with_short = True
    limbs = sorted(range(len(division)), key=lambda k: (division[k].limb, division[k].low))
    division, start_s = tuple(division[k] for k in limbs), np.asarray(start_s, float)[limbs]
    while (
        k := next((k for k, s in enumerate(division) if s.high - s.low > 1 and not search.may(s)), None)
    ) is not None:
        ways = list(_ways(search, division, start_s, k))
        if len(ways) == 1:
            division, start_s = ways[0]
            continue
        tried = [search.found(cut, search.timing.find(cut, starts, rounds=1)) for cut, starts in ways]
        best = min(range(len(tried)), key=lambda i: (order(tried[i]), i))
        division, start_s = tried[best].stretches, tried[best].timed.start_s
    return search.found(division, search.timing.find(division, start_s, rounds=rounds))


def order(found: Found) -> tuple[bool, float]:
    """By which days are preferred: those that keep the dose, and of these the cheaper."""
    return not found.kept, found.cost_s


def _by_limb(division: tuple[Stretch, ...], start_s: np.ndarray) -> Started:
    limbs = sorted(range(len(division)), key=lambda k: (division[k].limb, division[k].low))
    return tuple(division[k] for k in limbs), np.asarray(start_s, float)[limbs]


def _offender(search: Search, division: tuple[Stretch, ...]) -> int | None:
    """The first pour that may not be as it is, though it could be less."""
    return next((k for k, s in enumerate(division) if s.high - s.low > 1 and not search.may(s)), None)


def _moved(search: Search, division: tuple[Stretch, ...], start_s: np.ndarray) -> tuple[Stretch, ...] | None:
    """As many pours with cuts moved until each may be; None where none has to be, or that does not do."""
    division, start_s = _by_limb(division, start_s)
    begun = division
    while (k := _offender(search, division)) is not None:
        way = next(_ways(search, division, start_s, k))
        if len(way[0]) > len(division):
            return None
        division = way[0]
    return None if division is begun else division


def _keep(front: dict[int, Found], found: Found) -> None:
    n = len(found.stretches)
    if n not in front or order(found) < order(front[n]):
        front[n] = found


def _ways(search: Search, division: tuple[Stretch, ...], start_s: np.ndarray, k: int) -> Iterator[Started]:
    """Ways to make pour ``k`` one that may be, that leave all others so."""
    s = division[k]
    for side in (-1, 1):
        other = k + side
        if 0 <= other < len(division) and division[other].limb == s.limb:
            for by in range(1, s.high - s.low - search.least + 1):
                low, high = (s.low + by, s.high) if side < 0 else (s.low, s.high - by)
                if not search.enough(Stretch(s.limb, low, high)):
                    break
                if search.may(Stretch(s.limb, low, high)):
                    near = division[other]
                    taken = Stretch(s.limb, near.low, low) if side < 0 else Stretch(s.limb, high, near.high)
                    if search.may(taken):
                        out = list(division)
                        out[k], out[other] = Stretch(s.limb, low, high), taken
                        yield tuple(out), start_s
                    break
    yield _split(search, division, start_s, k)


def _split(search: Search, division: tuple[Stretch, ...], start_s: np.ndarray, k: int) -> Started:
    """Pour ``k`` in as few even parts as may be, what comes after it so much later."""
    s = division[k]

    def may(count: int) -> bool:
        return all(search.may(Stretch(s.limb, a, b)) for a, b in pairwise(search.even(s.low, s.high, count)))

    whole = s.high - s.low
    count = next(n for n in range(2, whole + 1) if n == whole or may(n))
    parts = [Stretch(s.limb, a, b) for a, b in pairwise(search.even(s.low, s.high, count))]
    late = search.work.shortest_wait_s * np.arange(count)
    after = start_s + late[-1] * (start_s > start_s[k])
    return (*division[:k], *parts, *division[k + 1 :]), np.concatenate([after[:k], start_s[k] + late, after[k + 1 :]])


def _parted(search: Search, found: Found) -> Iterator[Found]:
    """One pour more, settled again, as long as that makes the day cheaper; the first that does not, too."""
    while search.timing.spent <= search.budget and (more := search.one_more(found)) is not None:
        trial = search.settled(search.found(more, search.timing.find(more, None, rounds=3)))
        yield trial
        if (not trial.kept, trial.cost_s) >= (not found.kept, found.cost_s - LEAST):
            break
        found = trial


def _joined(search: Search, found: Found) -> Found | None:
    """One pour fewer where that costs the day nothing; None where every cut is needed."""
    best = min(search.fewer(found), key=lambda one: one.cost_s, default=None)
    return best if best is not None and best.cost_s < found.cost_s - LEAST else None
