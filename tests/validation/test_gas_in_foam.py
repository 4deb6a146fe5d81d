"""Gas in foam by moles: the ideal gas law with scipy's CODATA constants, and the standard atmosphere of ISO 2533.

Solid polymer between the cells: 1200 kg/m3 (the product's own assumption, given to both sides).
"""

from __future__ import annotations

import pytest
from scipy import constants
from scipy.optimize import brentq

from pourwright.foam import Conditions, at_conditions, load_grade, reference_reaction
from pourwright.foam.reaction import run
from pourwright.lifts.limits import closing_pressure, open_pressure
from pourwright.physics import gas, kinetics

SOLID = 1200.0
CO2 = 0.0440095  # kg/mol, IUPAC atomic weights 12.011 and 15.999
SHOP_K = 295.3722222  # 72 °F
MOUNTAIN_PA = 79495.0  # 2000 m, ISO 2533:1975 table, from memory


def moles(density, pressure, kelvin):
    """Gas in the cells of a kilogram of foam."""
    return pressure * (1 / density - 1 / SOLID) / (constants.R * kelvin)


@pytest.mark.parametrize("heated", [1.0, 1.05, 1.2])
@pytest.mark.parametrize("packing", [1.03, 1.10, 1.5])
def test_foam_that_is_held_back_presses_as_its_gas_does(packing, heated):
    """The moles of free foam at one atmosphere and 400 K, in the room that packed foam leaves them, hotter."""
    n = moles(48.06, constants.atm, 400.0)
    room = 1 / (packing * 48.06) - 1 / SOLID
    pressure = n * constants.R * 400.0 * heated / room
    assert gas.packed_gauge_pressure(packing, 48.06, heated) == pytest.approx(pressure - constants.atm, rel=1e-6)


def test_pressure_under_a_cap_hot_end():
    """Rigid 3 lb foam, packed by 1.10, its gas 5 % hotter at the peak than at gelling: 16.4 kPa, by the moles."""
    foam = at_conditions(load_grade("rigid-3"), Conditions(SHOP_K, SHOP_K, SHOP_K))
    free = foam.free_rise_density_kg_m3.nominal
    n = moles(free, constants.atm, 390.0)
    cold, hot = (n * constants.R * 390.0 * h / (1 / (1.10 * free) - 1 / SOLID) - constants.atm for h in (1.0, 1.05))
    assert closing_pressure(foam).high == pytest.approx(hot, rel=1e-6)
    assert closing_pressure(foam).nominal == pytest.approx(cold, rel=1e-6)
    assert hot == pytest.approx(16.4e3, rel=0.02)


def test_head_of_risen_foam():
    """A metre of water weighs 9806.65 Pa (NIST SP 811, B.8); foam as much less as it is lighter."""
    foam = at_conditions(load_grade("rigid-3"), Conditions(SHOP_K, SHOP_K, SHOP_K))
    more = open_pressure(foam, 1.5).nominal - open_pressure(foam, 0.5).nominal
    assert more == pytest.approx(9806.65 * foam.open_density_kg_m3.nominal / 1000.0, rel=1e-9)
    assert gas.head_pressure(1000.0, 1.0) == pytest.approx(9806.65, rel=1e-9)


@pytest.mark.parametrize("pressure", [MOUNTAIN_PA, 95000.0, 105000.0])
def test_foam_on_a_mountain_is_lighter(pressure):
    """The same moles at the pressure of the day: the density at which they fill what the polymer leaves."""
    grade = load_grade("rigid-3")
    n = moles(grade.free_rise_density_kg_m3, constants.atm, 400.0)
    density = 1 / (n * constants.R * 400.0 / pressure + 1 / SOLID)
    at = grade.reference_temperature_k
    foam = at_conditions(grade, Conditions(at, at, at, pressure))
    assert foam.free_rise_density_kg_m3.nominal == pytest.approx(density, rel=1e-6)
    assert (density < grade.free_rise_density_kg_m3) == (pressure < constants.atm)


def test_volume_of_foam_that_has_reacted_by_its_moles():
    """671 mol of water in 1100 kg of mix become as much carbon dioxide; 4.4e-4 kg/kg stays dissolved; mass is kept."""
    reaction = reference_reaction()
    history = run(reaction, 298.15, 900.0, points=901)
    given_off = 671.0 / 1100.0 * history.blowing[-1] - 4.4e-4 / CO2
    room = given_off * constants.R * history.temperature_k[-1] / constants.atm
    liquid = (1.0 - given_off * CO2) / 1100.0
    assert history.volume_m3_kg[-1] == pytest.approx(room + liquid, rel=2e-5)


def test_gas_of_a_density_blows_that_density():
    """Share of gas sought by bisection until its moles and the liquid beside it fill a kilogram of foam."""

    def off(share):
        return share / CO2 * constants.R * 400.0 / constants.atm + (1 - share) / 1150.0 - 1 / 48.06

    share = brentq(off, 0.0, 0.5, xtol=1e-14)
    assert kinetics.gas_in_foam(48.06, 400.0, constants.atm, 1150.0, CO2) == pytest.approx(share, rel=1e-6)
    assert kinetics.specific_volume(share, 400.0, constants.atm, 1150.0, CO2) == pytest.approx(1 / 48.06, rel=1e-6)
