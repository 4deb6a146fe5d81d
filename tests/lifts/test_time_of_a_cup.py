"""When a cup is empty: one rule for its size, for its check, for the clock beside it and for the bung after it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace

import pytest

from pourwright.findings import Verdict
from pourwright.lifts import ShopLimits, judged
from pourwright.lifts.assemble import _batches
from pourwright.lifts.checks import Facts, checks_of, cup_empty_s, moving_s
from pourwright.lifts.closing import _shut_check
from pourwright.lifts.fall import way_checks
from pourwright.lifts.limits import batch_cap, empty_s, lift_cap, surface_under_limit_k
from pourwright.lifts.thermal import heat_of
from pourwright.ranges import Range

SHOP = ShopLimits(mix_s=20.0, pour_rate_m3_s=1e-4)


def checked(day, limits, **change):
    warm = heat_of(day, 48.0, 0.1, 9.0, False, surface_under_limit_k(day, limits))
    base = Facts(0.1, 0.001, 1, 1, Range(2e3, 5e3, 8e3), 1e4, "panel", 1, 0.3, warm)
    facts = replace(base, **change)
    found = checks_of(facts, day, limits, lift_cap(day, limits), batch_cap(day, limits))
    return {check.name: check for check in found}


@pytest.mark.parametrize(("holes", "hands", "moved_s"), [(1, 1, 0.0), (4, 1, 12.0), (4, 2, 4.0), (5, 2, 8.0)])
def test_the_largest_cup_is_the_one_whose_check_it_just_keeps(foam, holes, hands, moved_s):
    """Four seconds to the next hole (judged); 40 s to cream, 20 s mixed, the rest poured at 0.1 L/s."""
    day, limits = foam(), replace(SHOP, hands=hands)
    moving = moving_s(holes, 1, limits)
    assert moving == moved_s
    cup = batch_cap(day, limits, moving).in_time_m3
    assert cup == pytest.approx(1e-4 * (day.cream_s - 20.0 - moved_s))
    assert empty_s(cup, limits, moving) == pytest.approx(day.cream_s)
    assert checked(day, limits, cup_m3=cup, landings=holes)[judged.POUR_TIME].verdict == Verdict.OK
    assert checked(day, limits, cup_m3=1.01 * cup, landings=holes)[judged.POUR_TIME].verdict == Verdict.OVER


def test_fewer_holes_are_named_where_a_cup_goes_round_them_and_only_there(foam):
    many, one = (checked(foam(), SHOP, cup_m3=0.0019, landings=n)[judged.POUR_TIME] for n in (4, 1))
    assert many.remedy.startswith("fewer holes for one cup, cooler liquids")
    assert one.remedy.startswith("cooler liquids")


def test_one_more_is_mixed_where_one_cup_would_cream_on_its_way_and_somebody_is_there(foam):
    """1.9 L through four holes: alone 20 + 19 + 12 s, over 40 s; halves by two people 20 + 9.5 + 12 s, by three too."""
    day = foam()
    told = [_batches(0.0019, holes, 0, day, replace(SHOP, hands=hands)) for holes, hands in ((4, 1), (4, 3), (1, 3))]
    assert empty_s(0.0019, SHOP, 12.0) > day.cream_s
    assert told[0] == 1  # nobody else mixes: its check is over, and says what helps
    assert told[2] == 1
    assert empty_s(0.0019 / told[1], SHOP, moving_s(4, told[1], replace(SHOP, hands=3))) <= day.cream_s
    assert _batches(0.0019, 4, 2, day, replace(SHOP, hands=3)) == 1  # the others are busy with what rises beside it


def test_a_tube_empties_a_cup_later_by_the_way_from_hole_to_hole(foam):
    tube = SimpleNamespace(tube=SimpleNamespace(flow_m3_s=5e-5), port=SimpleNamespace(name="P1", way="opening"))
    alone, carried = (way_checks((tube,), 5e-4, foam(), SHOP, moving)[0] for moving in (0.0, 12.0))
    assert (alone.value, alone.verdict) == (pytest.approx(30.0), Verdict.OK)
    assert (carried.value, carried.verdict) == (pytest.approx(42.0), Verdict.OVER)
    assert carried.remedy.startswith("fewer holes")


@pytest.mark.parametrize(("cups", "hands", "said"), [(1, 1, "one"), (1, 2, "one"), (2, 1, "one"), (4, 2, "2")])
def test_people_are_asked_for_in_whole_ones(foam, cups, hands, said):
    """Where hands were enough "0 more people" and "-1 more people" were asked for."""
    remedy = checked(foam(), replace(SHOP, hands=hands), at_once=cups)[judged.HANDS].remedy
    assert remedy.split()[0] == said


@dataclass(frozen=True)
class Poured:
    """What the clock of a cup asks of a pour."""

    landings: tuple
    batch: SimpleNamespace
    checks: tuple = ()
    batches: int = 1
    name: str = "1a"
    together: tuple = ()


def test_a_port_is_shut_after_its_cup_has_run_down_the_tube_and_gone_round_the_holes(foam):
    """The bung waits for what the card says: 20 s mixed, 0.5 L at 0.05 L/s, four seconds to the other hole."""
    tubes = (SimpleNamespace(tube=SimpleNamespace(flow_m3_s=5e-5)), SimpleNamespace(tube=None))
    pour = Poured(tubes, SimpleNamespace(total_m3=5e-4))
    assert cup_empty_s(pour, SHOP) == pytest.approx(34.0)
    closing = SimpleNamespace(inside="1a", by_s=50.0)
    (check,) = _shut_check(pour, [closing], SHOP).checks
    assert check.value == pytest.approx(34.0 + judged.SHUT_TAKES.value)
    assert check.verdict == Verdict.OVER
    assert "fewer holes" in check.remedy
