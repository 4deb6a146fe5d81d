"""One shot in a fixture, against Poiseuille flow summed by SciPy, the beam equation by SciPy, and areas by hand."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from pourwright.physics import fixture, gas, mould_flow


def test_foam_that_swells_along_a_gap_needs_the_pressure_of_poiseuille_flow_summed_along_it():
    growth, mu, length, gap = 0.02, 80.0, 1.3, 0.06

    def gradient(x):
        """Mean speed u between plates at rest: dp/dx = 12 mu u / h^2; what swells behind x passes x."""
        return 12 * mu * growth * x / gap**2

    assert mould_flow.plane_swelling_drop(growth, mu, length, gap) == pytest.approx(quad(gradient, 0, length)[0])


def test_a_long_plate_bends_as_the_beam_equation_solved_by_scipy():
    q, span, youngs, poisson, thickness = 22e3, 0.5, 70e9, 0.33, 0.012
    rigidity = youngs * thickness**3 / 12 / (1 - poisson**2)

    def beam(x, y):
        return np.vstack([y[1], y[2], y[3], np.full_like(x, q / rigidity)])

    def ends(a, b):
        return np.array([a[0], a[2], b[0], b[2]])

    x = np.linspace(0, span, 41)
    solved = solve_bvp(beam, ends, x, np.zeros((4, len(x))), tol=1e-8)
    bend = float(solved.sol(span / 2)[0])
    assert fixture.strip_span(bend, q, youngs, poisson, thickness) == pytest.approx(span, rel=1e-5)


def test_the_packing_at_a_pressure_presses_with_that_pressure():
    """Boyle and Gay-Lussac by hand: gas of foam at one atmosphere, then hotter, in the room it is left."""
    free, solid, air, hot = 35.0, 1200.0, 101325.0, 1.05
    packing = gas.packing_at_pressure(35e3, free, hot, air, solid)
    gas_room = 1 / free - 1 / solid  # of one kilogram
    left = 1 / (packing * free) - 1 / solid
    assert air * gas_room * hot / left - air == pytest.approx(35e3)
