"""Days made to keep more limits than they were found under."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from pourwright.day.mending import mended, mended_front
from pourwright.day.model import Allowed, Dose, Stretch
from pourwright.day.search import Search
from pourwright.day.timing import Timing


def search_of(piles, shop, may, heat=0.3, budget=600):
    count = len(piles.volume_m3)

    def dose_of(starts):
        apart = np.abs(np.arange(count)[:, None] - np.arange(count)[None, :])
        near = [np.exp(-np.abs(s[:, None] - s[None, :]) / 1500.0) for s in starts]
        return [Dose((one * np.exp(-apart / 2.0) * heat).sum(axis=1), np.zeros(count)) for one in near]

    allowed = Allowed(1.0)
    return Search(Timing(piles, shop, allowed, dose_of), may, budget=budget)


def cut(*marks):
    return tuple(Stretch(0, a, b) for a, b in itertools.pairwise(marks))


def whole(division, slabs):
    return sorted(i for s in division for i in range(s.low, s.high)) == list(range(slabs))


def test_a_pour_that_reaches_too_far_gives_to_its_neighbour_before_one_more_is_made(piles, work):
    """The last pour may not start below slab 9: moving that cut up serves, and no pour more is needed."""

    def may(s):
        return not (s.low < 9 and s.high > 11)

    search = search_of(piles([12], [()]), work(), may, heat=0.05)
    found = mended(search, cut(0, 4, 8, 12), np.array([0.0, 1800.0, 3600.0]))
    assert len(found.stretches) == 3
    assert all(may(s) for s in found.stretches)
    assert whole(found.stretches, 12)


def test_the_front_is_kept_when_a_limit_comes_to_it(piles, work):
    shape = piles([10], [()])
    free = search_of(shape, work(), lambda s: True).run()
    assert len(free) > 2

    def may(s):
        return s.high - s.low <= 4

    front = mended_front(search_of(shape, work(), may), [(found.stretches, found.timed.start_s) for found in free])
    assert len(front) > 1
    assert [len(found.stretches) for found in front] == sorted({len(found.stretches) for found in front})
    for found in front:
        assert whole(found.stretches, 10)
        assert all(may(s) for s in found.stretches)


def test_a_limit_more_never_makes_the_best_day_shorter(piles, work):
    """Cost, hours with a price on every pour, of the best day; a heuristic may miss by a minute or two."""
    shape = piles([8], [()])
    last = 0.0
    for most in (8, 5, 3, 2):
        front = search_of(shape, work(), lambda s, most=most: s.high - s.low <= most).run()
        best = min(found.cost_s for found in front if found.kept)
        assert best >= last - 180.0
        last = best


@pytest.mark.parametrize("hands", [1, 2])
def test_days_come_in_any_order_of_pours(piles, work, hands):
    """A day lists its pours by their starts; cuts are found again limb by limb."""
    shape = piles([4, 4, 4], [(), (0,), (0,)])
    search = search_of(shape, work(hands=hands), lambda s: s.high - s.low <= 3, heat=0.02)
    division = (Stretch(0, 0, 4), Stretch(1, 4, 6), Stretch(2, 8, 12), Stretch(1, 6, 8))
    found = mended(search, division, np.array([0.0, 900.0, 1200.0, 2400.0]))
    assert whole(found.stretches, 12)
    assert all(s.high - s.low <= 3 for s in found.stretches)


def test_days_are_mended_with_what_may_be_spent(piles, work):
    """Ten times as long to follow: fewer marches, all days are still there, and each keeps what it may be."""

    def mended_with(effort, most=np.inf):
        search = search_of(piles([12], [()]), work(), lambda s: s.high - s.low <= 3, heat=0.25, budget=200)
        followed = search.timing.dose_of
        search.timing.dose_of = lambda starts: [replace(one, effort=effort) for one in followed(starts)]
        search.timing.most = most
        days = [(cut(0, 4, 8, 12), 3600.0 * np.arange(3)), (cut(0, 3, 6, 9, 12), 3600.0 * np.arange(4))]
        return mended_front(search, days), search.timing

    free, light = mended_with(1.0)
    tight, heavy = mended_with(10.0, most=400.0)
    assert heavy.marches < 0.5 * light.marches
    assert heavy.spent == pytest.approx(10.0 * heavy.marches)
    assert {len(found.stretches) for found in tight} >= {4}
    assert all(s.high - s.low <= 3 for found in (*free, *tight) for s in found.stretches)
