"""Gelling and blowing after Baser & Khakhar (Polym. Eng. Sci. 34 (1994) 632-649), integrated apart from the product.

The published equations in concentrations, not in conversions, with an implicit integrator of scipy (Radau, relative
1e-9). Constants and what the papers print are from memory: the papers could not be opened.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourwright.foam import reference_reaction
from pourwright.foam.reaction import CO2_MOLAR_MASS, run

R = 8.314462618
RHO, CP, CP_CO2 = 1100.0, 1800.0, 836.6  # kg/m3, J/(kg K), J/(kg K)
# OH, NCO, water in mol/m3: the papers' water-blown recipe as reused later, and one with NCO in excess.
RECIPES = {"as reused": (3765.0, 3765.0, 671.0), "index over one": (3400.0, 4000.0, 300.0)}


def integrated(oh, nco, water, start_k, seconds, loss_per_s=0.0, around_k=295.0):
    """d[OH] = -k1 [OH][NCO], d[W] = -k2 [W], d[NCO] = d[OH] + 2 d[W]; heat to liquid and to the gas that is there."""

    def change(_t, y):
        a, b, w, kelvin = y
        gelled = 1.7348 * math.exp(-40.4e3 / (R * kelvin)) * a * b
        blown = 1.385e3 * math.exp(-32.66e3 / (R * kelvin)) * w
        capacity = RHO * CP + (water - w) * CO2_MOLAR_MASS * CP_CO2
        return [
            -gelled,
            -gelled - 2 * blown,
            -blown,
            (70.75e3 * gelled + 86.0e3 * blown) / capacity - loss_per_s * (kelvin - around_k),
        ]

    return solve_ivp(change, (0.0, seconds), [oh, nco, water, start_k], method="Radau", rtol=1e-9, atol=1e-9).y[:, -1]


def product(oh, nco, water):
    return replace(
        reference_reaction(),
        gel_rate_per_s=1.7348 * oh,
        nco_ratio=nco / oh,
        water_ratio=water / oh,
        gel_heat_j_kg=70.75e3 * oh / RHO,
        blow_heat_j_kg=86.0e3 * water / RHO,
        gas_kg_kg=CO2_MOLAR_MASS * water / RHO,
    )


@pytest.mark.parametrize("seconds", [50.0, 150.0, 250.0, 375.0, 600.0])
@pytest.mark.parametrize("start_c", [15.0, 27.0, 35.0])
@pytest.mark.parametrize("recipe", RECIPES)
def test_states_of_the_published_equations(recipe, start_c, seconds):
    oh, nco, water = RECIPES[recipe]
    a, _, w, kelvin = integrated(oh, nco, water, start_c + 273.15, seconds)
    history = run(product(oh, nco, water), start_c + 273.15, seconds, points=11)
    assert history.gelling[-1] == pytest.approx(1 - a / oh, abs=1e-4)
    assert history.blowing[-1] == pytest.approx(1 - w / water, abs=1e-4)
    assert history.temperature_k[-1] == pytest.approx(kelvin, abs=0.02)


@pytest.mark.parametrize("seconds", [150.0, 600.0])
def test_a_cup_that_loses_heat_to_the_room(seconds):
    """A thousandth of its excess over 295 K a second."""
    oh, nco, water = RECIPES["as reused"]
    a, _, _, kelvin = integrated(oh, nco, water, 298.15, seconds, 1e-3)
    history = run(product(oh, nco, water), 298.15, seconds, loss_per_s=1e-3, around_k=295.0, points=11)
    assert history.temperature_k[-1] == pytest.approx(kelvin, abs=0.02)
    assert history.gelling[-1] == pytest.approx(1 - a / oh, abs=1e-4)


def test_without_heat_a_balanced_mix_gels_by_the_second_order_law():
    """Equal OH and NCO, no water, held at 25 °C: 1 - X = 1 / (1 + k c t) (any textbook of kinetics)."""
    cold = replace(product(3765.0, 3765.0, 1e-6), gel_heat_j_kg=0.0, blow_heat_j_kg=0.0)
    history = run(cold, 298.15, 3000.0, points=31)
    rate = 1.7348 * math.exp(-40.4e3 / (R * 298.15)) * 3765.0
    np.testing.assert_allclose(history.gelling, 1 - 1 / (1 + rate * history.time_s), atol=2e-5)


def test_without_heat_water_goes_by_the_first_order_law():
    cold = replace(reference_reaction(), gel_heat_j_kg=0.0, blow_heat_j_kg=0.0)
    history = run(cold, 298.15, 3000.0, points=31)
    rate = 1.385e3 * math.exp(-32.66e3 / (R * 298.15))
    np.testing.assert_allclose(history.blowing, 1 - np.exp(-rate * history.time_s), atol=2e-5)


def test_peak_lies_where_the_papers_curves_peak():
    """Measured cores of their water and R-11 recipes peak at about 380 to 430 K (from memory, low)."""
    assert 380.0 < run(reference_reaction(), 298.15, 1200.0).temperature_k[-1] < 430.0
