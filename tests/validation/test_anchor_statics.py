"""Anchors and slings by hand: equilibrium written out beside each value, and an independent least-squares solve."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourwright.physics import slings, statics

FOUR = np.array([[0.0, 0], [2, 0], [2, 1], [0, 1]])


def test_three_hangers():
    """Moments about the line through the first two: f3 = 0.4 / 1.5; the others share the rest evenly by symmetry."""
    f = statics.hanger_forces([[0, 0], [2, 0], [1, 1.5]], [1.0, 0.4], 1.0)
    assert f == pytest.approx([(1 - 0.4 / 1.5) / 2, (1 - 0.4 / 1.5) / 2, 0.4 / 1.5], abs=1e-12)
    assert f == pytest.approx([0.36667, 0.36667, 0.26667], abs=5e-6)


def test_four_hangers_redundant():
    f = statics.hanger_forces(FOUR, [0.8, 0.45], 1.0)
    assert f == pytest.approx([0.325, 0.225, 0.175, 0.275], abs=1e-12)
    equilibrium = np.vstack([np.ones(4), FOUR.T])  # least-norm solution of the same three equations
    assert f == pytest.approx(np.linalg.lstsq(equilibrium, np.array([1.0, 0.8, 0.45]), rcond=None)[0], abs=1e-12)


def test_one_hanger_slack():
    """Of the line from (2, 0) to (0, 1) the weight is on the first's side (0.8 + 0.9 < 2): it falls without it."""
    rows = statics.hanger_forces_one_slack(FOUR, [0.8, 0.45], 1.0)
    assert np.isnan(rows[0]).all()
    assert np.isnan(rows[3]).all()
    assert rows[1] == pytest.approx([0.55, 0.0, 0.4, 0.05], abs=1e-9)
    assert rows[2] == pytest.approx([0.15, 0.4, 0.0, 0.45], abs=1e-9)
    assert np.nanmax(rows) > 0.325


def test_stiffer_hanger_takes_more():
    even = statics.hanger_forces(FOUR, [1.0, 0.5], 1.0)
    stiff = statics.hanger_forces(FOUR, [1.0, 0.5], 1.0, np.array([3.0, 1, 1, 1]))
    assert even == pytest.approx([0.25] * 4)
    assert stiff[0] > 0.25
    assert stiff.sum() == pytest.approx(1.0)
    assert stiff @ FOUR == pytest.approx([1.0, 0.5])


def test_hangers_in_a_line_off_the_centre_are_refused():
    with pytest.raises(ValueError, match="cannot balance"):
        statics.hanger_forces([[0, 0], [1, 0], [2, 0]], [1.0, 0.2], 1.0)
    assert statics.hanger_forces([[0, 0], [1, 0], [2, 0]], [1.0, 0.0], 1.0).sum() == pytest.approx(1.0)


def test_reactions_in_space_balance_force_and_moment():
    rng = np.random.default_rng(7)
    places, k = rng.normal(size=(6, 3)), rng.uniform(0.5, 2.0, (6, 3))
    force, at, moment = rng.normal(size=3), rng.normal(size=3), rng.normal(size=3)
    f = statics.anchor_reactions(places, k, force, at, moment)
    assert f.sum(axis=0) == pytest.approx(-force)
    assert np.cross(places, f).sum(axis=0) == pytest.approx(-np.cross(at, force) - moment)
    # Least energy among all that balance: adding any self-balanced set raises sum f^2 / k.
    columns = [
        np.concatenate([np.tile(np.eye(3)[d], (1, 1))[0], np.cross(p, np.eye(3)[d])]) for p in places for d in range(3)
    ]
    null = np.linalg.svd(np.array(columns).T)[2][6:]
    assert np.abs(null @ (f / k).ravel()).max() < 1e-9


def test_wall_pattern_with_an_eccentric_load():
    """300 x 400 mm, 2 kN down 100 mm off: sum r^2 = 0.25, V = 500 down plus 200 * (0.2, 0.15) / 0.25."""
    places = np.array([[0.0, 0], [0.3, 0], [0.3, 0.4], [0, 0.4]])
    v = np.hypot(*statics.wall_shear(places, [0, -2000.0], [0.25, 0.2]).T)
    assert v.max() == pytest.approx(math.hypot(160, 620), rel=1e-6)
    assert v.max() == pytest.approx(640.3, rel=1e-3)
    assert v.min() == pytest.approx(412.3, rel=1e-3)


def test_wall_pullout_both_ways():
    """500 N m on rows 0.4 m apart: 500 * 0.2 / 0.16 = 625; from an edge 50 mm below 500 * 0.45 / 0.41 = 548.8."""
    a, b = statics.wall_pullout([0, 0, 0.4, 0.4], 500.0, -0.05)
    assert a == pytest.approx([-625, -625, 625, 625], rel=1e-3)
    assert b == pytest.approx([61.0, 61.0, 548.8, 548.8], rel=1e-3)
    a, b = statics.wall_pullout([0.2, 0.2], 500.0, 0.0)
    assert np.isnan(a).all()
    assert b == pytest.approx([1250.0, 1250.0])


def test_wall_pullout_agrees_with_the_reactions_in_space():
    places = np.array([[0.0, 0, 0], [0.3, 0, 0], [0.3, 0, 0.4], [0, 0, 0.4]])
    f = statics.anchor_reactions(places, np.ones((4, 3)), [0, 0, -2000.0], [0.15, -0.25, 0.2])
    a, _ = statics.wall_pullout(places[:, 2], 500.0, -0.05)
    assert np.abs(f[:, 1]) == pytest.approx(np.abs(a))
    assert f[2, 1] > 0  # the wall holds the upper row back


def test_two_equal_legs_at_45_degrees():
    t, h = slings.equal_leg_tension(10e3, 2, math.radians(45))
    assert (t, h) == pytest.approx((7.071e3, 5.000e3), rel=1e-4)


@pytest.mark.parametrize(("angle", "factor"), [(90, 1.0), (75, 1.035), (60, 1.155), (45, 1.414), (30, 2.0)])
def test_published_load_angle_factors(angle, factor):
    t, _ = slings.equal_leg_tension(1.0, 1, math.radians(angle))
    assert t == pytest.approx(factor, abs=5e-4)


def test_unequal_legs_by_hand():
    """Legs to (-1, 0) and (2, 0) from a hook 1 m up: H equal on both, V1 = H, V2 = H / 2, V1 + V2 = W."""
    t, angle, inward_force = slings.leg_tensions([[-1, 0, 0], [2, 0, 0]], [0, 0, 1.0], 900.0)
    assert inward_force == pytest.approx([600.0, 600.0])
    assert t == pytest.approx([600 * math.sqrt(2), 300 * math.sqrt(5)])
    assert np.degrees(angle) == pytest.approx([45.0, 26.565], abs=1e-3)


def test_three_and_four_legs():
    three = np.array([[-1.0, 0, 0], [0.5, 0.8, 0.1], [0.5, -0.8, 0]])
    hook = np.array([0.0, 0.05, 1.5])
    t, _, _ = slings.leg_tensions(three, hook, 1.0)
    unit = (hook - three) / np.linalg.norm(hook - three, axis=1)[:, None]
    assert t == pytest.approx(np.linalg.solve(unit.T, [0, 0, 1.0]))
    square = np.array([[1.0, 1, 0], [-1, 1, 0], [-1, -1, 0], [1, -1, 0]])
    t, _, _ = slings.leg_tensions(square, [0, 0, 2.0], 1.0)
    assert t == pytest.approx([math.sqrt(6) / 8] * 4)


def test_hook_beside_two_points_is_refused():
    with pytest.raises(ValueError, match="swing"):
        slings.leg_tensions([[-1, 0, 0], [1, 0, 0]], [0, 0.3, 1.0], 1.0)


def test_tilt_and_tipping():
    assert math.tan(slings.hanging_tilt([0, 0, 1.0], [0.3, 0.4, 0.0])) == pytest.approx(0.5)
    assert slings.hanging_tilt([0, 0, -1.0], [0.1, 0, 0.0]) > math.pi / 2
    assert math.tan(statics.tip_angle(0.8, 0.3)) == pytest.approx(0.375)


def test_asce_7_and_en_1991_velocity_pressure():
    """0.00256 * 0.85 * 1 * 0.85 * 115^2 = 24.46 psf (mph); v_b = 25 m/s gives 390.6 Pa."""
    psf = statics.wind_pressure(115 * 0.44704, factors=0.85 * 0.85) / 47.880259
    assert psf == pytest.approx(24.46, rel=2e-3)
    assert statics.wind_pressure(25.0, 1.25) == pytest.approx(390.6, rel=1e-3)


def test_stand_off_rod_and_prying():
    assert statics.standoff_rod_stress(640.0, 0.05, 0.016) == pytest.approx(640 * 0.05 / (math.pi * 0.016**3 / 32))
    assert statics.standoff_rod_stress(640.0, 0.05, 0.016, True) == pytest.approx(
        320 * 0.05 / (math.pi * 0.016**3 / 32)
    )
    assert statics.prying_force(100.0, 0.02, 0.04) == pytest.approx(150.0)
