"""Waits made shorter one by one: the last minutes, where a dose jumps and slopes say nothing of what is near."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pourwright.day.model import Stretch
from pourwright.day.timing import CLOSE, Timed, Timing, listed

SHORTER_S = (480.0, 240.0, 120.0, 60.0)  # what a wait is shortened by, in turn
SWAPPED_S = (120.0, 60.0)  # a wait gets shorter by twice so much where the one beside gets longer by once
ROUNDS = 3
WORTH_S = 60.0  # a round that saves no more is the last


def trimmed(
    timing: Timing, stretches: tuple[Stretch, ...], timed: Timed, goes_on: Callable[[], bool] = lambda: True
) -> Timed:
    """A day that keeps the limits with each of its waits as much shorter as they allow; of others as it was.

    Parameters
    ----------
    timing : Timing
    stretches : tuple of Stretch
    timed : Timed
        Starts of theirs.
    goes_on : callable
        Asked before each wait is tried: False ends the work with what was found.

    Returns
    -------
    Timed
        Never later than the given one, and within the limits where that was.

    Notes
    -----
    Where two pours warm the same core, its time above the limit jumps by an hour within two minutes of a wait. There
    a step along slopes, which changes all waits together, fails through one of them and is given up; waits tried one
    at a time find each its own brink.
    """
    if timed.excess_h > CLOSE:
        return timed
    one = _Waits(timing, stretches, timed, goes_on)
    if not one.taken(one.gap_s, worth=False):
        return timed
    for by in SHORTER_S:
        one.shorten(by)
    for _ in range(ROUNDS):
        before = one.end_s
        for by in SWAPPED_S:
            one.swap(by)
        while one.shorten(SHORTER_S[-1]):
            pass
        if one.end_s > before - WORTH_S - 1.0:
            break
    return one.best


class _Waits:
    """The waits of one day while they are tried."""

    def __init__(self, timing: Timing, stretches: tuple[Stretch, ...], timed: Timed, goes_on: Callable[[], bool]):
        self.timing, self.stretches, self.best, self.goes_on = timing, stretches, timed, goes_on
        under = timing.piles.under(stretches)
        start = timed.start_s
        lies = [(k, below) for k, below in enumerate(under) if below]
        self.gap_s = np.zeros(len(stretches))
        for k, below in lies:
            self.gap_s[k] = start[k] - max(start[b] for b in below)
        self.least_s = timing.work.shortest_wait_s
        self.free = [k for k, _ in lies if self.gap_s[k] > self.least_s]

    @property
    def end_s(self) -> float:
        return float(self.best.start_s.max())

    def taken(self, gap_s: np.ndarray, worth: bool = True) -> bool:
        """Whether the day with these waits is kept, and is the best now; ``worth``: and shorter."""
        timing = self.timing
        start = listed(timing.piles, self.stretches, timing.work, gap_s)
        if start.max() > self.end_s - (1.0 if worth else 0.0):
            return False
        used = timing.used(self.stretches, [start])[0]
        excess = max(0.0, float(used.max()) - 1.0)
        if excess > CLOSE:
            return False
        self.gap_s, self.best = gap_s, replace(self.best, start_s=start, used=used, excess_h=excess)
        return True

    def shorten(self, by_s: float) -> bool:
        """Each wait by ``by_s`` as often as that does; whether any was."""
        before = self.end_s
        for k in self.free:
            if not self.goes_on():
                break
            while self.gap_s[k] - by_s >= self.least_s and self.taken(self._changed(k, -by_s)):
                pass
        return self.end_s < before

    def swap(self, by_s: float) -> None:
        """Each wait by twice ``by_s`` for one beside it that gets longer."""
        for k in self.free:
            if not self.goes_on():
                break
            for beside in (k - 1, k + 1):
                if beside in self.free and self.gap_s[k] - 2 * by_s >= self.least_s:
                    changed = self._changed(k, -2 * by_s)
                    changed[beside] += by_s
                    self.taken(changed)

    def _changed(self, k: int, by_s: float) -> np.ndarray:
        gap = self.gap_s.copy()
        gap[k] += by_s
        return gap
