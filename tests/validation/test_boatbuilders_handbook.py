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


def test_own_structure():
    """600 lb GRP at K 0.33 with 200 lb plywood at K -0.81 (the sign matters: 198 - 162 = 36 lb) over 60.4 lb/ft3."""
    submerged = 600 * LB * 0.33 + 200 * LB * -0.81
    assert buoyancy.boat_foam(submerged, 1.0, 0.0, FOAM, WATER) / FT3 == pytest.approx(36 / 60.4, rel=1e-6)
    assert pytest.approx(0.596, abs=5e-4) == 36 / 60.4


def test_level_flotation_persons():
    got = buoyancy.level_persons_foam(700 * LB, 1000 * LB, FOAM, WATER) / FT3
    assert got == pytest.approx((275 + 18.75 + 75) / 60.4, rel=1e-5)
    assert got == pytest.approx(6.105, rel=1e-3)
    light = buoyancy.level_persons_foam(400 * LB, 300 * LB, FOAM, WATER) / FT3
    assert light == pytest.approx(200 / 60.4, rel=1e-5)  # nothing above 550 lb, no spare capacity


def test_basic_flotation_183_105():
    assert buoyancy.basic_flotation_load(750.0, 200.0, 0.0) == pytest.approx(150.0)
    assert buoyancy.basic_flotation_load(0.0, 0.0, FT3) / LB == pytest.approx(62.4, rel=1e-4)


def test_lift_of_foam():
    assert buoyancy.net_lift(0.2, 35.0, buoyancy.FRESH_WATER) == pytest.approx(1890.9, rel=1e-4)
    assert buoyancy.net_lift(0.2, 35.0, buoyancy.SEA_WATER) == pytest.approx(1943.7, rel=1e-4)
    assert pytest.approx(WATER, rel=1e-6) == buoyancy.HANDBOOK_WATER


def test_box_barge():
    """4 x 1.2 m at 0.25 m draft: BM 0.480, KB 0.125, KM 0.605 m, 1198.9 kg fresh."""
    mass = buoyancy.FRESH_WATER * 4 * 1.2 * 0.25
    assert mass == pytest.approx(1198.9, rel=1e-4)
    assert buoyancy.box_afloat(4.0, 1.2, mass, buoyancy.FRESH_WATER) == pytest.approx((0.25, 0.125, 0.605), rel=1e-4)
    assert buoyancy.metacentric_radius(4 * 1.2**3 / 12, 1.2) == pytest.approx(0.480, rel=1e-4)
