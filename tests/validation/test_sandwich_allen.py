"""Sandwich beams: Allen 1969, Zenkert 1995 (from memory); partial bond: EN 1995-1-1 Annex B, Newmark et al. 1951."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourwright.physics.elastic import buckling, foundation, sandwich

FACE, T, CORE, C, B = 7e9, 0.003, 8e6, 0.05, 0.1
SHEAR = CORE / 2.6


def test_worked_beam():
    d = sandwich.sandwich_rigidity(FACE, T, CORE, C, B)
    ag = sandwich.sandwich_shear_stiffness(SHEAR, C, T, B)
    assert d == pytest.approx(2960.93, rel=1e-4)
    assert ag == pytest.approx(17286, rel=1e-4)
    assert sandwich.sandwich_point_deflection(d, ag, 1.0, 200.0) == pytest.approx(4.2997e-3, rel=1e-4)
    assert sandwich.sandwich_even_deflection(d, ag, 1.0, 400.0) == pytest.approx(4.6515e-3, rel=1e-4)
    face, core = sandwich.sandwich_stresses(50.0, 100.0, T, C, B)
    assert (face, core) == pytest.approx((3.145e6, 18.87e3), rel=2e-4)


def test_rigidity_is_the_integral_over_the_section():
    z = np.linspace(-(C / 2 + T), C / 2 + T, 560_001)
    e = np.where(np.abs(z) > C / 2, FACE, CORE)
    integral = B * np.trapezoid(e * z**2, z)
    assert sandwich.sandwich_rigidity(FACE, T, CORE, C, B) == pytest.approx(integral, rel=1e-4)


def test_newmark_equals_the_gamma_method_of_en_1995_annex_b():
    """Faces' own stiffness alone, slip of the core."""
    k = sandwich.slip_modulus(SHEAR, C, B)
    members = (FACE * B * T, FACE * B * T, 2 * FACE * B * T**3 / 12, C + T, k, 1.0)
    newmark, gamma = sandwich.partial_bond_rigidity(*members), sandwich.gamma_rigidity(*members)
    assert newmark == pytest.approx(1102.05, rel=1e-5)
    assert gamma == pytest.approx(newmark, rel=1e-6)
    shear_beam = 1 / (1 / 2960.93 + math.pi**2 / 17286)
    assert newmark == pytest.approx(shear_beam, rel=5e-3)


def test_partial_bond_runs_from_none_to_full():
    members = (2.1e6, 1.0e6, 11.48, 0.053)
    none = sandwich.partial_bond_rigidity(*members, 1e-6, 1.0)
    full = sandwich.partial_bond_rigidity(*members, 1e15, 1.0)
    assert none == pytest.approx(11.48, rel=1e-6)
    assert full == pytest.approx(11.48 + 0.053**2 * 2.1e6 * 1.0e6 / 3.1e6, rel=1e-6)
    assert sandwich.slip_modulus(SHEAR, C, B, 0.0 + 1e-9) < 1e-9


def test_backed_skin():
    assert sandwich.backed_skin_rigidity(7e9, 0.003, 8e6, 0.05) == pytest.approx((15.75, 99.083, 374.733), rel=1e-4)


def test_whole_body_gain_of_tubes():
    skin, foam = sandwich.filled_tube_rigidity(7e9, 0.003, 0.15, 8e6)
    assert (skin, foam) == pytest.approx((222683, 3055.5), rel=1e-4)
    assert 100 * foam / skin == pytest.approx(1.372, abs=0.005)
    skin, foam = sandwich.filled_tube_rigidity(0.65e9, 0.006, 0.2, 8e6)
    assert 100 * foam / skin == pytest.approx(9.65, abs=0.05)


@pytest.mark.parametrize(("nu", "constant"), [(0.3, 0.5674), (0.25, 0.5753)])
def test_allen_wrinkling_constant(nu, constant):
    assert buckling.wrinkling_constant(nu) == pytest.approx(constant, abs=1e-4)


def test_allen_is_the_flat_skin_of_the_foundation_function():
    flat, _ = foundation.axial_wrinkling(8e9, 0.0, 0.003, 1e6, 8e6, 0.3, "bonded-plane-stress")
    assert flat == pytest.approx(buckling.wrinkling_constant(0.3) * 8e9 ** (1 / 3) * 8e6 ** (2 / 3), rel=1e-6)


def test_karam_and_gibson_1995():
    """Part I, form from memory: bare f1 = 0.605228 and wave 16.503 mm, on the core 0.900704 and 14.718 mm."""
    unit = 8e9 * 0.01
    bare, wave = foundation.axial_wrinkling(8e9, 0.3, 0.003, 0.3, 1e-6, 0.3, "bonded-plane-stress")
    assert (bare / unit, wave) == pytest.approx((0.605228, 16.503e-3), rel=5e-4)
    filled, wave = foundation.axial_wrinkling(8e9, 0.3, 0.003, 0.3, 8e6, 0.3, "bonded-plane-stress")
    assert (filled / unit, wave) == pytest.approx((0.900704, 14.718e-3), rel=5e-4)
    assert filled / bare == pytest.approx(1.48821, rel=5e-4)
