"""What would tip, push or hang slack on the way is refused with its numbers, never drawn as a load that holds."""

import math

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.moving import move
from pourwright.moving.tail import tailing
from pourwright.outcome import Hang, Hook, Leg, Moving, Part, Site, Spot, refusals
from pourwright.ranges import Range

G = 9.80665
UP = np.array([0.0, 0.0, 1.0])


def _moved(made, parts, asked, **more):
    site = Site(moving=asked, hang=Hang((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)), hook=Hook(dynamic=1.0), **more)
    return move(*made(parts, site))


def _loose(kg, half, at):
    value = Range(kg - half, kg, kg + half)
    return Part("lead", "item", 0, value, value, value, "", np.array(at, float), np.zeros((3, 3)))


def _spots(*places):
    return tuple(Spot(from_left_m=x, from_front_m=y, from_base_m=0.0) for x, y in places)


CRADLE = _spots((0.2, 0.1), (0.6, 0.1), (0.4, 0.4))


def test_a_piece_that_tips_only_at_the_end_of_its_range_is_refused_with_how_far(made, lump):
    """10 kg, and 6 kg (4 to 8) 400 mm to its right: only with the heavy end is the middle beyond the chocks."""
    parts = [lump(10.0, (-0.1, -0.1, 0.0)), _loose(6.0, 2.0, (0.3, -0.1, 0.0))]
    inside = _moved(made, parts, Moving(cradle=CRADLE))
    # Level: chocks at 0.2..0.6 from the left; centres at 0.4 + 0.4 * k / (10 + k), at the front 0.15 where the
    # triangle's right side is at 0.6 - 0.2 * 0.05 / 0.3.
    side = 0.6 - 0.2 * 0.05 / 0.3
    at = {k: 0.4 + 0.4 * k / (10 + k) for k in (4.0, 6.0, 8.0)}
    slope = math.hypot(0.3, 0.2)
    beside = (at[8.0] - side) * 0.3 / slope
    assert at[6.0] < side < at[8.0]
    assert inside.inside_m.high > 0
    assert inside.inside_m.low == pytest.approx(-beside, abs=1e-9)
    assert inside.inside_m.nominal == pytest.approx((side - at[6.0]) * 0.3 / slope, abs=1e-9)
    assert "on its cradle: it tips" in refusals(inside)
    assert told(inside)[Code.TIPS_ON_CRADLE]["low_m"] == pytest.approx(-beside)
    assert all(math.isnan(chock.pressure_pa) for chock in inside.chocks)  # what tips has no load that is known


def test_a_piece_within_its_chocks_at_every_end_is_not_refused(made, lump):
    parts = [lump(10.0, (-0.1, -0.1, 0.0)), _loose(1.0, 0.5, (0.1, -0.1, 0.0))]
    held = _moved(made, parts, Moving(cradle=CRADLE, floor_pa=1e6))
    assert held.chocks
    assert held.inside_m.low > 0
    assert refusals(held) == ()
    assert all(chock.pressure_pa > 0 for chock in held.chocks)


def test_a_bar_one_leg_of_which_would_push_is_refused_with_its_force(made, lump):
    ends = (
        Spot(from_left_m=0.0, from_front_m=0.25, from_top_m=0.0),
        Spot(from_left_m=0.5, from_front_m=0.25, from_top_m=0.0),
    )
    result = _moved(made, [lump(200 / G, (0.2, 0.0, 0.0))], Moving(bar_at=ends, bar_above_m=0.5, bar_n=1e6))
    # At 0.7 of a bar from 0 to 0.5: 280 N on one leg, 80 N of push in the other.
    assert "under the spreader bar: its first leg would have to push" in refusals(result)
    pushes = told(result)[Code.BAR_LEG_PUSHES]
    assert pushes["push_n"] == pytest.approx(80.0)
    assert pushes["beyond_m"] == pytest.approx(0.2)


def test_a_bar_over_a_mass_that_lies_beside_or_over_its_line_says_how_far_it_rolls(made, lump):
    ends = (
        Spot(from_left_m=0.0, from_front_m=0.25, from_base_m=0.5),
        Spot(from_right_m=0.0, from_front_m=0.25, from_base_m=0.5),
    )
    aside = _moved(made, [lump(20.0, (0.0, 0.1, -0.1))], Moving(bar_at=ends, bar_n=1e6))
    assert told(aside)[Code.ROLLS_UNDER_BAR]["roll_rad"] == pytest.approx(math.pi / 4)
    over = _moved(made, [lump(20.0, (0.0, 0.0, 0.2))], Moving(bar_at=ends, bar_n=1e6))
    assert any("bar" in one and "turns over" in one for one in refusals(over))
    assert Code.TURNS_OVER_UNDER_BAR in told(over)


def _tailed(tail, centres, up=UP):
    weights = np.full(len(centres), 100.0)
    return tailing(np.zeros(3), np.array(tail, float), weights, np.array(centres, float), np.zeros((1, 3)), up, None)


def test_a_tail_rope_that_is_slack_from_the_start_is_refused_and_no_force_is_drawn():
    # Tail 60 degrees below the main; the mass hangs 1 m out across the line, so the tail bears to atan(0.5) only.
    down = np.array([math.cos(math.pi / 3), 0.0, -math.sin(math.pi / 3)])
    across = np.array([-down[2], 0.0, down[0]]) * -1.0
    turned = _tailed(2.0 * down, [0.5 * down + 1.0 * across])
    assert not turned.possible
    assert turned.steps == ()
    assert math.isnan(turned.tail_most_n)
    assert turned.main_most_n == 100.0
    slack = told(turned)[Code.TAIL_SLACK_AT_ONCE]
    assert slack["start_rad"] == pytest.approx(math.pi / 3)
    assert slack["slack_rad"] == pytest.approx(math.atan(0.5))


def test_a_tail_rope_that_is_slack_at_one_end_of_the_range_only_is_refused_too():
    down = np.array([math.cos(0.4), 0.0, -math.sin(0.4)])
    across = np.array([-down[2], 0.0, down[0]]) * -1.0
    sound, slack = 1.0 * down + 0.2 * across, 0.2 * down + 0.9 * across
    assert _tailed(2.0 * down, [sound]).possible
    assert not _tailed(2.0 * down, [sound, slack]).possible


def test_a_main_rope_that_goes_slack_on_the_way_is_refused():
    # The tail is taken up until it is 80 degrees over the main; the mass lies near the tail.
    turned = _tailed([1.0, 0, 0], [[0.8, 0.0, -0.5]], up=np.array([math.sin(-1.4) * -1.0, 0.0, math.cos(1.4)]))
    end = math.asin(float(np.clip(-math.sin(1.4), -1, 1)))
    assert end < -math.atan2(0.2, 0.5)
    assert not turned.possible
    assert told(turned)[Code.MAIN_ROPE_SLACK]["taut_rad"] == pytest.approx(-math.atan2(0.2, 0.5))


def test_no_hook_carries_more_than_the_piece_weighs_and_none_less_than_nothing():
    turned = _tailed([2.0, 0, 0], [[1.0, 0, -0.3], [0.8, 0, -0.5]], up=np.array([-1.0, 0.0, 0.0]))
    assert turned.possible
    for step in turned.steps:
        assert step.tail_n.low >= 0.0
        assert step.main_n.high <= 100.0
    assert Code.TAIL_GOES_SLACK in told(turned)


def test_legs_that_spread_wide_at_the_hook_and_a_shackle_pulled_back_are_told(made, lump):
    legs = tuple(
        Leg(name, Spot(at_m=(x, 0.0, 0.0)), length_m=0.6, rating_n=1e5) for name, x in (("left", -0.5), ("right", 0.5))
    )
    asked = Moving(lug=(0.0, 0.0, -1.0), shackle_n=1e5)
    result = _moved(made, [lump(20.0, (0.0, 0.0, -0.2))], asked, legs=legs)
    assert told(result)[Code.LEGS_TOO_WIDE]["apart_rad"] == pytest.approx(2 * math.asin(0.5 / 0.6))
    assert any("beyond a right angle" in one for one in refusals(result))


def test_a_mass_beyond_both_points_is_told_with_how_far():
    turned = _tailed([1.0, 0, 0], [[1.2, 0.0, -0.5]])
    assert not turned.possible
    assert told(turned)[Code.ONE_HOOK_PUSHES]["beyond_m"] == pytest.approx(0.2)


def test_a_piece_that_ends_in_the_pose_it_starts_from_is_told_to_be_lifted_not_turned():
    turned = _tailed([2.0, 0, 0], [[1.0, 0, -0.3]])
    assert len(turned.steps) == 1
    assert Code.LIFTED_NOT_TURNED in told(turned)


def test_a_load_that_is_not_known_does_not_ask_for_a_limit_that_is_given(made, lump):
    spots = _spots((0.05, 0.1), (0.2, 0.1), (0.1, 0.4))
    tipped = _moved(made, [lump(10.0, (0.3, 0.0, 0.0))], Moving(cradle=spots, floor_pa=1e5))
    (check, *_) = [one for one in tipped.checks if "floor" in one.name]
    assert check.verdict == "unknown"
    assert "give" not in check.remedy
