"""A short search: what it says of its days is so, and they are not far from those of a whole search."""

from __future__ import annotations

import numpy as np
import pytest
from made_cooling import cooling

from pourwright.day.first_look import first_look
from pourwright.day.model import Allowed
from pourwright.day.search import Search
from pourwright.day.timing import Timing


@pytest.fixture(params=[([14], [()]), ([3, 3, 9], [(), (), (0, 1)]), ([8, 4, 4], [(), (0,), (0,)])])
def asked(request, piles, work):
    shape = piles(*request.param)
    heat = 0.27 + 0.1 * np.sin(np.arange(shape.first[-1]))
    return lambda: Search(Timing(shape, work(), Allowed(1.0), cooling(heat)), lambda s: s.high - s.low <= 6, 20_000)


def test_every_day_of_it_uses_what_it_says_and_keeps_the_limits_where_it_says_so(asked):
    search = asked()
    front = first_look(search)
    pours = [len(found.stretches) for found in front]
    assert pours == sorted(set(pours))
    search.timing.with_short = True
    for found in front:
        used = search.timing.used(found.stretches, [found.timed.start_s])[0]
        assert found.timed.used == pytest.approx(used)
        assert found.kept == (float(used.max()) <= 1.005)
        under = search.piles.under(found.stretches)
        assert all(found.timed.start_s[k] >= found.timed.start_s[b] for k, below in enumerate(under) for b in below)
    assert any(found.kept for found in front)


def test_its_best_day_is_near_that_of_a_whole_search_and_takes_less_heat_to_find(asked):
    short, whole = asked(), asked()
    first = min(found.cost_s for found in first_look(short) if found.kept)
    best = min(found.cost_s for found in whole.run() if found.kept)
    assert first <= 1.5 * best
    assert short.timing.marches < 0.5 * whole.timing.marches


def test_waits_followed_side_by_side_are_evened_as_each_alone(asked):
    search = asked()
    division = search.fewest()
    together = search.evened_each(division, [600.0, 1800.0, 5400.0])
    for wait, (worst, pours, start, used) in zip((600.0, 1800.0, 5400.0), together, strict=True):
        alone = search.evened(division, wait)
        assert (worst, pours) == alone[:2]
        assert np.array_equal(start, alone[2])
        assert np.array_equal(used, alone[3])
