"""Tips that foam of the limb under them does not fill become pours of their own."""

from __future__ import annotations

import math
from types import SimpleNamespace as N

import numpy as np
import pytest

from pourwright.cavity import limbs_of
from pourwright.evaluation import own_nodes, tips_asked
from pourwright.lifts import EvenBands
from pourwright.plan.refine import _places
from pourwright.rise import GELLED

CELL = 0.01
LARGE = 5000 * CELL**3


@pytest.fixture
def arm(cells):
    """A body 60 cells high with an arm of 4 by 4 cells beside it from level 10 up to 45, joined to it at its foot."""
    mask = np.zeros((30, 14, 60), bool)
    mask[:20, :, :] = True
    mask[24:28, 5:9, 10:45] = True
    mask[20:28, 5:9, 5:12] = True
    return cells(mask, CELL, 2 * CELL)[1]


def _tip(graph):
    """Nodes of the arm beside the body."""
    return np.flatnonzero((graph.node_centroid_m[:, 0] > 0.2) & (graph.node_level >= 12))


def test_a_tip_is_taken_in_unless_it_is_asked_for(arm):
    """560 mL of arm are less than a pour: they fill along with the body, but where no volume is too small for them."""
    least = np.full(len(arm.node_level), LARGE)
    together = limbs_of(arm, least)
    assert (together.of_node[_tip(arm)] == together.of_node[np.argmax(arm.node_area_m2)]).all()
    least[_tip(arm)[3]] = 0.0
    apart = limbs_of(arm, least)
    own = np.unique(apart.of_node[_tip(arm)])
    assert len(own) == 1
    limb = apart.limbs[own[0]]
    assert limb.top_level == 45
    assert limb.above == ()
    assert len(limb.below) == 1
    assert len(apart.limbs) > len(together.limbs)


def _found(arm, node, reason=GELLED, least_m3=1e-4, day=None):
    division = N(lifts=(N(pours=(N(name="1a"),)),), day=day or N(limbs=limbs_of(arm, LARGE)))
    void = N(reason=reason, node=int(node), volume_m3=2e-4)
    return tips_asked(division, {"1a": N(voids=(void,))}, arm, least_m3)


def test_a_tip_that_stays_empty_is_asked_for_as_a_pour(arm):
    """By its node, over its own height; not the body itself, what air holds empty, or what is too little for a pour."""
    node = _tip(arm)[-4]
    (ask,) = _found(arm, node)
    assert ask.own
    assert ask.nodes == (node,)
    assert ask.thickness_m == math.inf
    assert ask.top_m == pytest.approx(0.45)
    assert own_nodes((ask, ask)) == (node,)
    assert _places((ask,)) == f"short fill: a tip with a pour of its own between {ask.bottom_m:.2f} m and 0.45 m"
    assert not _found(arm, node, reason="trapped air")
    assert not _found(arm, node, least_m3=1e-3)
    assert not _found(arm, -1)
    assert not _found(arm, np.argmax(arm.node_area_m2))
    assert not _found(arm, node, day=EvenBands())
