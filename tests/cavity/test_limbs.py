"""Limbs of known bodies, and what must hold for any."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from pourwright.cavity import limbs_of

CELL = 0.01
LEAST = 50 * CELL**3


def heights(graph, limbs):
    """Bottom and top [cells] of every limb."""
    return [(limb.bottom_level, limb.top_level) for limb in limbs.limbs]


def found(cells, mask, **options):
    _, graph = cells(mask, CELL, 2 * CELL)
    return graph, limbs_of(graph, options.pop("least_m3", LEAST), **options)


def test_a_column_is_one_limb(cells, shapes):
    graph, limbs = found(cells, shapes["column"])
    assert heights(graph, limbs) == [(0, 40)]
    assert limbs.limbs[0].below == limbs.limbs[0].above == ()


def test_two_legs_end_where_they_join(cells, shapes):
    graph, limbs = found(cells, shapes["legs"])
    assert heights(graph, limbs) == [(0, 30), (0, 30), (30, 60)]
    assert [limb.below for limb in limbs.limbs] == [(), (), (0, 1)]
    assert [limb.above for limb in limbs.limbs] == [(2,), (2,), ()]


def test_legs_that_join_a_body_a_ripple_apart_are_limbs_each(cells):
    """A scan is hardly ever even: its left horn joins the head one cell below the right one."""
    mask = np.zeros((40, 10, 60), bool)
    mask[15:25, :, :30] = True  # the body
    mask[:6, :, 10:30] = True
    mask[34:, :, 10:32] = True
    mask[:25, :, 30:] = True  # it takes in the left horn from here on, the right one two cells higher
    mask[:, :, 32:] = True
    graph, limbs = found(cells, mask)
    assert sorted(heights(graph, limbs)) == [(0, 30), (10, 30), (10, 32), (30, 60)]
    assert sorted(limb.below for limb in limbs.limbs) == [(), (), (), (0, 1, 2)]


def test_an_hourglass_has_no_join(cells, shapes):
    graph, limbs = found(cells, shapes["hourglass"])
    assert heights(graph, limbs) == [(0, 60)]


def test_a_cavity_that_splits_upwards_and_joins_below(cells, shapes):
    graph, limbs = found(cells, shapes["h"])
    assert heights(graph, limbs) == [(0, 25), (0, 25), (25, 35), (35, 60), (35, 60)]
    assert [limb.below for limb in limbs.limbs] == [(), (), (0, 1), (2,), (2,)]


def test_a_deep_tip_that_hangs_is_a_limb_of_its_own_and_a_shallow_one_is_not(cells, shapes):
    graph, limbs = found(cells, shapes["horn"])
    assert (20, 40) in heights(graph, limbs)
    _, folded = found(cells, shapes["horn"], least_m3=2000 * CELL**3, spill_m=0.25)
    assert (20, 40) not in heights(graph, folded)


def test_a_small_tip_goes_with_the_pour_that_rises_into_it(cells):
    mask = np.zeros((12, 10, 30), bool)
    mask[:10, :, :20] = True
    mask[0:2, 0:2, 20:28] = True  # too little for a pour
    graph, limbs = found(cells, mask)
    assert len(limbs.limbs) == 1
    assert graph.node_volume_m3[limbs.limbs[0].trunk].sum() + graph.node_volume_m3[limbs.limbs[0].taken].sum() == (
        pytest.approx(graph.node_volume_m3.sum())
    )


masks = arrays(bool, st.tuples(st.integers(1, 6), st.just(1), st.integers(2, 10)), elements=st.booleans()).filter(
    lambda m: m.any()
)


@settings(max_examples=150, deadline=None)
@given(masks, st.sampled_from([0.0, 2.5, 6.5, 100.0]), st.sampled_from([0.0, 1.0, 3.0]))
def test_every_node_has_one_limb_and_what_lies_below_comes_first(cells, mask, least, spill):
    _, graph = cells(mask, CELL, CELL)
    limbs = limbs_of(graph, least * CELL**3, spill_m=spill * CELL)
    assert (limbs.of_node >= 0).all()
    counted = np.concatenate([np.concatenate([limb.trunk, limb.taken]) for limb in limbs.limbs])
    assert sorted(counted.tolist()) == list(range(len(graph.node_level)))
    for number, limb in enumerate(limbs.limbs):
        assert all(b < number for b in limb.below)
        assert all(number in limbs.limbs[b].above for b in limb.below)
        assert ((limbs.at_level[limb.taken] >= limb.bottom_level) & (limbs.at_level[limb.taken] < limb.top_level)).all()
    ends = {(min(a, b), max(a, b)) for a, limb in enumerate(limbs.limbs) for b in limb.above}
    for low, high in zip(graph.edge_lower.tolist(), graph.edge_upper.tolist(), strict=True):
        a, b = int(limbs.of_node[low]), int(limbs.of_node[high])
        assert a == b or (min(a, b), max(a, b)) in ends
