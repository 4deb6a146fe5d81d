"""NASA/SP-8007-2020/Rev 2 (cylinders, elastic core, wrinkling); NASA SP-8032 (1969, spheres; read at second hand)."""

from __future__ import annotations

import pytest

from pourwright.physics.elastic import buckling, foundation

CORE = {
    "radius_m": 0.3,
    "thickness_m": 0.003,
    "youngs_pa": 8e9,
    "poisson": 0.3,
    "core_pa": 8e6,
    "core_poisson": 0.3,
}


@pytest.mark.parametrize(
    ("ratio", "axial", "bending"),
    [(100, 0.5813, 0.6603), (200, 0.4713, 0.5710), (500, 0.3217, 0.4497), (1000, 0.2238, 0.3703)],
)
def test_sp8007_knockdown(ratio, axial, bending):
    assert buckling.axial_knockdown(ratio) == pytest.approx(axial, abs=1e-4)
    assert buckling.axial_knockdown(ratio, bending=True) == pytest.approx(bending, abs=1e-4)


def test_sp8032_hemisphere():
    classical, design = buckling.sphere_collapse_pressure(2.0, 0.004, 70e9, 0.33)
    assert classical == pytest.approx(0.34250e6, rel=1e-3)
    assert design / classical == pytest.approx(0.14098, rel=1e-3)
    assert design == pytest.approx(48.3e3, rel=1e-3)


def test_sp8032_shallow_cap_is_not_answered():
    _, design = buckling.sphere_collapse_pressure(2.0, 0.1, 70e9, 0.33, half_angle_rad=0.1)
    assert design != design


def test_sp8007_polyethylene_cylinder_from_outside():
    p, gamma_z = buckling.cylinder_collapse_pressure(0.3, 1.5, 0.006, 0.35e9, 0.42)
    assert gamma_z == pytest.approx(638, rel=1e-3)
    assert p == pytest.approx(2.94e3, rel=5e-3)


def test_sp8007_cylinder_outside_its_range():
    long, _ = buckling.cylinder_collapse_pressure(0.3, 1e3, 0.006, 0.35e9, 0.42)
    assert long == pytest.approx(0.5625 * 0.35e9 / (4 * (1 - 0.42**2)) * 0.02**3, rel=1e-12)
    short, _ = buckling.cylinder_collapse_pressure(0.3, 0.1, 0.006, 0.35e9, 0.42)
    assert short != short  # not a number, never taken as safe


def test_sp8007_elastic_core_eq_129():
    phi = buckling.elastic_core_factor(**CORE)
    assert phi == pytest.approx(0.499407, rel=5e-4)
    assert buckling.core_axial_ratio(phi) == pytest.approx(1.47168, rel=5e-4)
    assert buckling.core_axial_ratio(phi) <= 1 + phi


@pytest.mark.parametrize(("phi", "ratio"), [(0.1, 1.09878), (0.5, 1.47221), (1, 1.89980), (3, 3.34468), (10, 7.06850)])
def test_sp8007_core_curve_between_its_published_limits(phi, ratio):
    """Eqs. 127 and 128: 1 + phi below 0.5 and 1.5 phi^(2/3) above 3 bracket the minimum."""
    got = buckling.core_axial_ratio(phi)
    assert got == pytest.approx(ratio, abs=1e-4)
    assert 1.5 * phi ** (2 / 3) <= got <= 1 + phi


def test_core_curve_and_foundation_function_are_one_model():
    stress, _ = foundation.axial_wrinkling(8e9, 0.3, 0.003, 0.3, 8e6, 0.3)
    bare = buckling.cylinder_axial_stress(0.3, 0.003, 8e9, 0.3)
    assert stress / bare == pytest.approx(buckling.core_axial_ratio(buckling.elastic_core_factor(**CORE)), rel=1e-6)


def test_sp8007_eq_122_wrinkling():
    assert buckling.wrinkling_stress(8e9, 8e6, 3.08e6) == pytest.approx(29.10e6, rel=1e-3)


def test_core_lateral_pressure_eqs_131_to_133():
    """phi_2 = 3000, so k = 3 * 3000^(2/3) * (1 + 0.1 / 0.7)."""
    assert buckling.core_lateral_ratio(**CORE) == pytest.approx(3 * 3000 ** (2 / 3) * (1 + 0.1 / 0.7), rel=1e-9)
