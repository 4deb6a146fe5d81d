"""Slings by hand: equilibrium written out beside each value, tilt by geometry, published load angle factors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.outcome import Hook, Leg, Site, Spot, sling
from pourwright.outcome.sling_pose import shares

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
    assert [leg.inward_force_n for leg in stage.legs] == pytest.approx([level, level])
    assert stage.tilt_rad == pytest.approx(0.0, abs=1e-9)


def test_a_hook_beside_the_centre_tilts_the_piece(made, lump):
    """Three legs hold the hook where it is in the piece: it turns by atan(0.2 / 1.5)."""
    points = [(-0.5, -0.25, 0.5), (-0.5, 0.25, 0.5), (0.5, 0, 0.5)]
    result, stage = slung(made, lump, points, Hook(at_m=(0.2, 0.0, 1.5)))
    assert stage.tilt_rad == pytest.approx(math.atan(0.2 / 1.5))
    assert stage.beside_m == pytest.approx(0.2)
    assert told(result)[Code.TILTS_ON_SLING]["tilt_rad"] == pytest.approx(math.atan(0.2 / 1.5))


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


@pytest.mark.parametrize(("angle", "factor"), [(90, 1.0), (75, 1.035), (60, 1.155), (45, 1.414), (30, 2.0)])
def test_published_load_angle_factors(angle, factor):
    """Tension over half of the weight, by the angle above the horizontal: tables of rigging handbooks."""
    out, up = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    even, _ = shares(np.array([[out, 0, up], [-out, 0, up]]), np.array([[0.0, 0, 1]]))
    assert 2 * even[0] == pytest.approx([factor, factor], abs=5e-4)


def test_four_legs_of_unequal_length_share_by_their_give():
    """Legs stretch as they are long: least energy, sum T^2 L, under the three equations of balance."""
    legs = np.array([[0.6, 0.3, 1.2], [-0.5, 0.35, 1.1], [-0.55, -0.3, 1.25], [0.5, -0.4, 1.0]])
    length = np.linalg.norm(legs, axis=1)
    unit = legs / length[:, None]
    kkt = np.block([[np.diag(length), unit], [unit.T, np.zeros((3, 3))]])
    expected = np.linalg.solve(kkt, np.r_[np.zeros(4), 0, 0, 1.0])[:4]
    even, _ = shares(legs, np.array([[0.0, 0, 1]]))
    assert even[0] == pytest.approx(expected, rel=1e-9)
