"""Slings by hand: equilibrium written out, tilt by geometry, slack legs, the worst of four."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pourwright.errors import UsageError
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


def test_two_equal_legs_at_45_degrees(made, lump):
    """T = W / (2 sin 45) = 707 N, inward force T cos 45 = 500 N."""
    _, stage = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.5))
    assert [leg.tension_n.nominal for leg in stage.legs] == pytest.approx([500 * math.sqrt(2)] * 2)
    assert [leg.inward_force_n for leg in stage.legs] == pytest.approx([500.0, 500.0])
    assert [math.degrees(leg.angle_rad) for leg in stage.legs] == pytest.approx([45, 45])
    assert stage.tilt_rad == pytest.approx(0.0, abs=1e-9)


def test_unequal_legs_over_the_centre_of_mass(made, lump):
    """Hook 1 m over a centre 0.25 left of the middle: H the same in both, V1 + V2 = W, V1 = H / 0.25, V2 = H / 0.75."""
    _, stage = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=1.0), at=(-0.25, 0, 0))
    level = 1000 / (4 + 4 / 3)
    assert stage.legs[0].tension_n.nominal == pytest.approx(level * math.hypot(1, 4))
    assert stage.legs[1].tension_n.nominal == pytest.approx(level * math.hypot(1, 4 / 3))
    assert stage.tilt_rad == pytest.approx(0.0, abs=1e-9)


def test_a_hook_beside_the_centre_tilts_the_piece(made, lump):
    """Three legs hold the hook where it is in the piece: it turns by atan(0.2 / 1.5)."""
    points = [(-0.5, -0.25, 0.5), (-0.5, 0.25, 0.5), (0.5, 0, 0.5)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.2, 0.0, 1.5)))
    assert stage.tilt_rad == pytest.approx(math.atan(0.2 / 1.5))
    assert stage.beside_m == pytest.approx(0.2)
    assert any("tilts by 8 degrees" in line for line in result.warnings)


def test_three_legs_are_in_balance_in_the_attitude_they_take(made, lump):
    points = np.array([(-0.5, -0.25, 0.5), (-0.4, 0.25, 0.45), (0.5, 0.05, 0.5)])
    centre = np.array([0.1, 0.02, -0.1])
    _, stage = slung(made, lump, [tuple(p) for p in points], Hook(at_m=(0.0, 0.0, 1.5)), at=tuple(centre))
    hook = np.array([0.0, 0, 1.5])
    unit = (hook - points) / np.linalg.norm(hook - points, axis=1)[:, None]
    up = (hook - centre) / np.linalg.norm(hook - centre)
    assert [leg.tension_n.nominal for leg in stage.legs] == pytest.approx(np.linalg.solve(unit.T, 1000 * up))


def test_two_legs_swing_about_their_line_as_well(made, lump):
    """The centre 0.3 behind the line of the points: hook, line and centre come into one plane; tilt atan(0.3 / 0.5)."""
    _, stage = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(), at=(0.0, 0.2, 0.0), lengths=[0.8, 0.8])
    assert stage.tilt_rad == pytest.approx(math.atan(0.2 / 0.5))
    height = math.sqrt(0.64 - 0.25)
    assert stage.legs[0].tension_n.nominal == pytest.approx(500 * 0.8 / height)


def test_four_legs_by_symmetry_and_the_worst_of_three(made, lump):
    """Four alike carry W / (4 sin a); with one slack its neighbours carry nothing but the diagonal pair all of it."""
    points = [(x, y, 0.5) for x in (-0.5, 0.5) for y in (-0.25, 0.25)]
    _, stage = slung(made, lump, points, Hook(above_m=1.0))
    length = math.sqrt(1 + 0.25 + 0.0625)
    for leg in stage.legs:
        assert leg.tension_n.nominal == pytest.approx(250 * length)
        assert leg.tension_n.high == pytest.approx(500 * length)  # two diagonal legs alone


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
    assert any("flatter than the 30 degrees" in line and "spreader" in line for line in result.warnings)
    assert any("flatness" in name for name in refusals(result))
    fine, _ = slung(made, lump, [(-0.5, 0, 0.5), (0.5, 0, 0.5)], Hook(above_m=0.29))
    assert not any("flatter" in line for line in fine.warnings)


def test_a_centre_outside_the_sling_points_leaves_a_leg_slack(made, lump):
    """Centre right of both right-hand points: the left leg would have to push; the piece hangs on the other two."""
    points = [(-0.5, 0.0, 0.5), (0.2, -0.25, 0.5), (0.2, 0.25, 0.5)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.1, 0.0, 1.2)), at=(0.45, 0.0, 0.0))
    assert [leg.slack for leg in stage.legs] == [True, False, False]
    assert stage.hangs
    assert any("slack" in line for line in result.warnings)
    assert stage.legs[1].tension_n.nominal == pytest.approx(stage.legs[2].tension_n.nominal)


def test_a_hook_below_the_centre_of_mass_turns_the_piece_over(made, lump):
    points = [(-0.5, -0.2, -0.4), (-0.5, 0.2, -0.4), (0.5, 0.0, -0.4)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.02, 0.0, 0.1)), at=(0.0, 0.0, 0.3))
    assert stage.greatest_tilt_rad > math.pi / 2
    assert any("TURNS OVER" in line for line in result.warnings)


def test_one_leg_hangs_with_its_centre_below_and_has_nothing_in_reserve(made, lump):
    result, stage = slung(made, lump, [(0.1, 0.0, 0.5)], Hook(above_m=1.0))
    assert stage.tilt_rad == pytest.approx(math.atan(0.1 / 0.5))
    assert stage.legs[0].tension_n.nominal == pytest.approx(1000.0)
    assert any("One leg" in line for line in result.warnings)


def test_tension_times_the_hoisting_factor_is_held_to_the_rating(made, lump):
    points = [(-0.5, 0, 0.5), (0.5, 0, 0.5)]
    result, _ = slung(made, lump, points, Hook(above_m=0.5, dynamic=1.3), rating_n=900.0)
    tension = next(check for check in result.checks if check.name == "leg 0: tension")
    assert tension.value == pytest.approx(1.3 * 500 * math.sqrt(2))
    assert tension.verdict == "over"
    broken, _ = slung(made, lump, points, Hook(above_m=0.5, factor="rigging"), rating_n=9000.0, breaking=True)
    assert next(c for c in broken.checks if c.name == "leg 0: tension").limit == pytest.approx(1800.0)
    unrated, _ = slung(made, lump, points, Hook(above_m=0.5))
    assert next(c for c in unrated.checks if c.name == "leg 0: tension").verdict == "unknown"


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
    assert any("cannot all be tight" in line for line in result.warnings)


def test_shares_hold_a_unit_weight_and_never_beat_the_worst():
    rng = np.random.default_rng(5)
    points = np.column_stack([rng.uniform(-1, 1, (6, 2)), rng.uniform(-0.1, 0.1, 6)])
    legs_m = np.array([0.0, 0, 2.0]) - points
    up = np.array([[0.0, 0, 1]])
    even, most = shares(legs_m, up)
    unit = legs_m / np.linalg.norm(legs_m, axis=1)[:, None]
    assert even[0] @ unit == pytest.approx([0, 0, 1])
    assert (most[0] >= np.maximum(even[0], 0) - 1e-9).all()


def test_no_sling_is_refused(made, lump):
    with pytest.raises(UsageError, match="names no sling"):
        sling(made([lump(1.0, (0, 0, 0), "skin")])[0])
