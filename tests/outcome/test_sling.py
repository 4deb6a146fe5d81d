"""Slings by hand: equilibrium written out, tilt by geometry, slack legs, the worst of four."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.errors import UsageError
from pourwright.findings import Code
from pourwright.outcome import Hook, Leg, Site, Spot, refusals, sling
from pourwright.outcome.sling_pose import hook_of_lengths, hook_over_two, shares
from pourwright.ranges import Range

G = 9.80665


def legs(*points, lengths=None, **more):
    lengths = lengths or [None] * len(points)
    return tuple(
        Leg(f"leg {k}", Spot(at_m=p), length, **more) for k, (p, length) in enumerate(zip(points, lengths, strict=True))
    )


def slung(made, lump, points, hook, at=(0.0, 0.0, 0.0), kg=1000 / G, lengths=None, stage=-1, **more):
    parts = [lump(kg, at, "skin")] if not isinstance(kg, list) else kg
    result = sling(made(parts, Site(legs=legs(*points, lengths=lengths, **more), hook=hook))[0])
    return result, result.stages[stage]


def test_low_and_high_follow_the_weight_and_every_stage_is_there(made, lump):
    skin = lump(Range(8.0, 10.0, 12.0), (0, 0, 0), "skin")
    foam = replace(lump(Range(1.0, 2.0, 3.0), (0.1, 0, 0), "foam"), after_lift=1)
    result, last = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.8), kg=[skin, foam])
    assert [stage.name for stage in result.stages] == ["empty skin", "after lift 1", "finished"]
    assert (last.kg.low, last.kg.high) == (9.0, 15.0)
    assert last.legs[0].tension_n.low < last.legs[0].tension_n.nominal < last.legs[0].tension_n.high


def test_a_flat_leg_is_refused_with_its_reason(made, lump):
    result, stage = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.2))
    assert math.degrees(stage.legs[0].angle_rad) == pytest.approx(math.degrees(math.atan(0.4)))
    assert told(result)[Code.LEG_TOO_FLAT]["angle_rad"] == pytest.approx(stage.legs[0].least_angle_rad)
    assert any("flatness" in name for name in refusals(result))
    fine, _ = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.29))
    assert Code.LEG_TOO_FLAT not in told(fine)


def test_a_centre_outside_the_sling_points_leaves_a_leg_slack(made, lump):
    """Centre right of both right-hand points: the left leg would have to push; the piece hangs on the other two."""
    points = [(-0.5, 0.0, 0.5), (0.2, -0.25, 0.5), (0.2, 0.25, 0.5)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.1, 0.0, 1.2)), at=(0.45, 0.0, 0.0))
    assert [leg.slack for leg in stage.legs] == [True, False, False]
    assert stage.hangs
    assert len(told(result)[Code.LEGS_SLACK]["legs"]) == 1
    assert stage.legs[1].tension_n.nominal == pytest.approx(stage.legs[2].tension_n.nominal)


def test_a_leg_that_is_slack_at_one_end_of_the_weights_is_held_to_what_it_carries_at_the_other(made, lump):
    """40 kg just outside two of three legs, 10 kg (2 to 18) below the third: forces along the legs to the hook."""
    points, hook = np.array([(-0.5, -0.2, 0.5), (-0.5, 0.2, 0.5), (0.5, 0.0, 0.5)]), np.array([0.0, 0.0, 3.0])
    heavy, loose = np.array([-0.7, 0.0, 0.0]), np.array([0.5, 0.0, 0.0])
    unit = (hook - points) / np.linalg.norm(hook - points, axis=1)[:, None]

    def third(kg):
        weight = G * (40.0 * (hook - heavy) + kg * (hook - loose))
        up = weight / np.linalg.norm(weight)
        return float(np.linalg.solve(unit.T, G * (40.0 + kg) * up)[2])

    assert third(2.0) < 0.0 < third(10.0) < third(18.0)
    parts = [lump(40.0, tuple(heavy)), replace(lump(Range(2.0, 10.0, 18.0), tuple(loose)), kind="item")]
    rating = 0.5 * (third(10.0) + third(18.0))
    result, stage = slung(made, lump, [tuple(p) for p in points], Hook(at_m=tuple(hook)), kg=parts, rating_n=rating)
    tension = stage.legs[2].tension_n
    assert (tension.low, tension.nominal, tension.high) == pytest.approx((0.0, third(10.0), third(18.0)))
    assert "leg 2: tension" in refusals(result)
    assert told(result)[Code.LEGS_SLACK]["legs"] == ("leg 2",)


def test_a_hook_below_the_centre_of_mass_turns_the_piece_over(made, lump):
    points = [(-0.5, -0.2, -0.4), (-0.5, 0.2, -0.4), (0.5, 0.0, -0.4)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.02, 0.0, 0.1)), at=(0.0, 0.0, 0.3))
    assert stage.greatest_tilt_rad > math.pi / 2
    assert Code.TURNS_OVER_ON_SLING in told(result)
    assert "finished: turns over" in refusals(result)
    upright, _ = slung(made, lump, points, Hook(at_m=(0.02, 0.0, 0.6)), at=(0.0, 0.0, 0.3))
    assert not any("turns over" in why for why in refusals(upright))


def test_one_leg_hangs_with_its_centre_below_and_has_nothing_in_reserve(made, lump):
    result, stage = slung(made, lump, [(0.1, 0.0, 0.5)], Hook(above_m=1.0))
    assert stage.tilt_rad == pytest.approx(math.atan(0.1 / 0.5))
    assert stage.legs[0].tension_n.nominal == pytest.approx(1000.0)
    assert Code.ONE_LEG in told(result)


def test_legs_of_given_lengths_meet_or_are_said_not_to(made, lump):
    points = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0.2]])
    hook = np.array([0.3, 0.4, 1.7])
    found, miss = hook_of_lengths(points, np.linalg.norm(hook - points, axis=1))
    assert found == pytest.approx(hook)
    assert miss == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(UsageError, match="too short"):
        hook_of_lengths(points, np.full(3, 0.3))
    with pytest.raises(UsageError, match="too short"):
        hook_over_two(points[0], points[1], 0.4, 0.5, points[2])
    square = [(x, y, 0.5) for x in (-0.5, 0.5) for y in (-0.25, 0.25)]
    result, _ = slung(made, lump, square, Hook(), lengths=[1.0, 1.0, 1.0, 1.1])
    assert Code.LEGS_MISS_HOOK in told(result)


def test_shares_hold_a_unit_weight_and_never_beat_the_worst():
    rng = np.random.default_rng(5)
    points = np.column_stack([rng.uniform(-1, 1, (6, 2)), rng.uniform(-0.1, 0.1, 6)])
    legs_m = np.array([0.0, 0, 2.0]) - points
    up = np.array([[0.0, 0, 1]])
    even, most = shares(legs_m, up)
    unit = legs_m / np.linalg.norm(legs_m, axis=1)[:, None]
    assert even[0] @ unit == pytest.approx([0, 0, 1])
    assert (most[0] >= np.maximum(even[0], 0) - 1e-9).all()


def test_legs_more_than_a_right_angle_apart_at_the_hook_are_told_by_the_sling_itself(made, lump):
    """1 m between the points: at 0.5 m over them the legs are square to each other, lower they spread wider."""
    wide, _ = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.4))
    assert told(wide)[Code.LEGS_TOO_WIDE]["apart_rad"] == pytest.approx(2 * math.atan(0.5 / 0.4))
    square, _ = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.5))
    assert Code.LEGS_TOO_WIDE not in told(square)


def test_legs_that_do_not_reach_from_their_points_to_the_hook_are_refused(made, lump):
    """At 2 m over the points legs of 0.7 m would be told to hang steep and light; they meet 0.45 m over them."""
    points = [(-0.5, -0.2, 0.5), (-0.5, 0.2, 0.5), (0.5, 0.0, 0.5)]
    for hook in (Hook(above_m=2.0), Hook(at_m=(0.0, 0.0, 2.5))):
        with pytest.raises(UsageError, match=r"leg 0 is 700 mm .* long.* leave out hook"):
            slung(made, lump, points, hook, lengths=[0.7, 0.7, 0.7])
        with pytest.raises(UsageError, match=r"leg 1 is 700 mm .* long"):
            slung(made, lump, points[::2], hook, lengths=[None, 0.7])
    with pytest.raises(UsageError, match=r"leg 2 is 700 mm .* long.* give the lengths of all legs"):
        slung(made, lump, points, Hook(), lengths=[None, None, 0.7])
    far = [math.dist(point, (0.0, 0.0, 2.5)) for point in points]
    result, _ = slung(made, lump, points, Hook(above_m=2.0), lengths=far)
    assert result.hook_m == pytest.approx([0.5, 0.25, 3.0])
    assert slung(made, lump, points[:1], Hook(above_m=2.0), lengths=[0.7])[0].lengths_m.tolist() == [0.7]


def test_no_sling_is_refused(made, lump):
    with pytest.raises(UsageError, match="names no sling"):
        sling(made([lump(1.0, (0, 0, 0), "skin")])[0])


def test_a_hook_level_with_its_points_is_told_to_hold_nothing(made, lump):
    """Legs that lie in one level plane have no upward part: no tension holds a weight."""
    points = [(-0.5, -0.25, 0.5), (-0.5, 0.25, 0.5), (0.5, 0.0, 0.5)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.0, 0.0, 0.5)))
    assert not stage.hangs
    assert told(result)[Code.SLUNG_OUT_OF_BALANCE].subject == ("finished",)
