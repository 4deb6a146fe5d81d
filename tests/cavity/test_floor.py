"""Ways of liquid over the floor."""

from __future__ import annotations

import numpy as np
import pytest

from pourwright.cavity import floor_of


def _farthest(cavity, graph, seed) -> float:
    return floor_of(cavity, graph, np.arange(len(graph.node_level))).reach(np.array(seed)).max()


def test_plain_floor_is_at_most_an_eighth_longer_than_straight(cells):
    cavity, graph = cells(np.ones((60, 40, 5), bool), cell=0.01)
    floor = floor_of(cavity, graph, np.arange(5))
    way = floor.reach(np.array([0.005, 0.005, 0.0]))
    straight = np.linalg.norm(floor.spots_standing_m - floor.spots_standing_m[way.argmin()], axis=1)
    assert (way >= straight - 1e-12).all()
    assert (way <= 1.083 * straight + 1e-12).all()


def test_way_leads_round_a_wall(cells):
    mask = np.ones((40, 40, 4), bool)
    mask[20, :30] = False
    cavity, graph = cells(mask, cell=0.01)
    floor = floor_of(cavity, graph, np.arange(len(graph.node_level)))
    way = floor.reach(np.array([0.1, 0.005, 0.0]))
    behind = np.argmin(np.linalg.norm(floor.spots_standing_m - [0.3, 0.005, 0.0], axis=1))
    assert way[behind] > 2 * np.hypot(0.1, 0.29)


def test_diagonal_gap_is_closed(cells):
    mask = np.zeros((4, 4, 3), bool)
    mask[:2, :2] = True
    mask[2:, 2:] = True
    cavity, graph = cells(mask)
    assert np.isinf(_farthest(cavity, graph, [0.005, 0.005, 0.0]))


def test_two_seeds_halve_the_reach(cells):
    cavity, graph = cells(np.ones((100, 6, 4), bool), cell=0.01)
    floor = floor_of(cavity, graph, np.arange(4))
    one = floor.reach(np.array([0.5, 0.03, 0.0])).max()
    two = floor.reach(np.array([[0.25, 0.03, 0.0], [0.75, 0.03, 0.0]])).max()
    assert two == pytest.approx(one / 2, rel=0.1)


def test_floor_climbs_with_the_shape(cells):
    mask = np.zeros((30, 8, 40), bool)
    for ix in range(30):
        mask[ix, :, ix : ix + 10] = True
    cavity, graph = cells(mask, cell=0.01)
    reach = _farthest(cavity, graph, [0.005, 0.04, 0.0])
    assert reach == pytest.approx(np.hypot(0.29, 0.29), rel=0.1)


def test_big_floor_is_taken_in_patches(cells):
    cavity, graph = cells(np.ones((200, 150, 3), bool), cell=0.005)
    floor = floor_of(cavity, graph, np.arange(3))
    assert len(floor.spots_standing_m) < 6000
    assert floor.patch_m > 0.005
    way = floor.reach(np.array([0.0, 0.0, 0.0])).max()
    assert way == pytest.approx(np.hypot(1.0, 0.75), rel=0.1)
    assert (cavity.fraction[tuple(floor.cells.T)] >= 128).all()


def test_only_the_given_nodes_count(cells, shapes):
    cavity, graph = cells(shapes["u"])
    left = np.flatnonzero((graph.node_level >= 10) & (graph.node_centroid_m[:, 0] < 0.2))
    floor = floor_of(cavity, graph, left)
    assert floor.spots_standing_m[:, 0].max() < 0.2
    assert floor.spots_standing_m[:, 2].min() == pytest.approx(0.1)
