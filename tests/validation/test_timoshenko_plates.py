"""Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959: small-deflection plates.

The table values were written from memory and recomputed independently (Levy series, polynomial Ritz);
the simply supported ones were also read in a copy of Roark's table 11.4, case 1a.
"""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.physics.elastic import plates_small

# a/b, w D / (q b^4), M across / (q b^2), M along / (q b^2); nu = 0.3
TABLE_8_SUPPORTED = [
    (1.0, 0.0040624, 0.04789, 0.04789),
    (1.2, 0.005651, 0.06268, 0.05008),
    (1.4, 0.007085, 0.07555, 0.05022),
    (1.6, 0.008308, 0.08623, 0.04929),
    (1.8, 0.009316, 0.09485, 0.04788),
    (2.0, 0.010129, 0.10168, 0.04635),
    (3.0, 0.012233, 0.11886, 0.04063),
    (4.0, 0.012819, 0.12346, 0.03842),
    (5.0, 0.012971, 0.12462, 0.03775),
]
# a/b, w D / (q b^4), edge M / (q b^2)
TABLE_35_CLAMPED = [
    (1.0, 0.0012653, 0.05133),
    (1.2, 0.001725, 0.06390),
    (1.4, 0.002068, 0.07259),
    (1.6, 0.002300, 0.07803),
    (1.8, 0.002446, 0.08119),
    (2.0, 0.002533, 0.08287),
]
# Roark, table 11.4 case 1a, as printed: a/b, stress b^2 factor, deflection factor E t^3, edge reaction left out
ROARK_1A = [(1.0, 0.2874, 0.0444), (1.4, 0.4530, 0.0770), (2.0, 0.6102, 0.1110), (5.0, 0.7476, 0.1417)]
# Roark, table 11.4 case 8a, from memory: a/b, edge stress factor, deflection factor
ROARK_8A = [(1.0, 0.3078, 0.0138), (1.4, 0.4356, 0.0226), (2.0, 0.4974, 0.0277)]


@pytest.mark.parametrize(("ratio", "w", "across", "along"), TABLE_8_SUPPORTED)
def test_table_8_simply_supported(ratio, w, across, along):
    got = plates_small.supported_rectangle(1.0, ratio, 1.0, 0.3, 1.0)
    assert got == pytest.approx((w, across, along), rel=1.5e-4)


@pytest.mark.parametrize(("ratio", "w", "edge"), TABLE_35_CLAMPED)
def test_table_35_clamped(ratio, w, edge):
    got = plates_small.clamped_rectangle(1.0, ratio, 1.0, 1.0)
    assert got == pytest.approx((w, edge), rel=3e-4)


@pytest.mark.parametrize(("ratio", "stress", "deflection"), ROARK_1A)
def test_roark_table_11_4_case_1a(ratio, stress, deflection):
    d = plates_small.flexural_rigidity(1.0, 0.3, 1.0)
    w, across, _ = plates_small.supported_rectangle(1.0, ratio, d, 0.3, 1.0)
    assert w == pytest.approx(deflection, rel=5e-3)
    assert 6 * across == pytest.approx(stress, rel=5e-3)


@pytest.mark.parametrize(("ratio", "stress", "deflection"), ROARK_8A)
def test_roark_table_11_4_case_8a(ratio, stress, deflection):
    d = plates_small.flexural_rigidity(1.0, 0.3, 1.0)
    w, edge = plates_small.clamped_rectangle(1.0, ratio, d, 1.0)
    assert w == pytest.approx(deflection, rel=5e-3)
    assert 6 * edge == pytest.approx(stress, rel=5e-3)


def test_long_plates_reach_the_strip():
    assert plates_small.supported_rectangle(1.0, 50.0, 1.0, 0.3, 1.0) == pytest.approx(
        (5 / 384, 1 / 8, 0.0375), rel=1e-4
    )
    assert plates_small.clamped_rectangle(1.0, 50.0, 1.0, 1.0) == pytest.approx((1 / 384, 1 / 12), rel=2e-3)


def test_worked_supported_and_clamped_plate():
    """a/b = 2, b = 0.5 m, t = 5 mm, 10 kPa."""
    d = plates_small.flexural_rigidity(200e9, 0.3, 0.005)
    w, across, _ = plates_small.supported_rectangle(0.5, 1.0, d, 0.3, 10e3)
    assert w == pytest.approx(2.765e-3, rel=5e-3)
    assert 6 * across / 0.005**2 == pytest.approx(61.0e6, rel=5e-3)
    w, edge = plates_small.clamped_rectangle(0.5, 1.0, d, 10e3)
    assert w == pytest.approx(0.6915e-3, rel=5e-3)
    assert 6 * edge / 0.005**2 == pytest.approx(49.7e6, rel=5e-3)


@pytest.mark.parametrize(("k", "w"), [(0.0, 0.84582e-3), (1e7, 0.120034e-3), (6.5e7, 0.0165596e-3)])
def test_chapter_8_square_on_springs(k, w):
    """SS square a = 0.3 m, D = 38.9032, 1 kPa; Navier sums recomputed."""
    got, _ = plates_small.supported_rectangle_on_springs(0.3, 0.3, 38.9032, 0.33, k, 1e3)
    assert got == pytest.approx(w, rel=1e-3)


def test_clamped_on_springs_between_plate_and_rim():
    """Without springs the plate; on very stiff ones w = q/k inside and the rim's moment q / (2 B^2)."""
    k = 1.5e5
    w, edge = plates_small.clamped_rectangle(1.0, 1.5, 1.0, 1.0, k)
    assert w * k == pytest.approx(1.0, rel=5e-3)
    assert edge * 2 * (k / 4) ** 0.5 == pytest.approx(1.0, rel=5e-3)
    stiffness = [1 / plates_small.clamped_rectangle(1.0, 1.5, 1.0, 1.0, k)[0] for k in (0, 10, 100, 1000)]
    assert np.all(np.diff(stiffness) > 0)
