"""Vents against the velocity pressure of standard air: V = 4005 sqrt(p), feet a minute and inches of water.

ASHRAE Handbook Fundamentals, duct design (air of 0.075 lb/ft3), from memory. A sharp-edged hole passes 0.61 of it
(Kirchhoff's contraction pi / (pi + 2) of a free jet, any textbook of hydraulics). Peak over mean rate of rise: 2.5, the
product's own assumption.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourwright.access import air_ways
from pourwright.divide.shapes import shapes_of
from pourwright.lifts import ShopLimits
from pourwright.lifts.vents import air_flow, holes_for, holes_of
from pourwright.physics import orifice

FOOT, INCH_OF_WATER, STANDARD_AIR = 0.3048, 249.089, 0.075 * 0.45359237 / 0.3048**3
CONTRACTION = math.pi / (math.pi + 2)


def air_speed(pascal, density=STANDARD_AIR):
    """Metres a second, from 4005 feet a minute at an inch of water; other air goes by the root of its density."""
    return 4005 * FOOT / 60 * math.sqrt(pascal / INCH_OF_WATER * STANDARD_AIR / density)


@pytest.mark.parametrize("pascal", [25.0, 100.0, 400.0])
@pytest.mark.parametrize("drill_mm", [6.0, 12.0, 32.0])
def test_flow_through_a_drilled_hole(drill_mm, pascal):
    flow = CONTRACTION * math.pi * (drill_mm / 2e3) ** 2 * air_speed(pascal, 1.2)
    assert orifice.orifice_flow(drill_mm / 1e3, pascal) == pytest.approx(flow, rel=3e-3)
    assert orifice.orifice_diameter(flow, pascal) == pytest.approx(drill_mm / 1e3, rel=2e-3)


@pytest.mark.parametrize("litres", [0.1, 0.5, 2.0, 5.0])
@pytest.mark.parametrize("wide_mm", [15.0, 30.0, 200.0])
def test_holes_of_a_vent_are_as_few_and_as_small_as_will_do(litres, wide_mm):
    """Every drill of the set and every number of holes tried against the table's speed; no wider than 0.6 of a tip."""
    limits = ShopLimits()
    size, count = holes_for(litres / 1e3, wide_mm / 1e3, limits)
    each = {d: CONTRACTION * math.pi * d**2 / 4 * air_speed(limits.vent_pressure_pa, 1.2) for d in limits.drill_m}
    fit = [d for d in limits.drill_m if d <= 0.6 * wide_mm / 1e3]
    fewest = next(n for n in range(1, 500) if n * each[fit[-1]] >= 0.997 * litres / 1e3)
    assert count == fewest
    assert size in fit
    assert count * each[size] >= 0.997 * litres / 1e3
    smaller = [d for d in fit if d < size]
    assert not smaller or count * each[smaller[-1]] < litres / 1e3
    assert holes_of(litres / 1e3, size, limits) == count


@pytest.mark.parametrize("hands", [1, 2])
def test_air_of_a_lift_leaves_at_its_peak(cells, shapes, hands):
    """Two legs of 8 x 10 x 20 and 10 x 10 x 20 cells of 1 cm, 260 s of rise: 2.5 times their volume over that."""
    _, graph = cells(shapes["legs"])
    none = np.zeros(len(graph.node_level), bool)
    legs = list(shapes_of(graph, 0, 20, graph.ripple_m, none))
    way = air_ways(graph, none, 0)
    peak, _ = air_flow([legs], graph, way, len(graph.pockets), 260.0, hands)
    volume = 2.0e-3 if hands == 1 else 3.6e-3
    assert peak.max() == pytest.approx(2.5 * volume / 260.0, rel=1e-9)
