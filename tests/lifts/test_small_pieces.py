"""Pieces nobody would mix a cup for: who fills them, and that nothing of the cavity is lost."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import trimesh

from pourwright.divide.bands import Rules
from pourwright.divide.shapes import shapes_of
from pourwright.divide.small import give_away
from pourwright.findings import Code
from pourwright.lifts import ShopLimits


def _box(x0, x1, y0, y1, z0, z1):
    return trimesh.creation.box(bounds=[[x0, y0, z0], [x1, y1, z1]])


def _joined(*parts):
    return trimesh.boolean.union(list(parts), engine="manifold")


@pytest.fixture(scope="module")
def small_bodies():
    trunk = _box(0, 0.2, 0, 0.2, 0, 0.58)
    shoulder = _box(0.18, 0.44, 0, 0.2, 0, 0.17)
    return {
        # a bump on a shoulder: its top lies just over the first cut
        "bump": _joined(trunk, shoulder, _box(0.34, 0.40, 0.07, 0.13, 0.1, 0.207)),
        # a tip that hangs beside the trunk and joins it a little higher
        "tip": _joined(trunk, _box(0.3, 0.36, 0.07, 0.13, 0.05, 0.2), _box(0.15, 0.36, 0.05, 0.15, 0.12, 0.3)),
        # a thread of cavity of its own beside the trunk: its wall leaves next to nothing
        "apart": trimesh.util.concatenate([trunk, _box(0.4, 0.44, 0.08, 0.12, 0.0, 0.1)]),
    }


def _whole(made):
    pours = [pour for lift in made.lifts for pour in lift.pours]
    share = np.zeros(len(made.graph.node_level))
    for pour in pours:
        share[pour.nodes] += pour.shares
    for space in made.plan.unfilled:
        share[space.nodes] += 1
    np.testing.assert_allclose(share, 1, atol=1e-12)
    total = sum(p.volume_m3 for p in pours) + sum(s.volume_m3 for s in made.plan.unfilled)
    assert total == pytest.approx(made.cavity.volume_m3, rel=1e-6)
    return pours


@pytest.mark.parametrize("name", ["bump", "tip", "apart"])
@pytest.mark.parametrize("least", [0.0, 1e-4, 4e-4])
def test_nothing_is_lost(small_bodies, planned, name, least):
    made = planned(small_bodies[name], limits=ShopLimits(least_pour_m3=least))
    pours = _whole(made)
    for low, high in itertools.pairwise(made.lifts):
        assert low.top_level == high.bottom_level
    for pour in pours:
        assert pour.rise_m <= 0.2 * (1 + 1e-9)
    small = [pour for pour in pours if pour.volume_m3 < least]
    assert not small
    if least == 0:
        assert not made.plan.unfilled


CELL = 0.01


def _rules(**changes):
    plain = {
        "ripple_m": 0.0,
        "lift_m": 0.08,
        "liquid_m3": 1.0,
        "open_share": 1 / 24,
        "closed_share": 1.1 / 24,
        "closing_pa": 10e3,
        "open_pa": 4e3,
        "head_pa_m": 500.0,
        "flow_distance_m": 1.0,
        "thin_m": 0.01,
        "least_m3": 2e-5,
        "spill_m": 0.03,
    }
    return Rules(**{**plain, **changes})


def _given(cells, boxes, rules, strength_pa=np.inf):
    """A trunk cut at level 6 of 12 with ``boxes`` added, and what becomes of its small pieces."""
    mask = np.zeros((12, 4, 12), bool)
    mask[:5, :, :] = True
    for x0, x1, z0, z1 in boxes:
        mask[x0:x1, 1:3, z0:z1] = True
    _, graph = cells(mask, CELL, 0.0)
    opening = np.zeros(len(graph.node_level), bool)
    bands = [list(shapes_of(graph, a, b, 0.0, opening, rules.least_m3, rules.spill_m)) for a, b in ((0, 6), (6, 12))]
    return graph, bands, give_away(graph, bands, rules, opening, np.full(len(opening), strength_pa))


BUMP = [(5, 10, 0, 3), (8, 10, 3, 8)]  # stands on a shoulder of the first lift, two levels over its cut
TIP = [(8, 10, 4, 8), (5, 10, 7, 9)]  # two levels under the cut, joined to the trunk over it


def test_a_bump_over_the_cut_is_filled_from_below(cells):
    _, bands, given = _given(cells, BUMP, _rules())
    assert [len(b) for b in bands] == [1, 2]
    assert [len(b) for b in given.bands] == [1, 1]
    assert not given.empty
    taker = given.bands[0][0]
    assert taker.top_level == 8
    assert taker.volume_m3 == pytest.approx(bands[0][0].volume_m3 + 8 * CELL**3)
    np.testing.assert_array_equal(taker.own, bands[0][0].own)  # the liquid lands where it did


def test_a_bump_too_high_for_the_pour_below_stays_empty(cells):
    _, _, given = _given(cells, BUMP, _rules(lift_m=0.075))
    assert given.bands[0][0].top_level == 6
    assert sum(len(nodes) for nodes in given.empty) == 2
    assert len(given.bands[1]) == 1


def test_a_tip_under_the_cut_is_filled_from_above_if_shallow(cells):
    _, bands, given = _given(cells, TIP, _rules())
    assert [len(b) for b in bands] == [2, 1]
    assert [len(b) for b in given.bands] == [1, 1]
    taker = given.bands[1][0]
    assert (taker.bottom_level, taker.top_level) == (4, 12)
    assert taker.volume_m3 == pytest.approx(bands[1][0].volume_m3 + 8 * CELL**3)
    # too deep for that it stays a pour: what goes on above it must not stand on nothing
    _, _, deep = _given(cells, TIP, _rules(spill_m=0.015))
    assert [len(b) for b in deep.bands] == [2, 1]
    assert not deep.empty


def test_pressure_and_liquid_of_the_taker_are_kept(cells):
    _, _, given = _given(cells, BUMP, _rules(liquid_m3=bands_liquid(cells)))
    assert given.bands[0][0].top_level == 6
    assert given.empty


def bands_liquid(cells):
    """Just what the first lift needs without the bump."""
    _, bands, _ = _given(cells, BUMP, _rules(least_m3=0.0))
    return bands[0][0].volume_m3 / 24 * 1.0001


def test_what_nobody_reaches_stays_empty_and_is_told(small_bodies, planned):
    made = planned(small_bodies["apart"], limits=ShopLimits(least_pour_m3=1e-4))
    (space,) = made.plan.unfilled
    assert space.volume_m3 == pytest.approx(0.03**2 * 0.09, rel=0.25)  # three cells across
    assert space.volume_m3 + sum(p.volume_m3 for p in _whole(made)) == pytest.approx(made.cavity.volume_m3, rel=1e-6)
    assert space.measures.from_left_m == pytest.approx(0.42, abs=0.005)
    assert any(found.code == Code.STAYS_EMPTY for found in made.plan.warnings)
    tall = [vent for vent in made.plan.vents if vent.point_m[0] < 0.3]
    assert tall == list(made.plan.vents)  # no hole for air that nothing drives out


def test_little_liquid_is_weighed(bodies, planned):
    made = planned(bodies["sphere"])
    little = any(min(p.batch.a_m3, p.batch.b_m3) < 2e-5 for lift in made.lifts for p in lift.pours)
    assert any(found.code == Code.SMALL_BATCH for found in made.plan.warnings) == little
