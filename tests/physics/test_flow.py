import numpy as np
import pytest
from scipy.integrate import quad

from pourwright.physics import orifice


def test_tube_drop_agrees_with_its_velocity_profile():
    """Flow of the parabolic profile dp/L (R^2 - r^2)/(4 mu), integrated over the section, gives back the drop."""
    mu, length, diameter, speed = 7.0, 0.2, 0.05, 0.004
    drop = orifice.tube_pressure_drop(mu, length, speed, diameter)
    radius = diameter / 2
    flow, _ = quad(lambda r: drop / length * (radius**2 - r**2) / (4 * mu) * 2 * np.pi * r, 0, radius)
    assert flow / (np.pi * radius**2) == pytest.approx(speed, rel=1e-9)


def test_plates_drop_agrees_with_its_velocity_profile():
    mu, length, gap, speed = 7.0, 0.2, 0.02, 0.004
    drop = orifice.plates_pressure_drop(mu, length, speed, gap)
    flow, _ = quad(lambda y: drop / length * (gap**2 / 4 - y**2) / (2 * mu), -gap / 2, gap / 2)
    assert flow / gap == pytest.approx(speed, rel=1e-9)


def test_square_duct_against_its_series():
    """f Re of a square duct from the double Fourier series of the Poisson problem: 56.91 (Shah & London 1978)."""
    m = np.arange(1, 200, 2)
    a, b = np.meshgrid(m, m)
    mean = 64 / np.pi**6 * np.sum(1 / (a**2 * b**2 * (a**2 + b**2)))  # mean speed, unit side, dp/(mu L) = 1
    f_re = 2 / mean  # Dh = 1: dp = (f Re)/2 mu L v / Dh^2
    assert f_re == pytest.approx(56.91, abs=0.01)
    assert orifice.duct_pressure_drop(1.0, 1.0, mean, 1.0, 56.91) == pytest.approx(1.0, rel=1e-3)
