"""Cuts and waits together: for every number of pours the cheapest day that a local search finds, kept as a front.

The search knows nothing of foam: it is told how long every slab is above the limit for given starts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from pourwright.day.model import Stretch
from pourwright.day.timing import CLOSE, GIVE, Timed, Timing, listed
from pourwright.day.trimming import trimmed
from pourwright.progress import Progress, silent

STEPS = (2, 1)  # slabs that a cut is moved by, in turn
LADDER = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 9.0, 14.0)  # even waits tried, in shortest waits
EVENED = 8  # rounds towards even dose
SETTLED = 3  # numbers of pours whose cuts are searched in full
FAR = 1.5  # share used at the longest even waits from which a number of pours is not timed further
ALMOST = 0.1  # over what is allowed by less a day may be settled into one that keeps it
BEYOND = 3  # numbers of pours tried beyond the cheapest

May = Callable[[Stretch], bool]
"""Whether a stretch keeps what does not depend on time: liquid of one pour, thickness that other limits ask for."""

Evened = tuple[float, tuple[Stretch, ...], np.ndarray, np.ndarray]
"""Largest share used, pours, their starts, and the shares used by slab and pour."""


@dataclass(frozen=True, eq=False)
class Found:
    """The cheapest day of a number of pours."""

    stretches: tuple[Stretch, ...]
    timed: Timed
    cost_s: float
    kept: bool


class Search:
    """One search over the divisions of one piece."""

    def __init__(
        self,
        timing: Timing,
        may: May,
        budget: float = 4000,
        progress: Progress = silent,
        least: int = 1,
        least_m3: float = 0.0,
    ):
        """``budget`` is of `Timing.spent`; ``least`` slabs at least are cut from a limb that has more.

        So are ``least_m3`` of foam: less is no pour, unless it is all of a limb or other limits leave no other way.
        """
        self.least, self.least_m3 = least, least_m3
        self.piles, self.work, self.allowed, self.timing, self.may = (
            timing.piles,
            timing.work,
            timing.allowed,
            timing,
            may,
        )
        self.budget, self.progress = budget, progress

    def run(self) -> list[Found]:
        """The front: one entry a number of pours, from the fewest up."""
        front: dict[int, Found] = {}
        division, best, since = self.fewest(), np.inf, 0
        while since < BEYOND:
            self.progress("day", min(0.5, 0.5 * self.timing.spent / max(self.budget, 1)))
            found = self.seeded(division)
            front[len(found.stretches)] = found
            cost = found.cost_s if found.timed.excess_h < ALMOST else np.inf
            since = 0 if cost < best - 1.0 else since + int(np.isfinite(best))
            best = min(best, cost)
            more = self.one_more(found)
            spent = self.timing.spent > (self.budget // 2 if np.isfinite(best) else self.budget)
            if more is None or spent or best <= self.least_cost_s(len(more)):
                break
            division = more
        order = sorted(front, key=lambda n: (not front[n].kept, front[n].cost_s))
        for n in order[:SETTLED]:
            if self.timing.spent > self.budget:
                break
            again = self.settled(front[n])
            if again.cost_s < front[n].cost_s:
                front[n] = again
        self._up(front)
        self._back(front)
        self._forth(front)
        self.trim(front)
        return [front[n] for n in sorted(front)]

    def trim(self, front: dict[int, Found]) -> None:
        """Waits of the days one by one, the cheapest first, while marches are left."""
        for n in sorted(front, key=lambda n: (not front[n].kept, front[n].cost_s)):
            if self.timing.spent > 2 * self.budget:
                break
            front[n] = self.trimmed(front[n])

    def trimmed(self, found: Found) -> Found:
        """A day with each of its waits as short as the limits allow."""
        return self.found(found.stretches, trimmed(self.timing, found.stretches, found.timed, self._goes_on))

    def _goes_on(self) -> bool:
        """Whether marches are left for trimming."""
        self._tell()
        return self.timing.spent <= 2 * self.budget

    def _tell(self) -> None:
        """How far settling and trimming are, which together march twice the budget at most."""
        self.progress("day", 0.5 + 0.45 * min(1.0, 0.5 * self.timing.spent / max(self.budget, 1)))

    def _up(self, front: dict[int, Found]) -> None:
        """Pours more as long as no day keeps the limits: one that nearly did may have ended the way up too early."""
        while not any(found.kept for found in front.values()) and self.timing.spent <= self.budget:
            more = self.one_more(front[max(front)])
            if more is None:
                return
            found = self.seeded(more)
            front[len(more)] = self.settled(found) if 0 < found.timed.excess_h < ALMOST else found

    def _back(self, front: dict[int, Found]) -> None:
        """From the cheapest day down: a cut taken out and settled again may beat what was found on the way up."""
        kept = [n for n in front if front[n].kept]
        at = min(kept, key=lambda n: front[n].cost_s, default=None)
        while at is not None and at - 1 in front and self.timing.spent < 2 * self.budget:
            options = list(self.fewer(front[at]))
            if not options:
                return
            again = self.settled(min(options, key=lambda found: found.cost_s))
            if again.cost_s >= front[at - 1].cost_s - 1.0:
                return
            front[at - 1] = again
            at -= 1

    def _forth(self, front: dict[int, Found]) -> None:
        """From the cheapest day up: where no day of one pour more keeps the limits, one of its pours is divided."""
        at = min((n for n in front if front[n].kept), key=lambda n: front[n].cost_s, default=None)
        while at is not None and at + 1 in front:
            more = None if front[at + 1].kept else self.one_more(front[at])
            if more is not None:
                trial = self.found(more, self.timing.find(more, None, rounds=8))
                if trial.kept or trial.cost_s < front[at + 1].cost_s:
                    front[at + 1] = trial
            at += 1

    def reached(self, front: list[Found], pours: int) -> Found | None:
        """A day of more pours than the front has; None where so many cannot be."""
        found = front[-1]
        while len(found.stretches) < pours:
            more = self.one_more(found)
            if more is None:
                return None
            found = replace(found, stretches=more)
        return self.trimmed(self.seeded(found.stretches))

    def shortest(self, division: tuple[Stretch, ...]) -> Found:
        """A division with the shortest waits that hands and limits allow."""
        start = self.timing.shortest(division)
        used = self.timing.used(division, [start])[0]
        return self.found(division, Timed(start, used, None, max(0.0, float(used.max()) - 1.0)))

    def fewer(self, found: Found) -> Iterator[Found]:
        """The day with each of its cuts taken out in turn."""
        for k in self.cuts(found.stretches):
            low, high = found.stretches[k : k + 2]
            one = Stretch(low.limb, low.low, high.high)
            if self.may(one):
                division = (*found.stretches[:k], one, *found.stretches[k + 2 :])
                timed = self.timing.find(division, np.delete(found.timed.start_s, k + 1), rounds=2)
                yield self.found(division, timed)

    def least_cost_s(self, pours: int) -> float:
        """No day of so many pours costs less: its price, and the shortest waits between as few pours as may be."""
        start = self.timing.shortest(self.fewest())
        return self.work.price_s * pours + float(start.max())

    def seeded(self, division: tuple[Stretch, ...]) -> Found:
        """Cuts of even dose with even waits, the shortest of a ladder that keep it, then the waits one by one."""
        self.timing.with_short = True
        waits = [self.work.shortest_wait_s * r for r in LADDER]
        low, high = 0, len(waits) - 1
        evened = {high: self.evened(division, waits[high])}
        if evened[high][0] > FAR:
            return self.found(*self._as_evened(evened[high]))
        while low < high:
            mid = (low + high) // 2
            evened[mid] = self.evened(division, waits[mid])
            low, high = (low, mid) if evened[mid][0] <= 1.0 else (mid + 1, high)
        _, division, start, _ = evened[low] if low in evened else self.evened(division, waits[low])
        return self.found(division, self.timing.find(division, start, rounds=8))

    @staticmethod
    def _as_evened(evened: Evened) -> tuple[tuple[Stretch, ...], Timed]:
        worst, division, start, hours = evened
        return division, Timed(start, hours, None, max(0.0, worst - 1.0))

    def evened(self, division: tuple[Stretch, ...], wait_s: float) -> Evened:
        """Cuts moved towards lifts of even dose; the best seen."""
        return self.evened_each(division, [wait_s])[0]

    def evened_each(self, division: tuple[Stretch, ...], waits_s: list[float]) -> list[Evened]:
        """The same for several waits, whose heat is followed side by side."""
        now, best = dict.fromkeys(waits_s, division), dict[float, Evened]()
        for _ in range(EVENED):
            starts = [listed(self.piles, now[wait], self.work, np.full(len(now[wait]), wait)) for wait in now]
            days = list(zip(now.values(), starts, strict=True))
            for (wait, pours), (_, start), hours in zip(
                list(now.items()), days, self.timing.used_each(days), strict=True
            ):
                worst = float(hours.max())
                if wait not in best or worst < best[wait][0] - 1e-6:
                    best[wait] = (worst, pours, start, hours)
                now[wait] = self._thinned(pours, hours)
                if now[wait] == pours:
                    del now[wait]
            if not now:
                break
        return [best[wait] for wait in waits_s]

    def _thinned(self, division: tuple[Stretch, ...], hours: np.ndarray) -> tuple[Stretch, ...]:
        """Lifts of much dose thinner, of little dose thicker, limb by limb."""
        out: list[Stretch] = []
        for limb in range(len(self.piles.first) - 1):
            mine = [s for s in division if s.limb == limb]
            low, high = mine[0].low, mine[-1].high
            dose = np.array([max(0.02, float(hours[s.low : s.high].max())) for s in mine])
            share = np.array([self.piles.foam_m3(s) for s in mine]) * np.clip((dose.mean() / dose) ** 0.4, 0.6, 1.7)
            filled = np.concatenate([[0.0], np.cumsum(self.piles.volume_m3[low:high])])
            marks = np.interp(np.cumsum(share) / share.sum() * filled[-1], filled, np.arange(high - low + 1))
            cuts = np.concatenate([[low], np.round(low + marks).astype(int)]) - low
            ends = low + self._spaced(cuts, filled)
            pieces = self._repaired([Stretch(limb, int(a), int(b)) for a, b in pairwise(ends)])
            out += pieces or mine
        return tuple(out)

    def _spaced(self, cuts: np.ndarray, filled: np.ndarray) -> np.ndarray:
        """Cuts of a limb, moved so far apart that each pour has slabs and foam enough where the limb has them."""
        count, out = len(cuts) - 1, cuts.copy()
        slabs, foam_m3 = min(self.least, int(out[-1]) // count), min(self.least_m3, float(filled[-1]) / count)
        tops = np.searchsorted(filled, filled + foam_m3 * (1 - 1e-9))  # lowest cut with enough over each
        bottoms = np.searchsorted(filled, filled - foam_m3 * (1 - 1e-9), side="right") - 1
        for k in range(1, count):
            out[k] = max(out[k], out[k - 1] + slabs, tops[min(out[k - 1], len(tops) - 1)])
        for k in range(count - 1, 0, -1):
            out[k] = min(out[k], out[k + 1] - slabs, bottoms[out[k + 1]])
        return out

    def enough(self, *pours: Stretch) -> bool:
        """Whether each of these is foam enough for a pour."""
        return all(self.piles.foam_m3(s) >= self.least_m3 * (1 - 1e-9) for s in pours)

    def _repaired(self, pieces: list[Stretch]) -> list[Stretch]:
        """From the top down, what may not be gives its lowest slabs to the pour below; empty where that does not do."""
        out = list(pieces)
        for k in range(len(out) - 1, -1, -1):
            while out[k].high - out[k].low > 1 and not self.may(out[k]):
                if k == 0:
                    return []
                low = out[k].low + 1
                out[k] = Stretch(out[k].limb, low, out[k].high)
                out[k - 1] = Stretch(out[k].limb, out[k - 1].low, low)
        return out if all(s.high > s.low and self.may(s) for s in out) else []

    def one_more(self, found: Found) -> tuple[Stretch, ...] | None:
        """One pour more in the limb whose worst point has most."""
        for k in sorted(range(len(found.stretches)), key=lambda k: -self._dose(found, k)):
            limb = found.stretches[k].limb
            mine = [s for s in found.stretches if s.limb == limb]
            thickest = max(mine, key=lambda s: (s.high - s.low, -s.low))
            worst = max(mine, key=lambda s: float(found.timed.used[s.low : s.high].max()))
            for s in (worst, thickest):
                if s.high - s.low >= 2 * self.least:
                    cut = self.even(s.low, s.high, 2)[1]
                    at = found.stretches.index(s)
                    halves = (Stretch(limb, s.low, cut), Stretch(limb, cut, s.high))
                    if self.enough(*halves):
                        return (*found.stretches[:at], *halves, *found.stretches[at + 1 :])
        return None

    @staticmethod
    def _dose(found: Found, k: int) -> float:
        s = found.stretches[k]
        return float(found.timed.used[s.low : s.high].max())

    def found(self, division: tuple[Stretch, ...], timed: Timed) -> Found:
        """A division with its starts, its cost, and whether it keeps the dose."""
        return Found(division, timed, self._cost(division, timed), timed.excess_h <= CLOSE)

    def fewest(self) -> tuple[Stretch, ...]:
        """Every limb in as few pours as may be, as even in volume as may be."""
        out: list[Stretch] = []
        for limb in range(len(self.piles.first) - 1):
            low, high = int(self.piles.first[limb]), int(self.piles.first[limb + 1])
            tallest = self._tops_enough(self._tallest(limb, low, high))
            even = [Stretch(limb, a, b) for a, b in pairwise(self.even(low, high, len(tallest)))]
            out += even if all(self.may(p) for p in even) else tallest
        return tuple(out)

    def _tallest(self, limb: int, low: int, high: int) -> list[Stretch]:
        """From the bottom up, each stretch as tall as it may be: no other way has fewer."""
        out = []
        while low < high:
            top = low + 1
            while top < high and self.may(Stretch(limb, low, top + 1)):
                top += 1
            out.append(Stretch(limb, low, top))
            low = top
        return out

    def _tops_enough(self, pours: list[Stretch]) -> list[Stretch]:
        """A last pour that is too little, with slabs of the one under it as long as both may be."""
        out = list(pours)
        while len(out) > 1 and not self.enough(out[-1]):
            below, top = out[-2], out[-1]
            lower, more = Stretch(below.limb, below.low, below.high - 1), Stretch(top.limb, top.low - 1, top.high)
            if lower.high <= lower.low or not self.enough(lower) or not self.may(more):
                break
            out[-2:] = [lower, more]
        return out

    def even(self, low: int, high: int, count: int) -> list[int]:
        """Ends of ``count`` parts of even volume."""
        volume = np.concatenate([[0.0], np.cumsum(self.piles.volume_m3[low:high])])
        marks = np.searchsorted(volume, volume[-1] * np.arange(1, count) / count)
        cuts = [low]
        for k, mark in enumerate(marks.tolist(), start=1):
            cuts.append(low + min(max(mark, cuts[-1] - low + 1), high - low - (count - k)))
        return [*cuts, high]

    def settled(self, found: Found) -> Found:
        """Local search: one cut at a time, by fewer and fewer slabs; the stack above together where none helps."""
        self.timing.with_short = True
        division, timed = found.stretches, found.timed
        timed = self.timing.find(division, timed.start_s, rounds=8)
        cost = self._cost(division, timed)
        for step in STEPS:
            for many in (1, len(division)):
                better = True
                while better and self.timing.spent <= self.budget:
                    better = False
                    for cut in self.cuts(division):
                        if self.timing.spent > self.budget:
                            break
                        self._tell()
                        for by in (step, -step):
                            moved = self._moved(division, cut, by, many)
                            while moved is not None:
                                trial = self.timing.find(moved, timed.start_s, rounds=1, slope=timed.slope)
                                new = self._cost(moved, trial)
                                if new >= cost - 20.0:
                                    break
                                division, timed, cost, better = moved, trial, new, True
                                moved = self._moved(division, cut, by, many)
                    if better:
                        trial = self.timing.find(division, timed.start_s, rounds=3)
                        new = self._cost(division, trial)
                        if new < cost:
                            timed, cost = trial, new
        return self.found(division, timed)

    def _cost(self, division: tuple[Stretch, ...], timed: Timed) -> float:
        return float(timed.start_s.max()) + self.work.price_s * len(division) + GIVE * max(0.0, timed.excess_h - CLOSE)

    @staticmethod
    def cuts(division: tuple[Stretch, ...]) -> list[int]:
        """Indices of pours whose top is a cut inside their limb."""
        return [k for k, s in enumerate(division[:-1]) if division[k + 1].limb == s.limb]

    def _moved(self, division: tuple[Stretch, ...], cut: int, by: int, many: int) -> tuple[Stretch, ...] | None:
        """The division with a cut, or that and the next ones of its limb, moved; None where that may not be."""
        limb, out = division[cut].limb, list(division)
        last = cut
        while last + 1 < len(division) and division[last + 1].limb == limb:
            last += 1
        if many > 1 and last - cut < many and many < len(division):
            return None
        moved = min(many, last - cut)
        if many > 1 and moved < 2:
            return None
        for k in range(cut, cut + moved):
            out[k] = Stretch(limb, out[k].low, out[k].high + by)
            out[k + 1] = Stretch(limb, out[k + 1].low + by, out[k + 1].high)
        pairs = zip(out[cut : cut + moved + 1], division[cut : cut + moved + 1], strict=True)
        return tuple(out) if all(self._may_become(s, was) for s, was in pairs) else None

    def _may_become(self, s: Stretch, was: Stretch) -> bool:
        """Whether a pour may be another: no thinner and no less than a pour should be, or no more so than it was."""
        thin, less = s.high - s.low < self.least, not self.enough(s)
        if (thin and s.high - s.low < was.high - was.low) or (less and self.piles.foam_m3(s) < self.piles.foam_m3(was)):
            return False
        return self.may(s)
