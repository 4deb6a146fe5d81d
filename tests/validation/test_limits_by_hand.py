"""Where a lift has to end, and what pours bring to a join, worked by hand on blocks of cells of 1 cm.

Foam of 3 lb/ft3 by its sheet: 1155 kg/m3 of liquids, 48.055 x 1.03 = 49.497 kg/m3 under a free top, 52.861 under a cap;
4.5 kPa of an open pour (the product's own assumption) and rho g h of its head.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.divide.bands import CLOSING, LIQUID, OPEN, THICKNESS, grow, nodes_of
from pourwright.divide.shapes import shapes_of
from pourwright.divide.small import give_away
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.lifts.limits import rules_of
from pourwright.lifts.mouths import arrival, shut_by

SHEET_K = 295.3722222  # 72 °F
OPEN_KG_M3, CAPPED_KG_M3, LIQUID_KG_M3 = 49.497, 52.861, 1155.0


def foam():
    return at_conditions(load_grade("rigid-3"), Conditions(SHEET_K, SHEET_K, SHEET_K))


def grown(graph, limits, strength_pa=math.inf):
    """How far a lift from the floor may grow, and what stops it."""
    count = len(graph.node_level)
    none, strength = np.zeros(count, bool), np.full(count, strength_pa)
    low = np.zeros((count, 2))
    size = graph.label.shape
    high = np.full((count, 2), [0.01 * size[0], 0.01 * size[1]])
    growth = grow(nodes_of(graph, none, strength, low, high), rules_of(foam(), limits, graph.ripple_m), 0, graph.levels)
    return int(growth.tallest[0]), int(growth.kind[0]), growth


ANY = {"max_lift_reference": "sheet", "largest_batch_m3": 1.0, "pour_rate_m3_s": 1.0}


@pytest.mark.parametrize(("cap_mm", "levels"), [(95, 9), (105, 10), (199.7, 19), (300, 30)])
def test_thickest_foam(cells, shapes, cap_mm, levels):
    _, graph = cells(shapes["column"])
    found, kind, _ = grown(graph, ShopLimits(max_lift_m=cap_mm / 1e3, **ANY))
    assert (found, kind) == (levels, THICKNESS)


@pytest.mark.parametrize(("hands", "litres"), [(1, 0.05), (2, 0.03), (3, 0.021)])
def test_liquid_that_all_hands_can_mix(cells, shapes, hands, litres):
    """A level of 10 x 10 x 1 cm takes 0.1 x 49.497 / 1155 = 4.2855 mL of liquid."""
    _, graph = cells(shapes["column"])
    shop = {**ANY, "largest_batch_m3": litres / 1e3}
    found, kind, _ = grown(graph, ShopLimits(max_lift_m=9.0, hands=hands, **shop))
    assert (found, kind) == (math.floor(hands * litres / 4.2855e-3), LIQUID)


@pytest.mark.parametrize("levels", [38, 39, 40])
def test_the_last_level_under_a_cap_takes_more_liquid(cells, shapes, levels):
    """40 levels to the cap take 40 x 4.5767 mL = 0.18307 L, 39 under a free top 39 x 4.2855 = 0.16713."""
    _, graph = cells(shapes["column"])
    litres = {38: 0.1670, 39: 0.1820, 40: 0.1832}[levels]
    found, _, _ = grown(graph, ShopLimits(max_lift_m=9.0, **{**ANY, "largest_batch_m3": litres / 1e3}))
    assert found == levels


@pytest.mark.parametrize("levels", [10, 20, 30])
def test_head_of_an_open_pour_on_the_weakest_panel(cells, shapes, levels):
    """4500 Pa and 49.497 x 9.80665 = 485.4 Pa a metre of foam."""
    _, graph = cells(shapes["column"])
    stands = 4500.0 + 485.4 * 0.01 * (levels + 0.5)
    found, kind, _ = grown(graph, ShopLimits(max_lift_m=9.0, **ANY), stands)
    assert (found, kind) == (levels, OPEN)


def test_a_cap_that_a_panel_does_not_stand_ends_a_lift_below_it(cells):
    """10.6 kPa under a cap: a wide room with a narrow one on top, whose panels stand 8 kPa below and 20 kPa above."""
    mask = np.zeros((20, 10, 40), bool)
    mask[:, :, :30] = True
    mask[:10, :, 30:] = True
    _, graph = cells(mask)
    count = len(graph.node_level)
    strength = np.where(graph.node_level < 29, 8e3, 20e3)
    low, high = np.zeros((count, 2)), np.full((count, 2), 0.2)
    rules = rules_of(foam(), ShopLimits(max_lift_m=9.0, **ANY), graph.ripple_m)
    growth = grow(nodes_of(graph, np.zeros(count, bool), strength, low, high), rules, 0, graph.levels)
    assert (int(growth.tallest[0]), int(growth.kind[0])) == (39, CLOSING)


@pytest.mark.parametrize(("long_cm", "landings"), [(80, 1), (119, 1), (125, 2), (230, 2), (250, 3)])
def test_ports_that_a_long_pour_asks_for(cells, long_cm, landings):
    """Liquid runs 0.6 m each way: a landing serves 1.2 m of the diagonal, 10 cm wide."""
    _, graph = cells(np.ones((long_cm, 10, 6), bool))
    _, _, growth = grown(graph, ShopLimits(max_lift_m=9.0, **ANY))
    assert growth.cost[0, 3] == landings


def test_pours_share_what_is_above_their_join_by_what_each_brings(cells, shapes):
    """Legs of 8 x 10 and 10 x 10 cells: 8 and 10 parts of 18 of every level over the join."""
    _, graph = cells(shapes["legs"])
    none = np.zeros(len(graph.node_level), bool)
    pours = shapes_of(graph, 0, 60, graph.ripple_m, none)
    over = graph.node_level >= 30
    for pour, part in zip(sorted(pours, key=lambda p: p.volume_m3), (8, 10), strict=True):
        above = over[pour.nodes]
        assert pour.shares[above] == pytest.approx(part / 18)
        assert pour.volume_m3 == pytest.approx((part * 10 * 30 + part / 18 * 30 * 10 * 30) * 1e-6)


def test_lid_on_a_port_is_pressed_by_its_area(skin_of):
    """A hole of 40 mm (1256.6 mm2) under a cap at 10.60 kPa (48.06 kg/m3 packed by 1.10, printed value): 13.3 N."""
    skin = skin_of(trimesh.creation.box(bounds=[[0, 0, 0], [0.23, 0.27, 0.23]]), 0.005)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    cavity = build_cavity(skin, frame, cell_m=0.01)
    plan = plan_lifts(Space(skin, cavity, build_levels(cavity)), foam(), ShopLimits())
    (port,) = [closing for closing in plan.closings if closing.hole.startswith("P")]
    assert port.area_m2 == pytest.approx(1256.6e-6, rel=1e-4)
    assert port.force_n.nominal == pytest.approx(13.3, rel=0.01)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.7])
def test_when_foam_is_at_a_port(share):
    """Up to gel (130 s) a grade of known times has 80 % of its gas, by 3 x^2 - 2 x^3 from cream (40 s) on.

    A kilogram of it: polymer 1 / 1200 and gas up to 1 / 48.055 - 1 / 1200 cubic metres.
    """
    for x in np.linspace(0, 1, 2001):
        if 0.8 * (3 * x**2 - 2 * x**3) >= share:
            break
    space = 2.5 * (1 / 1200.0 + share * (1 / 48.0554 - 1 / 1200.0))
    assert arrival(foam(), space, 2.5) == pytest.approx(40.0 + 90.0 * x, abs=0.3)


@pytest.mark.parametrize("arrives", [63.0, 101.0, 150.0, 212.4])
def test_a_port_is_shut_a_fifth_of_the_time_early_on_a_mark_of_five_seconds(arrives):
    by = shut_by(arrives)
    assert by % 5 == 0
    assert 0 <= 0.8 * arrives - by < 5


@pytest.mark.parametrize(("millilitres", "left_empty"), [(93, 0), (92, 18)])
def test_a_small_piece_goes_only_where_its_liquid_can_be_mixed(cells, millilitres, left_empty):
    """2 L of room and a bump of 18 mL over the cut: under the cap 2.018 L x 52.861 / 1155 = 92.36 mL of liquid."""
    mask = np.zeros((10, 10, 22), bool)
    mask[:, :, :20] = True
    mask[3:6, 3:6, 20:] = True
    _, graph = cells(mask)
    shop = {**ANY, "largest_batch_m3": millilitres * 1e-6}
    rules = rules_of(foam(), ShopLimits(max_lift_m=9.0, **shop), graph.ripple_m)
    none, stands = np.zeros(len(graph.node_level), bool), np.full(len(graph.node_level), np.inf)
    bands = [list(shapes_of(graph, a, b, graph.ripple_m, none)) for a, b in ((0, 20), (20, 22))]
    given = give_away(graph, bands, rules, none, stands)
    (pour,) = [shape for band in given.bands for shape in band]
    assert pour.volume_m3 * 1e6 == pytest.approx(2018 - left_empty)
    assert sum(graph.node_volume_m3[nodes].sum() for nodes in given.empty) * 1e6 == pytest.approx(left_empty)
