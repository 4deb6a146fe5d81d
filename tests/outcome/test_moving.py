"""What would tip, push or hang slack on the way is refused with its numbers, never drawn as a load that holds."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.answers.move_page import move_page
from pourwright.errors import UsageError
from pourwright.findings import Code
from pourwright.moving import move
from pourwright.moving.tail import tailing
from pourwright.outcome import Hang, Hook, Leg, Moving, Part, Site, Spot, refusals, unknowns
from pourwright.ranges import Range
from pourwright.wording.findings import sentences

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


@pytest.mark.parametrize("slant", [0.0, 0.1])
def test_three_chocks_in_one_line_hold_along_it_and_across_it_by_their_pads_alone(made, lump, slant):
    """Seen from above the mass lies 30 mm and 100 mm off the line of the middles of 100 mm pads."""
    size = math.hypot(0.5, 5 * slant * 0.1)
    along, across = np.array([0.5, slant * 0.5]) / size, np.array([-slant * 0.5, 0.5]) / size
    line = [np.array([0.5, 0.25]) + at * along for at in (-0.4, -0.1, 0.4)]
    spots = _spots(*(tuple(float(v) for v in place) for place in line))

    def lies(beside):
        at = 0.1 * along + beside * across
        return _moved(made, [lump(20.0, (*at, 0.0))], Moving(cradle=spots, pad_m=0.1, floor_pa=1e6))

    off = lies(0.1)
    assert off.inside_m.nominal == pytest.approx(-0.05)
    assert "on its cradle: it tips" in refusals(off)
    held = lies(0.03)
    assert held.inside_m.nominal == pytest.approx(0.02)
    # On the outer two 3/8 and 5/8; on the inner and the right one 3/5 and 2/5.
    weight = 20.0 * G
    assert [chock.load_n.high / weight for chock in held.chocks] == pytest.approx([3 / 8, 3 / 5, 5 / 8])
    assert [chock.load_n.low / weight for chock in held.chocks] == pytest.approx([0.0, 0.0, 0.4])
    assert refusals(held) == ()
    assert not any("chock" in one for one in unknowns(held))


def test_two_chocks_do_not_hold_what_lies_beside_them(made, lump):
    spots = _spots((0.1, 0.25), (0.9, 0.25))
    off = _moved(made, [lump(20.0, (0.0, 0.12, 0.0))], Moving(cradle=spots, pad_m=0.1))
    assert told(off)[Code.TIPS_ON_CRADLE]["low_m"] == pytest.approx(-0.07)
    with pytest.raises(UsageError, match="50 mm"):
        _moved(made, [lump(20.0, (0.0, 0.0, 0.0))], Moving(cradle=_spots((0.5, 0.25), (0.5, 0.26))))


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
    assert "up to 80.0 N (18.0 lbf)" in " ".join(sentences(result.warnings))


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
    assert turned.lost
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
    assert not _tailed(2.0 * down, [sound]).lost
    assert _tailed(2.0 * down, [sound, slack]).lost


def test_a_tail_rope_that_may_go_slack_at_one_end_of_the_range_is_not_told_to_do_so():
    """Hung 45 degrees down: the tail lets go at atan(1 / 0.5) = 63 degrees, and at an end of the range at 31."""
    up = np.array([-math.sin(math.pi / 4), 0.0, math.cos(math.pi / 4)])
    (words,) = (
        line for line in sentences(_tailed([2.0, 0, 0], [[1, 0, -0.5], [0.6, 0, -1]], up).found) if "tail rope" in line
    )
    assert "45 degrees" in words
    assert "31 degrees" in words
    assert "63" not in words
    (sure,) = (line for line in sentences(_tailed([2.0, 0, 0], [[0.6, 0, -1]], up).found) if "tail rope" in line)
    assert "goes slack 31 degrees below level, and" in sure


def test_a_piece_whose_mass_is_above_both_points_at_any_end_turns_over_and_is_refused():
    low, high = [1.0, 0.1, -0.1], [1.0, 0.1, 0.1]
    assert not _tailed([2.0, 0, 0], [low]).lost
    turned = _tailed([2.0, 0, 0], [low, high])
    assert turned.lost == ("the piece turns over",)
    assert turned.steps == ()
    assert told(turned)[Code.ROLLS_OFF_THE_GROUND]["roll_rad"] == pytest.approx(0.75 * math.pi)
    assert any("TURNS OVER" in line and "135 degrees" in line for line in sentences(turned.found))


def test_a_main_rope_that_goes_slack_on_the_way_is_refused():
    # The tail is taken up until it is 80 degrees over the main; the mass lies near the tail.
    turned = _tailed([1.0, 0, 0], [[0.8, 0.0, -0.5]], up=np.array([math.sin(-1.4) * -1.0, 0.0, math.cos(1.4)]))
    end = math.asin(float(np.clip(-math.sin(1.4), -1, 1)))
    assert end < -math.atan2(0.2, 0.5)
    assert turned.lost
    assert told(turned)[Code.MAIN_ROPE_SLACK]["taut_rad"] == pytest.approx(-math.atan2(0.2, 0.5))


def test_the_page_says_where_the_tail_rope_goes_slack(made, lump):
    """At atan(s / p), by hand: 0.5 m along from the main point, 0.25 m below the line, 0.35 m with the heavy end."""
    ends = (Spot(from_left_m=x, from_front_m=0.25, from_base_m=0.75) for x in (0.0, 1.0))
    asked = Moving(*ends, up=(0.0, 0.0, 1.0))
    parts = [lump(10.0, (0.0, 0.0, 0.0)), _loose(2.0, 2.0, (0.0, 0.0, -0.35))]
    made_of = made(parts, Site(moving=asked, hook=Hook(dynamic=1.0)))
    result = move(*made_of)
    at = {kg: math.degrees(math.atan2(0.5, 0.25 + 0.35 * kg / (10 + kg))) for kg in (2.0, 4.0)}
    section = next(s for s in move_page(made_of[0], result, "").sections if s.title == "Turned on two hooks")
    (line,) = (one for one in section.lines if "slack" in one)
    assert f"{at[2.0]:.1f}°" in line
    assert f"{at[4.0]:.1f}°" in line


def test_no_hook_carries_more_than_the_piece_weighs_and_none_less_than_nothing():
    turned = _tailed([2.0, 0, 0], [[1.0, 0, -0.3], [0.8, 0, -0.5]], up=np.array([-1.0, 0.0, 0.0]))
    assert not turned.lost
    for step in turned.steps:
        assert step.tail_n.low >= 0.0
        assert step.main_n.high <= 100.0
    assert Code.TAIL_GOES_SLACK in told(turned)


LEGS = tuple(
    Leg(name, Spot(at_m=(x, 0.0, 0.0)), length_m=0.6, rating_n=1e5) for name, x in (("left", -0.5), ("right", 0.5))
)


def test_legs_that_spread_wide_at_the_hook_and_a_shackle_pulled_back_are_told(made, lump):
    asked = Moving(lug=(0.0, 0.0, -1.0), shackle_n=1e5)
    result = _moved(made, [lump(20.0, (0.0, 0.0, -0.2))], asked, legs=LEGS)
    assert told(result)[Code.LEGS_TOO_WIDE]["apart_rad"] == pytest.approx(2 * math.asin(0.5 / 0.6))
    assert any("beyond a right angle" in one for one in refusals(result))


@pytest.mark.parametrize(("beyond", "refused"), [(0.0, False), (2.0, True), (4.9, True)])
def test_a_shackle_is_refused_from_a_right_angle_on_and_keeps_half_at_it(made, lump, beyond, refused):
    """Legs in the plane of x and z, the lug turned from y downwards until its angle to both is 90 degrees and more."""
    rise = math.sin(math.acos(0.5 / 0.6))
    down = math.asin(math.sin(math.radians(beyond)) / rise)
    asked = Moving(lug=(0.0, math.cos(down), -math.sin(down)), shackle_n=1e4)
    result = _moved(made, [lump(20.0, (0.0, 0.0, -0.2))], asked, legs=LEGS)
    assert any("beyond a right angle" in one for one in refusals(result)) == refused
    limits = [one.limit for one in result.checks if one.name.endswith("shackle")]
    assert limits == pytest.approx([math.nan, math.nan] if refused else [5e3, 5e3], nan_ok=True)


def test_a_piece_that_cannot_hang_on_its_sling_is_refused_when_its_shackles_are_asked_for(made, lump):
    """Three legs in one plane, which the plumb line of the hook leaves; rated for less than it weighs when it hangs."""
    legs = tuple(Leg(f"at {x}", Spot(at_m=(x, 0.0, 0.0)), rating_n=50.0) for x in (-0.5, 0.0, 0.5))
    asked, mass = Moving(lug=(0.0, 0.0, 1.0), shackle_n=1e5), [lump(20.0, (0.0, 0.0, -0.2))]
    aside = move(*made(mass, Site(moving=asked, legs=legs, hook=Hook(at_m=(0.0, 0.3, 0.5)))))
    assert "on its sling: finished: not in balance" in refusals(aside)
    assert Code.SLUNG_OUT_OF_BALANCE in told(aside)
    assert math.isnan(next(one.value for one in aside.checks if one.name.endswith("shackle")))
    over = move(*made(mass, Site(moving=asked, legs=legs, hook=Hook(at_m=(0.0, 0.0, 0.5)))))
    assert "at 0.0: tension" in refusals(over)
    assert not any(one.startswith("on its sling") for one in refusals(over))


def test_of_the_stages_of_a_sling_a_move_tells_the_finished_one_and_those_that_do_not_hang(made, lump):
    """The same tilt at every stage is one line; a hook below the empty skin's centre of mass is told of that stage."""
    points = ((-0.5, -0.2, 0.4), (-0.5, 0.2, 0.4), (0.5, 0.0, 0.4))
    legs = tuple(Leg(str(k), Spot(at_m=point), rating_n=1e5) for k, point in enumerate(points))
    asked = Moving(lug=(0.0, 0.0, 1.0), shackle_n=1e5)

    def stages(skin_z, code):
        parts = [lump(10.0, (0.0, 0.0, skin_z), "skin"), replace(lump(90.0, (0.0, 0.0, 0.0), "foam"), after_lift=1)]
        site = Site(moving=asked, legs=legs, hook=Hook(at_m=(0.2, 0.0, 0.8)))
        return [one.subject[0] for one in move(*made(parts, site)).warnings if one.code == code]

    assert stages(0.0, Code.TILTS_ON_SLING) == ["finished"]
    assert stages(0.9, Code.TURNS_OVER_ON_SLING) == ["empty skin"]


def test_a_shackle_whose_line_is_not_known_is_not_taken_to_hold(made, lump):
    parts = [lump(20.0, (0.0, 0.0, -0.2))]
    for more in ({"legs": LEGS}, {}):
        assert any("shackle" in one for one in unknowns(_moved(made, parts, Moving(shackle_n=1e5), **more)))
    known = _moved(made, parts, Moving(lug=(0.0, 0.0, 1.0), shackle_n=1e5), legs=LEGS)
    assert not any("shackle" in one for one in unknowns(known))


def test_a_mass_beyond_both_points_is_told_with_how_far():
    turned = _tailed([1.0, 0, 0], [[1.2, 0.0, -0.5]])
    assert turned.lost
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
