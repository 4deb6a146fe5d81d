"""Which way the air of each node leaves, on cavities drawn by hand."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.access import OUT, air_ways
from pourwright.divide.shapes import shapes_of
from pourwright.findings import Code, finding
from pourwright.lifts import HoleRules, KeepOut, ShopLimits
from pourwright.lifts.vents import air_flow


def _pocket_at(graph, x):
    return next(k for k, p in enumerate(graph.pockets) if abs(p.point_standing_m[0] - x) < 0.1)


def test_air_leaves_by_the_highest_pocket_until_the_way_there_is_cut(cells, shapes):
    mask = shapes["u"].copy()
    mask[30:, :, 45:] = False  # the right arm is lower
    _, graph = cells(mask)
    way = air_ways(graph, np.zeros(len(graph.node_level), bool), 0)
    left, right = _pocket_at(graph, 0.05), _pocket_at(graph, 0.35)
    foot = graph.node_level < 10
    assert set(way[foot]) == {left}
    arms = ~foot
    on_right = graph.node_centroid_m[:, 0] > 0.25
    assert set(way[arms & on_right]) == {right}
    assert set(way[arms & ~on_right]) == {left}


def test_an_opening_lets_the_air_out(cells, shapes):
    _, graph = cells(shapes["u"])
    opening = np.zeros(len(graph.node_level), bool)
    opening[[p.node for p in graph.pockets if p.point_standing_m[0] < 0.2]] = True
    way = air_ways(graph, opening, 0)
    left, right = _pocket_at(graph, 0.05), _pocket_at(graph, 0.35)
    on_right = (graph.node_centroid_m[:, 0] > 0.25) & (graph.node_level >= 10)
    assert set(way[on_right]) == {right}
    assert set(way[~on_right]) <= {OUT, left}


def test_a_ripple_passes_its_air_on(cells):
    mask = np.zeros((20, 10, 30), bool)
    mask[:, :, :20] = True
    mask[2:6, :, 20:22] = True  # a bump of two cells, below the threshold of three
    mask[10:18, :, 20:30] = True
    _, graph = cells(mask)
    assert len(graph.pockets) == 1
    assert set(air_ways(graph, np.zeros(len(graph.node_level), bool), 0)) == {0}


def test_below_the_start_there_is_no_air(cells, shapes):
    _, graph = cells(shapes["column"])
    way = air_ways(graph, np.zeros(len(graph.node_level), bool), 15)
    assert set(way[graph.node_level < 15]) == {-2}
    assert set(way[graph.node_level >= 15]) == {0}


@pytest.mark.parametrize("hands", [1, 2])
def test_pours_of_one_piece_breathe_together_others_as_there_are_hands(cells, shapes, hands):
    _, graph = cells(shapes["arch"])
    none = np.zeros(len(graph.node_level), bool)
    legs = list(shapes_of(graph, 0, 20, graph.ripple_m, none))
    head = list(shapes_of(graph, 20, 50, graph.ripple_m, none))
    assert [len(legs), len(head)] == [2, 2]
    way = air_ways(graph, none, 0)
    peak, sends = air_flow([legs, head], graph, way, len(graph.pockets), 260.0, hands)
    (pocket,) = np.flatnonzero(peak)
    lift_1 = hands * legs[0].volume_m3  # two legs, one after the other or at once
    lift_2 = sum(s.volume_m3 for s in head)  # joined: always at once
    assert peak[pocket] == pytest.approx(2.5 * max(lift_1, lift_2) / 260.0)
    assert sends[:, pocket].all()


def _around_the_crown(half):
    box = ((-half, -half, 0.0), (half, half, 1.0))
    return ShopLimits(holes=HoleRules(keep_out=(KeepOut(box_m=box),)))


def test_a_vent_keeps_out_of_a_region_where_it_can(bodies, planned):
    """A ball of 300 mm radius: 10 mm under its crown it is 77 mm wide to each side, by Pythagoras."""
    (vent,) = planned(bodies["sphere"], limits=_around_the_crown(0.03)).plan.vents
    assert np.abs(vent.point_m[:2]).max() > 0.03
    assert np.hypot(*vent.point_m[:2]) <= np.sqrt(2 * 0.295 * 0.02)  # a cell more than the 10 mm


def test_a_vent_that_can_be_nowhere_else_stays_and_is_told(bodies, planned):
    plan = planned(bodies["sphere"], limits=_around_the_crown(0.2)).plan
    (vent,) = plan.vents
    assert np.hypot(*vent.point_m[:2]) < 0.02
    assert finding(Code.VENT_WHERE_NONE_MAY_BE, vent.name) in plan.warnings
