"""JCGM 100:2008 (GUM), the formulae of chapters 4 to 6, on two worked weights."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.physics import uncertainty


def test_foam_mass():
    """V = 0.5 m3 (u 3 %), 45 kg/m3 plus or minus 5 rectangular: 22.5 kg, u = 1.593, U = 3.19 kg."""
    u = uncertainty.product_uncertainty(0.5, 0.03, 45.0, uncertainty.rectangular(5.0) / 45.0)
    assert u == pytest.approx(1.593, rel=1e-3)
    assert uncertainty.expanded(u) == pytest.approx(3.19, rel=1e-3)


def test_foam_mass_by_drawing():
    """The same by 400 000 drawings: first order is good enough here."""
    rng = np.random.default_rng(1)
    drawn = rng.normal(0.5, 0.015, 400_000) * rng.uniform(40, 50, 400_000)
    assert drawn.std() == pytest.approx(1.593, rel=5e-3)


def test_centre_of_two_parts():
    m, um, x, ux = uncertainty.centre_uncertainty([20, 22.5], [1, 1.61], [0.300, 0.900], [0.010, 0.030])
    assert (m, um, x, ux) == pytest.approx((42.5, 1.895, 0.61765, 0.02109), rel=1e-3)


def test_shared_cause_adds_plainly():
    assert uncertainty.combined([1.0, 2.0, 2.0]) == pytest.approx(3.0)
    assert uncertainty.combined([1.0, 2.0, 2.0], correlated=True) == pytest.approx(5.0)
    assert uncertainty.triangular(6**0.5) == pytest.approx(1.0)
