"""Rigid insert on an elastic bed and anchors about a bearing edge: statics worked out, and integrated numerically."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from pourwright.physics import wall_anchors


@pytest.mark.parametrize("arm", [0.0, 0.05])
def test_pressure_under_a_rigid_insert_balances_its_load(arm):
    """p(z) = p0 - s z with force V and moment -V e about the face; p0 is the greatest."""
    shear, diameter, depth = 120.0, 0.03, 0.12
    first = wall_anchors.insert_bearing(shear, diameter, depth, arm)
    slope = (first * depth * diameter - shear) * 2 / (diameter * depth**2)

    def pressure(z):
        return first - slope * z

    assert quad(lambda z: pressure(z) * diameter, 0, depth)[0] == pytest.approx(shear)
    assert quad(lambda z: pressure(z) * diameter * z, 0, depth)[0] == pytest.approx(-shear * arm, abs=1e-9)
    assert max(abs(pressure(z)) for z in np.linspace(0, depth, 50)) == pytest.approx(first)


def test_foam_cylinder_and_head():
    assert wall_anchors.insert_shear_pull(200e3, 0.03, 0.1) == pytest.approx(200e3 * 2 * math.pi * 0.015 * 0.1)
    assert wall_anchors.head_crush_pull(276e3, 0.08, 0.02) == pytest.approx(276e3 * math.pi * (0.04**2 - 0.01**2))


def test_anchors_about_a_bearing_edge():
    """500 N m on rows 0.4 m apart, edge 50 mm below: 500 * 0.45 / 0.41 = 548.8 N above, 61.0 N below."""
    pull = wall_anchors.bearing_pullout([0, 0, 0.4, 0.4], 500.0, -0.05)
    assert pull == pytest.approx([61.0, 61.0, 548.8, 548.8], rel=1e-3)


def test_bearing_edge_with_unequal_anchors_and_a_straight_pull():
    """Moments about the edge: sum N h = M + P h of the centre of stiffness; movements in proportion to h."""
    heights, k = np.array([0.1, 0.3, 0.5]), np.array([1.0, 2.0, 4.0])
    pull = wall_anchors.bearing_pullout(heights, 80.0, 0.0, 60.0, k)
    assert (pull * heights).sum() == pytest.approx(80.0 + 60.0 * (k * heights).sum() / k.sum())
    assert np.ptp((pull / k - 60.0 / k.sum()) / heights) == pytest.approx(0.0, abs=1e-9)
