"""Film on a draining wall against the thin-film equation solved in time, and against Jeffreys' closed form.

H. Jeffreys, The draining of a vertical plate, Proc. Cambridge Phil. Soc. 26 (1930) 204-205 (from memory): h = sqrt(mu x
/ (rho g t)). The equation dm/dt + d/dx (g sin a m^3 / (3 mu rho)) = 0 is solved by finite volumes, first order upwind.
"""

import math

import numpy as np
import pytest

from pourwright.physics.draining import draining_film, thinning


def test_the_film_is_that_of_jeffreys_where_nothing_thickens():
    mu, rho, x, t = 0.8, 1150.0, 0.25, 45.0
    kept = draining_film(x, math.pi / 2, t / (mu * rho))
    assert kept / rho == pytest.approx(math.sqrt(mu * x / (rho * 9.80665 * t)), rel=1e-4)


def test_the_film_of_a_thickening_liquid_is_that_of_the_equation_in_time():
    time = np.linspace(0.0, 80.0, 400)
    viscosity, density = 0.5 * np.exp(time / 25.0), 1150.0 / (1.0 + time / 20.0)
    slope, length, n = math.radians(60), 0.3, 600
    m, dx, now = np.full(n, 12.0), 0.3 / 600, 0.0
    while now < 80.0:
        mu, rho = np.interp(now, time, viscosity), np.interp(now, time, density)
        wave = 9.80665 * math.sin(slope) * m.max() ** 2 / (mu * rho)
        dt = min(0.4 * dx / wave, 80.0 - now + 1e-12)
        flux = np.concatenate([[0.0], 9.80665 * math.sin(slope) * m**3 / (3 * mu * rho)])
        m, now = m - dt * np.diff(flux) / dx, now + dt
    for share in (0.3, 0.6):
        kept = draining_film(share * length, slope, thinning(time, viscosity, density, 0.0, 80.0))
        assert kept == pytest.approx(m[int(share * n)], rel=0.02)
