"""U.S. Coast Guard Boatbuilder's Handbook, flotation part, and 33 CFR 183; water after ITTC 7.5-02-01-03 Rev 03.

The method was read; the Handbook's own numeric example could not be, so the numbers here are worked by hand from it.
"""

from __future__ import annotations

import pytest

from pourwright.physics import buoyancy

LB, FT3 = 0.45359237, 0.3048**3
WATER = 62.4 * LB / FT3
FOAM = 2.0 * LB / FT3


@pytest.mark.parametrize(
    ("gravity", "printed"),
    [(11.38, 0.91), (8.9, 0.89), (2.73, 0.63), (2.60, 0.62), (1.50, 0.33), (1.12, 0.11), (0.85, -0.18), (0.16, -5.25)],
)
def test_submerged_factors(gravity, printed):
    """Printed table (0.63, 0.33, 0.11 read, the rest from memory); K = (SG - 1) / SG rounds to it."""
    assert buoyancy.submerged_factor(gravity) == pytest.approx(printed, abs=0.006)


def test_level_flotation_persons():
    got = buoyancy.level_persons_foam(700 * LB, 1000 * LB, FOAM, WATER) / FT3
    assert got == pytest.approx((275 + 18.75 + 75) / 60.4, rel=1e-5)
    assert got == pytest.approx(6.105, rel=1e-3)
    light = buoyancy.level_persons_foam(400 * LB, 300 * LB, FOAM, WATER) / FT3
    assert light == pytest.approx(200 / 60.4, rel=1e-5)  # nothing above 550 lb, no spare capacity


def test_basic_flotation_183_105():
    assert buoyancy.basic_flotation_load(750.0, 200.0, 0.0) == pytest.approx(150.0)
    assert buoyancy.basic_flotation_load(0.0, 0.0, FT3) / LB == pytest.approx(62.4, rel=1e-4)


def test_densities_of_water():
    """999.10 and 1026.02 kg/m3 at 15 °C (ITTC), 62.4 lb/ft3 of the regulation."""
    assert pytest.approx((999.10, 1026.02), abs=0.005) == (buoyancy.FRESH_WATER, buoyancy.SEA_WATER)
    assert pytest.approx(WATER, rel=1e-6) == buoyancy.HANDBOOK_WATER


def test_a_cubic_metre_of_steel_hangs_lighter_by_the_water_it_displaces():
    """Archimedes: 7850 kg in air, and 62.4 lb/ft3 of water less when it hangs in it."""
    hangs = 7850.0 - 62.4 * LB / FT3
    assert buoyancy.dry_weight(hangs, 7850.0) == pytest.approx(7850.0, rel=1e-6)
