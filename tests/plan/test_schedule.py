"""Who does what when."""

from __future__ import annotations

import itertools
from dataclasses import replace
from types import SimpleNamespace

import pytest

from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits
from pourwright.plan.schedule import closed_wait, held_wait, offsets, rounds_of, schedule_of, whole_wait

FOAM = at_conditions(load_grade("rigid-3"), Conditions(295.0, 295.0, 295.0))
SHOP = ShopLimits(mix_s=20.0, pour_rate_m3_s=1e-4)


def _pour(name, batches=1, together=(), after=(), holes=1):
    return SimpleNamespace(
        name=name, batches=batches, batch=SimpleNamespace(total_m3=1e-3), together=together, after=after,
        landings=(SimpleNamespace(tube=None),) * holes, checks=(),
    )  # fmt: skip


def _lift(number, *pours, wait_s=float("nan")):
    return SimpleNamespace(number=number, pours=pours, wait_s=wait_s)


def test_pours_that_join_go_in_one_round_the_others_after_each_other():
    a, b, c = _pour("1a", together=("1c",)), _pour("1b"), _pour("1c", together=("1a",))
    assert [[p.name for p in r] for r in rounds_of(_lift(1, a, b, c))] == [["1a", "1c"], ["1b"]]


def test_one_hand_mixes_one_after_another():
    lift = _lift(1, _pour("1a", batches=2), _pour("1b"))
    # 20 s mixing, 10 s pouring, 60 s between
    assert offsets(lift, FOAM, SHOP, 60.0) == pytest.approx({"1a": 0.0, "1b": 180.0})


def test_a_cup_that_is_carried_from_hole_to_hole_is_empty_later():
    """Three holes, one pair of hands: twice the four seconds between two; the next mix begins so much later too."""

    def spans(holes):
        plan = SimpleNamespace(lifts=[_lift(1, _pour("1a", batches=2, holes=holes))])
        steps = schedule_of(plan, FOAM, SHOP, 60.0)
        return [(step.start_s, step.end_s) for kind in ("mix", "pour") for step in steps if step.kind == kind]

    assert spans(1) == [(0.0, 20.0), (90.0, 110.0), (20.0, 30.0), (110.0, 120.0)]
    assert spans(3) == [(0.0, 20.0), (98.0, 118.0), (20.0, 38.0), (118.0, 136.0)]


def test_two_hands_do_two_mixes_at_once():
    lift = _lift(1, _pour("1a", together=("1b",)), _pour("1b", together=("1a",)))
    assert offsets(lift, FOAM, replace(SHOP, hands=2), 60.0) == {"1a": 0.0, "1b": 0.0}
    assert offsets(lift, FOAM, SHOP, 60.0) == {"1a": 0.0, "1b": 90.0}


def test_what_rises_over_another_pour_is_mixed_when_that_has_risen():
    a, b = _pour("1a", after=("1b",)), _pour("1b")
    assert [[p.name for p in r] for r in rounds_of(_lift(1, a, b))] == [["1b"], ["1a"]]
    assert offsets(_lift(1, a, b), FOAM, SHOP, 60.0) == pytest.approx({"1b": 0.0, "1a": FOAM.rise_end_s})


def test_a_wait_from_the_first_mix_holds_for_the_last_one_too():
    """Three mixes 90 s apart (20 s mixing, 10 s pouring, 60 s between): the last begins 3 min after the first."""
    lift = _lift(1, _pour("1a", batches=3))
    assert held_wait(lift, FOAM, SHOP, 60.0, 1800.0) == 1980.0
    assert held_wait(_lift(1, _pour("1a")), FOAM, SHOP, 60.0, 1800.0) == 1800.0
    risen = 180.0 + FOAM.rise_end_s
    assert risen <= held_wait(lift, FOAM, SHOP, 60.0, 60.0) < risen + 60.0  # never onto rising foam


def test_a_wait_by_closed_forms_counts_each_pour_from_its_own_last_mix():
    """1b is mixed 90 s after 1a and asks for 20 min, 1a for 21 min: 21 min 30 s, told as 22 min."""
    a, b = _pour("1a"), _pour("1b")
    a.wait_s, b.wait_s = 1260.0, 1200.0
    assert closed_wait(_lift(1, a, b), FOAM, SHOP, 60.0) == 1320.0


def test_a_wait_is_never_told_shorter_than_it_is():
    for seconds in (599.0, 600.0, 601.0, 86_000.0, 86_341.0, 100_000.0):
        whole = whole_wait(seconds)
        assert seconds <= whole < seconds + (60.0 if seconds < 86_340 else 3600.0)
        assert whole % (60.0 if whole < 86_400 else 3600.0) == 0
    assert whole_wait(float("inf")) == float("inf")


@pytest.mark.parametrize("hands", [1, 2, 3])
def test_a_whole_job(hands):
    lifts = (
        _lift(1, _pour("1a", 3, ("1b",)), _pour("1b", 2, ("1a",)), _pour("1c"), wait_s=7200.0),
        _lift(2, _pour("2a", 4), wait_s=float("inf")),
    )
    plan = SimpleNamespace(lifts=lifts)
    shop = replace(SHOP, hands=hands)
    steps = schedule_of(plan, FOAM, shop, 60.0)
    mixes = [s for s in steps if s.kind == "mix"]
    assert sorted((s.pour, s.batch) for s in mixes) == sorted(
        (p.name, n) for lift in lifts for p in lift.pours for n in range(1, p.batches + 1)
    )
    # nobody does two things at once, and every mix is poured right after
    for hand in range(1, hands + 1):
        mine = sorted((s.start_s, s.end_s) for s in steps if s.hand == hand)
        assert all(b[0] >= a[1] - 1e-9 for a, b in itertools.pairwise(mine))
    for mix in mixes:
        (pour,) = [s for s in steps if s.kind == "pour" and (s.pour, s.batch) == (mix.pour, mix.batch)]
        assert (pour.start_s, pour.hand) == (mix.end_s, mix.hand)
        assert pour.end_s - pour.start_s == pytest.approx(10.0)
    # the second lift starts when the wait of the first is over; a wait that is not known counts as the work alone
    assert min(s.start_s for s in steps if s.lift == 2) == 7200.0
    last = [s for s in steps if s.lift == 2]
    assert max(s.end_s for s in last) == max(s.end_s for s in last if s.kind == "rise")
    # more hands are never slower
    alone = schedule_of(plan, FOAM, SHOP, 60.0)
    assert max(s.end_s for s in steps) <= max(s.end_s for s in alone)
