"""Waits of what is left that are made longer where a lift stays hot too long: which, how far, and which day is taken.

Excess is told by a line that the test draws, in place of marched heat: what is asked is what is done about it.
"""

from collections.abc import Callable
from types import SimpleNamespace

import pytest

from pourwright.plan import HeatRules
from pourwright.record import heat

LIMIT_S = 3600.0
RULES = HeatRules(scorch_s=LIMIT_S, scorch_high_s=2 * LIMIT_S)


class Days:
    """As many lifts as ``excess`` has lines; each tells, of the waits in minutes, by what share a lift is over."""

    fixed = 0

    def __init__(self, *excess: Callable, sought=()):
        self.excess, self._sought = excess, [60.0 * minutes for minutes in sought]
        self.lifts = [
            SimpleNamespace(number=n, pours=(SimpleNamespace(name=f"{n}a", checks=()),))
            for n in range(1, len(excess) + 1)
        ]
        self.at_hand = SimpleNamespace(whole=SimpleNamespace(lifts=self.lifts))

    def heated(self, between, rules):
        minutes = [wait / 60.0 for wait in between]
        hot = [LIMIT_S * (1.0 + one(minutes)) for one in self.excess]
        heats = {f"{n}a": SimpleNamespace(hot_s=[(h, h, h)]) for n, h in enumerate(hot, start=1)}
        return heat._Tried(tuple(self.lifts), SimpleNamespace(), heats, list(between))

    def sought(self, first, rules):
        return list(self._sought)


def minutes_of(tried):
    return [round(wait / 60.0) for wait in tried.between]


def test_a_day_within_the_limit_goes_before_a_shorter_one_that_is_a_little_over():
    """Four hundredths over are no tenth, and were taken for none."""
    day = Days(lambda w: 0.04 if w[0] < 500 else -0.1, lambda w: -1.0, sought=(500,))
    found, told = heat._computed(day, RULES, [1800.0], known=True)
    assert minutes_of(found) == [500]
    assert "the foam as it is now asks for them" in told


def test_waits_of_the_sheet_stay_where_others_leave_as_much_over():
    """A wait of 5 h became one of 2.5 h after a pour that went as planned: the lift was over by itself either way."""
    day = Days(lambda w: 0.48, lambda w: 0.52, sought=(60,))
    found, told = heat._computed(day, RULES, [300 * 60.0], known=True)
    assert minutes_of(found) == [300]
    assert told == ""


def test_waits_of_the_sheet_stay_where_only_the_few_cells_of_the_bench_see_them_over():
    """A pour a few minutes late made a wait of 25 min one of 82: by 4 % on a quarter of the cells, within on all."""

    class Coarse(Days):
        def heated(self, between, rules):
            self.excess = (lambda w: 0.04 if rules.cells < RULES.cells and w[0] < 80 else -0.1, lambda w: -1.0)
            return super().heated(between, rules)

    found, told = heat._computed(Coarse(lambda w: 0.0, lambda w: 0.0, sought=(82,)), RULES, [25 * 60.0], known=True)
    assert minutes_of(found) == [25]
    assert told == ""


def test_a_wait_that_can_take_all_of_it_away_grows_until_it_has():
    """It stopped at a tenth of what was over, though a longer wait kept the limit."""
    day = Days(lambda w: (73.0 - w[0]) / 33.0, lambda w: -1.0)
    assert minutes_of(heat._lengthened(day, RULES, [40 * 60.0], heat.TURNS))[0] >= 73


def test_a_wait_that_cannot_take_all_of_it_away_stops_where_it_has_taken_nearly_all():
    """Three quarters of it go with the first quarter of an hour; the rest stays whatever is waited."""
    day = Days(lambda w: 0.25 + max(0.0, 0.75 - (w[0] - 40.0) / 15.0), lambda w: -1.0)
    assert 50 <= minutes_of(heat._lengthened(day, RULES, [40 * 60.0], heat.TURNS))[0] <= 60


def test_a_lift_over_by_itself_keeps_no_other_from_its_longer_wait():
    """Together they were over by what hardly shrank, so neither was waited for."""
    day = Days(lambda w: 5.0, lambda w: -1.0, lambda w: (60.0 - w[2]) / 30.0, lambda w: -1.0)
    waits = minutes_of(heat._lengthened(day, RULES, [1800.0, 1800.0, 1800.0], heat.TURNS))
    assert waits[0] == 30  # nothing is waited for beside the one that no wait helps
    assert waits[2] >= 60


@pytest.mark.parametrize("turns", [heat.TURNS, heat.LAST_TURNS])
def test_beside_a_lift_over_by_itself_no_wait_grows(turns):
    day = Days(lambda w: 3.0, lambda w: -1.0)
    assert minutes_of(heat._lengthened(day, RULES, [1800.0], turns)) == [30]


def test_a_wait_that_is_over_stays():
    day = Days(lambda w: (80.0 - w[0]) / 40.0, lambda w: (80.0 - w[1]) / 40.0, lambda w: -1.0)
    day.fixed = 1
    waits = minutes_of(heat._lengthened(day, RULES, [1800.0, 1800.0], heat.TURNS))
    assert waits[0] == 30
    assert waits[1] > 30
