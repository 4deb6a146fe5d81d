"""Plates and spheres on foam: Timoshenko & Woinowsky-Krieger 1959 ch. 8, Reissner 1946.

Forms from memory; constants recomputed from Hankel integrals.
"""

from __future__ import annotations

import pytest

from pourwright.physics.elastic import foundation

D_GRP = 8e9 * 0.004**3 / (12 * (1 - 0.33**2))
KS_GRP = 8e9 * 0.004 / 0.5**2


def test_dent_integral_is_the_plate_on_half_space_where_flat():
    """w = P l^2 / (3 sqrt(3) D), l^3 = 2 D (1 - nu^2) / E_c: l = 15.9018 mm, w = 0.275331 mm under 100 N."""
    assert 100.0 / foundation.dent_stiffness(17.6748, 0.0, 8e6, 0.3) == pytest.approx(0.275331e-3, rel=1e-5)


def test_dent_integral_is_reissner_without_foam():
    exact = 4 * 8e9 * 0.004**2 / (0.5 * (3 * (1 - 0.33**2)) ** 0.5)
    assert foundation.dent_stiffness(D_GRP, KS_GRP, 0.0, 0.3) == pytest.approx(exact, rel=1e-8)
    assert exact == pytest.approx(626.29e3, rel=1e-4)


@pytest.mark.parametrize(
    ("core", "depth", "unbonded", "bonded"),
    [
        (4e6, float("inf"), 771.24e3, 783.41e3),
        (8e6, float("inf"), 902.87e3, 925.21e3),
        (15e6, float("inf"), 1112.0e3, 1149.5e3),
        (8e6, 0.05, 1021.1e3, 1050.8e3),
        (8e6, 0.2, 908.8e3, 931.7e3),
    ],
)
def test_dents_of_a_glass_fibre_sphere(core, depth, unbonded, bonded):
    """E 8 GPa, t 4 mm, R 0.5 m; values recomputed by an independent Hankel integration."""
    assert foundation.dent_stiffness(D_GRP, KS_GRP, core, 0.3, depth) == pytest.approx(unbonded, rel=1e-3)
    assert foundation.dent_stiffness(D_GRP, KS_GRP, core, 0.3, depth, "bonded") == pytest.approx(bonded, rel=1e-3)


def test_dent_of_a_polyethylene_sphere():
    d = 0.65e9 * 0.006**3 / (12 * (1 - 0.42**2))
    ks = 0.65e9 * 0.006 / 0.3**2
    assert foundation.dent_stiffness(d, ks, 0.0, 0.3) == pytest.approx(198.49e3, rel=1e-3)
    assert foundation.dent_stiffness(d, ks, 8e6, 0.3) == pytest.approx(432.67e3, rel=1e-3)


@pytest.mark.parametrize(("radius", "gain"), [(float("inf"), 35.79), (2.0, 8.78), (0.5, 1.615)])
def test_panel_gain(radius, gain):
    """E 6.5 GPa, nu 0.33, t 4 mm, b 0.3 m on 8 MPa foam."""
    d = 6.5e9 * 0.004**3 / (12 * (1 - 0.33**2))
    got = foundation.panel_gain(0.3, d, 6.5e9 * 0.004 / radius**2, 8e6, 0.3)
    assert got == pytest.approx(gain, rel=1e-3)


def test_bond_hardly_matters_for_pressing():
    """bonded / frictionless = 4 (1 - nu)^2 / (3 - 4 nu) = 1.089 at 0.3."""
    k = [foundation.foundation(20.0, 8e6, 0.3, interface=i) for i in ("frictionless", "bonded")]
    assert k[1] / k[0] == pytest.approx(4 * 0.7**2 / 1.8, rel=1e-12)


def test_thin_layer_is_a_bed_of_springs():
    """a h -> 0: k -> E_c / ((1 - nu^2) h) = 8e6 / (0.91 x 0.05) = 1.75824e8 Pa/m."""
    assert foundation.foundation(0.01, 8e6, 0.3, 0.05) == pytest.approx(1.75824e8, rel=1e-4)


def test_unknown_interface_is_named():
    with pytest.raises(ValueError, match="frictionless"):
        foundation.foundation(1.0, 8e6, 0.3, interface="glue")
