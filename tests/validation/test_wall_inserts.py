"""Rigid insert on an elastic bed: statics worked out, and integrated numerically."""

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
