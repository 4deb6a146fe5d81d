"""How the clock of a foam changes with temperature: Arrhenius' law integrated by scipy, and what its papers print.

S. Arrhenius 1889 by way of any textbook of kinetics; viscosity of a gelling mix after Castro & Macosko, AIChE J. 28
(1982) 250-260 (constants from memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.physics import kinetics

REFERENCE_K = 295.3722222  # 72 °F


def seconds_to_half(energy, kelvin):
    """Time in which half of a first-order reaction of unit rate at 300 K is over."""

    def rate(_t, x):
        return np.exp(-energy / constants.R * (1 / kelvin - 1 / 300.0)) * (1 - x)

    def half(_t, x):
        return x[0] - 0.5

    half.terminal = True
    return solve_ivp(rate, (0.0, 1e3), [0.0], events=half, rtol=1e-10, atol=1e-12).t_events[0][0]


@pytest.mark.parametrize("celsius", [12.0, 22.0, 35.0])
@pytest.mark.parametrize("energy", [33e3, 52e3])
def test_time_of_a_reaction_at_another_temperature(energy, celsius):
    kelvin = celsius + 273.15
    times = seconds_to_half(energy, kelvin) / seconds_to_half(energy, REFERENCE_K)
    assert kinetics.time_factor(energy, kelvin, REFERENCE_K) == pytest.approx(times, rel=1e-7)
    assert (times > 1) == (kelvin < REFERENCE_K)


@pytest.mark.parametrize("celsius", [14.0, 30.0])
def test_times_of_a_grade_in_a_colder_and_a_warmer_shop(celsius):
    """Cream goes by 33 kJ/mol, gel, tack and end of rise by 40 (data of the grade); the sheet's times are at 72 °F."""
    kelvin, grade = celsius + 273.15, load_grade("rigid-3")
    cream, gel = (seconds_to_half(e, kelvin) / seconds_to_half(e, REFERENCE_K) for e in (33e3, 40e3))
    foam = at_conditions(grade, Conditions(kelvin, kelvin, kelvin))
    assert foam.cream_s == pytest.approx(40.0 * cream, rel=1e-6)
    assert (foam.gel_s, foam.tack_free_s, foam.rise_end_s) == pytest.approx(
        (130.0 * gel, 270.0 * gel, 300.0 * gel), rel=1e-6
    )


@pytest.mark.parametrize(("conversion", "times"), [(0.25, 2.3387), (0.50, 18.778), (0.60, 218.38)])
def test_viscosity_runs_away_before_the_gel_point(conversion, times):
    """(0.65 / (0.65 - X))^(1.5 + X), by hand: 1.625^1.75 = 2.339, 4.333^2.0 = 18.8, 13^2.1 = 218.4."""
    at = [float(kinetics.reacting_viscosity(330.0, x, 0.65)) for x in (0.0, conversion)]
    assert at[1] / at[0] == pytest.approx(times, rel=1e-3)


def test_viscosity_falls_with_temperature_by_its_energy():
    """41.3 kJ/mol: the temperature at which it is half of that at 298 K, sought by bisection."""
    warm = brentq(lambda t: np.exp(41.3e3 / constants.R * (1 / t - 1 / 298.0)) - 0.5, 298.0, 340.0)
    halved = kinetics.reacting_viscosity(warm, 0.0) / kinetics.reacting_viscosity(298.0, 0.0)
    assert float(halved) == pytest.approx(0.5, rel=1e-6)
