"""The shortest starts of given pours that keep the dose: linear programmes, each on a fresh linearisation."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from pourwright.day.model import Allowed, Dose, Stretch, Work

DoseOf = Callable[[list[np.ndarray]], list[Dose]]
"""Dose of every slab for each of several arrays of starts (slabs,) [s]."""

CLOSE = 0.005  # over the limit by less of it counts as kept while searching
PROBE_S = 300.0
PEAK_SPAN_K = 5.0  # below the peak temperature over which all of it comes to be used; our judgement
FACE_SPAN_K = 40.0  # the same of the face that is landed on
GRAIN_S = 60.0  # starts are whole minutes: what a clock on the wall shows
RADIUS = 0.25  # of the first step: half a wait and five minutes are 1
CORRECTIONS = 4
GIVE = 1e5  # what all of what is allowed, over it, costs in the programme, in seconds
OVER = 600.0  # and what it costs in a comparison to be over it at all


Asked = tuple[tuple[Stretch, ...], np.ndarray]
"""Pours and their starts (pours,) [s]."""


@dataclass(frozen=True, eq=False)
class Piles:
    """Which slabs lie on which, and how much each holds."""

    first: np.ndarray  # (limbs + 1,) slab numbers
    below: tuple[tuple[int, ...], ...]  # of each limb: limbs that must be full before it
    volume_m3: np.ndarray  # (slabs,)

    def foam_m3(self, stretch: Stretch) -> float:
        """What a pour fills."""
        return float(self.volume_m3[stretch.low : stretch.high].sum())

    def under(self, stretches: tuple[Stretch, ...]) -> list[tuple[int, ...]]:
        """For each pour the pours it is poured on."""
        top = {s.high: k for k, s in enumerate(stretches)}
        out: list[tuple[int, ...]] = []
        for s in stretches:
            if s.low > self.first[s.limb]:
                out.append((top[s.low],))
            else:
                out.append(tuple(top[int(self.first[limb + 1])] for limb in self.below[s.limb]))
        return out


@dataclass(frozen=True, eq=False)
class Timed:
    """Starts that were found for given pours, and what they use."""

    start_s: np.ndarray  # (pours,)
    used: np.ndarray  # (slabs + pours,) shares of what is allowed, as `Timing.used` has them
    slope: np.ndarray | None  # (slabs + pours, pours) share per second of a longer gap before each pour
    excess_h: float


def listed(piles: Piles, stretches: tuple[Stretch, ...], work: Work, gap_s: np.ndarray) -> np.ndarray:
    """Starts (pours,) by list scheduling: whoever is free takes the pour with the longest way to the end.

    ``gap_s`` (pours,) is the least time from the start of the pours below to the start of each.
    """
    under = piles.under(stretches)
    n = len(stretches)
    over: list[list[int]] = [[] for _ in range(n)]
    for k, below in enumerate(under):
        for b in below:
            over[b].append(k)
    busy = np.array([work.busy_s(piles.foam_m3(s)) for s in stretches])
    tail = np.zeros(n)
    order = _bottom_up(under)
    for k in reversed(order):
        tail[k] = max((tail[o] + gap_s[o] for o in over[k]), default=0.0)
    start = np.full(n, -1.0)
    free = [0.0] * work.hands
    left = set(range(n))
    while left:
        ready = [k for k in left if all(start[b] >= 0 for b in under[k])]
        soonest = {k: max((start[b] + gap_s[k] for b in under[k]), default=0.0) for k in ready}
        hand = int(np.argmin(free))
        now = max(free[hand], min(soonest.values()))
        k = min((k for k in ready if soonest[k] <= now + 1e-6), key=lambda k: (-tail[k], k))
        start[k] = whole(now)
        free[hand] = start[k] + busy[k]
        left.discard(k)
    return start - start.min()


def over_s(excess: float) -> float:
    """What a day that is over what is allowed by this share of it is worse by [s]."""
    return OVER + GIVE * (excess - CLOSE) if excess > CLOSE else 0.0


def whole(seconds: float) -> float:
    """The next whole minute."""
    return float(np.ceil(seconds / GRAIN_S - 1e-6) * GRAIN_S)


def _bottom_up(under: list[tuple[int, ...]]) -> list[int]:
    done: list[int] = []
    seen: set[int] = set()
    while len(done) < len(under):
        for k, below in enumerate(under):
            if k not in seen and all(b in seen for b in below):
                done.append(k)
                seen.add(k)
    return done


def slab_starts(stretches: tuple[Stretch, ...], start_s: np.ndarray, slabs: int) -> np.ndarray:
    """Start (slabs,) [s] of every slab."""
    out = np.zeros(slabs)
    for stretch, start in zip(stretches, start_s, strict=True):
        out[stretch.low : stretch.high] = start
    return out


class Timing:
    """Finds starts for pours; counts how often heat was marched, and what that took."""

    def __init__(self, piles: Piles, work: Work, allowed: Allowed, dose_of: DoseOf, whole: float = 1.0):
        """``whole`` is the share used, on the cells of ``dose_of``, that counts as all of what is allowed."""
        self.piles, self.work, self.allowed, self.dose_of = piles, work, allowed, dose_of
        self.whole = whole
        self.marches, self.spent = 0, 0.0  # spent: marches by their `Dose.effort`
        self.with_short = False
        self.most = np.inf  # spent, no start is looked for any further

    def doses(self, days: list[Asked]) -> list[Dose]:
        """Dose of every slab on each of some days; asked for together, they are followed side by side."""
        self.marches += len(days)
        slabs = len(self.piles.volume_m3)
        found = self.dose_of([slab_starts(stretches, start, slabs) for stretches, start in days])
        self.spent += sum(dose.effort for dose in found)
        return found

    def used(self, stretches: tuple[Stretch, ...], starts: list[np.ndarray]) -> list[np.ndarray]:
        """Shares used of what is allowed by the same pours, for each array of starts (pours,)."""
        return self.used_each([(stretches, start) for start in starts])

    def used_each(self, days: list[Asked]) -> list[np.ndarray]:
        """Shares (slabs + pours,) used of what is allowed, for each of some days.

        Slab by slab of the dose planned with and of that with short waits, then pour by pour of its peak and of the
        face it lands on.
        """
        whole = self.allowed.dose_h
        short = [(pours, self.shortened(pours, start)) for pours, start in days] if self.with_short else []
        every = self.doses([*days, *short])
        found = every[: len(days)]
        out = [dose.hours / (self.allowed.share * whole) for dose in found]
        for k, dose in enumerate(found):
            if dose.high_h is not None:
                out[k] = np.maximum(out[k], dose.high_h / self.allowed.high_h)
        if self.with_short:
            out = [np.maximum(a, b.hours / whole) for a, b in zip(out, every[len(days) :], strict=True)]
        shares = [np.append(a, self._warmth(pours, dose)) for a, dose, (pours, _) in zip(out, found, days, strict=True)]
        return [share / self.whole for share in shares]

    def _warmth(self, stretches: tuple[Stretch, ...], dose: Dose) -> np.ndarray:
        """Share (pours,) used of the hottest that a pour may get, and that the face under it may be."""
        peak_k, face_k = self.allowed.peak_k, self.allowed.face_k
        out = np.zeros(len(stretches))
        if np.isfinite(peak_k):
            hottest = np.array([dose.peak_k[s.low : s.high].max() for s in stretches])
            out = np.maximum(out, 1.0 + (hottest - peak_k) / PEAK_SPAN_K)
        if np.isfinite(face_k) and dose.face_k is not None:
            under = np.array([dose.face_k[s.low] for s in stretches])
            out = np.maximum(out, 1.0 + (under - face_k) / FACE_SPAN_K)
        return out

    def shortest(self, stretches: tuple[Stretch, ...]) -> np.ndarray:
        """Starts with no more than the shortest waits."""
        return listed(self.piles, stretches, self.work, np.full(len(stretches), self.work.shortest_wait_s))

    def shortened(self, stretches: tuple[Stretch, ...], start_s: np.ndarray) -> np.ndarray:
        """The same pours with every wait shorter by the margin, but never shorter than the hands allow."""
        under = self.piles.under(stretches)
        gap = np.array(
            [
                start_s[k] - max(start_s[b] for b in below) - self.allowed.short_s if below else 0.0
                for k, below in enumerate(under)
            ]
        )
        return listed(self.piles, stretches, self.work, np.maximum(gap, 60.0))

    def find(
        self,
        stretches: tuple[Stretch, ...],
        start_s: np.ndarray | None = None,
        rounds: int = 6,
        slope: np.ndarray | None = None,
        hasty: bool = False,
    ) -> Timed:
        """Shortest starts that keep the dose, from ``start_s`` or from even waits.

        With ``slope`` given the first round goes on that linearisation, and fresh ones are made only after it. A hasty
        one linearises the dose planned with alone, and follows that no further than the first step that is worse.
        """
        limit = 1.0
        if start_s is None:
            start_s = self._even(stretches, limit)
        used = self.used(stretches, [start_s])[0]
        best: Timed | None = None
        radius, came = RADIUS, True
        for round_ in range(rounds):
            if self.spent > self.most:
                break
            if slope is None or (round_ > 0 and came):
                slope = (self._hasty_slope if hasty else self._slope)(stretches, start_s, used)
            at, had, step = start_s, used, radius
            old = self._merit(start_s, used, limit)
            tries: list[tuple[float, int, np.ndarray, np.ndarray]] = []
            for _ in range(CORRECTIONS):  # the same slopes from where the last step led, until they lead no further
                moved = self._programme(stretches, at, had, slope, limit, step)
                if moved is None or np.array_equal(moved, at):
                    break
                at, had = moved, self.used(stretches, [moved])[0]
                tries.append((self._merit(at, had, limit), len(tries), at, had))
                if hasty and len(tries) > 1 and tries[-1][0] > tries[-2][0]:
                    break
                step *= 0.7
            if not tries:
                break
            new, _, at, had = min(tries, key=lambda t: t[:2])
            came = new < old - 1.0 or round_ == 0  # slopes that were given may be those of another day
            if new < old - 1.0:
                start_s, used = at, had
                radius = min(1.6 * radius, 1.0)
                if old - new < 20.0:
                    break
            else:
                radius *= 0.35
                if radius < 0.03:
                    break
        best = Timed(start_s, used, slope, max(0.0, float(used.max()) - limit))
        return best

    def _merit(self, start_s: np.ndarray, used: np.ndarray, limit: float) -> float:
        return float(start_s.max()) + over_s(float(used.max()) - limit)

    def _even(self, stretches: tuple[Stretch, ...], limit: float) -> np.ndarray:
        """Even waits, the shortest of a ladder that keep the dose; the longest where none does."""
        shortest = self.work.shortest_wait_s
        ladder = [shortest * 1.5**k for k in range(9)]
        low, high = 0, len(ladder) - 1
        starts = {}
        while low < high:
            mid = (low + high) // 2
            starts[mid] = listed(self.piles, stretches, self.work, np.full(len(stretches), ladder[mid]))
            if float(self.used(stretches, [starts[mid]])[0].max()) <= limit:
                high = mid
            else:
                low = mid + 1
        return listed(self.piles, stretches, self.work, np.full(len(stretches), ladder[low]))

    def _above(self, stretches: tuple[Stretch, ...]) -> np.ndarray:
        """(pours, pours) column ``p`` is one for ``p`` and for all that lie on it."""
        under = self.piles.under(stretches)
        n = len(stretches)
        reach = np.eye(n)
        for k in _bottom_up(under):
            for b in under[k]:
                reach[k] = np.maximum(reach[k], reach[b])
        return reach

    def _slope(self, stretches: tuple[Stretch, ...], start_s: np.ndarray, used: np.ndarray) -> np.ndarray:
        found = self.used(stretches, self._probes(stretches, start_s))
        return np.column_stack([(h - used) / PROBE_S for h in found])

    def _hasty_slope(self, stretches: tuple[Stretch, ...], start_s: np.ndarray, used: np.ndarray) -> np.ndarray:
        """The same of the dose planned with alone; what short waits use is taken to fall as fast."""
        short, self.with_short = self.with_short, False
        planned, *found = self.used(stretches, [start_s, *self._probes(stretches, start_s)])
        self.with_short = short
        share = np.where(used > planned + 1e-9, self.allowed.share, 1.0)
        return np.column_stack([share * (h - planned) / PROBE_S for h in found])

    def _probes(self, stretches: tuple[Stretch, ...], start_s: np.ndarray) -> list[np.ndarray]:
        """Starts with each gap longer by a little, in turn."""
        reach = self._above(stretches)
        return [start_s + PROBE_S * reach[:, p] for p in range(len(stretches))]

    def _programme(
        self,
        stretches: tuple[Stretch, ...],
        start_s: np.ndarray,
        used: np.ndarray,
        slope: np.ndarray,
        limit: float,
        radius: float,
    ) -> np.ndarray | None:
        """Starts that the linearisation says are shortest; variables are the changes of the starts, end and excess."""
        n = len(stretches)
        under = self.piles.under(stretches)
        inverse = np.linalg.inv(self._above(stretches))
        rows, sides = [], []
        near = np.flatnonzero(used > 0.4 * limit)
        for i in near:
            rows.append(np.append(slope[i] @ inverse, [0.0, -1.0]))
            sides.append(limit - used[i])
        work, busy = self.work, [whole(self.work.busy_s(self.piles.foam_m3(s))) for s in stretches]

        def later(after: int, before: int, gap: float) -> None:
            row = np.zeros(n + 2)
            row[before], row[after] = 1.0, -1.0
            rows.append(row)
            sides.append(start_s[after] - start_s[before] - gap)

        for k, below in enumerate(under):
            for b in below:
                least = max(work.shortest_wait_s, busy[b] if work.hands == 1 else 0.0)
                later(k, b, least)
                gap = start_s[k] - start_s[b]
                most = radius * (0.5 * gap + 300.0)
                row = np.zeros(n + 2)
                row[k], row[b] = 1.0, -1.0
                rows += [row, -row]
                sides += [most, most]
        order = np.argsort(start_s, kind="stable")
        for k in range(n - 1):
            later(int(order[k + 1]), int(order[k]), 0.0)
        for k in range(n - work.hands):
            later(int(order[k + work.hands]), int(order[k]), busy[int(order[k])])
        for k in range(n):
            row = np.zeros(n + 2)
            row[k], row[n] = 1.0, -1.0
            rows.append(row)
            sides.append(-float(start_s[k]))
        cost = np.full(n + 2, 1e-4)  # among equals the earlier starts
        cost[n], cost[n + 1] = 1.0, GIVE
        bounds = [(-float(start_s[k]), None) for k in range(n)] + [(0.0, None), (0.0, None)]
        found = linprog(cost, A_ub=np.array(rows), b_ub=np.array(sides), bounds=bounds, method="highs")
        if found.x is None:
            return None
        moved = start_s + found.x[:n]
        return np.ceil((moved - moved.min()) / GRAIN_S - 1e-3) * GRAIN_S
