"""Any piece at all: what no inertia can be otherwise."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pourwright.cavity import Space, build_cavity, build_levels
from pourwright.errors import CavityError
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.outcome import cavity_moments, predict, weigh
from pourwright.panels import panels

FOAM = at_conditions(load_grade("rigid-3"), Conditions(295.0, 295.0, 295.0))


def lump(seed, sizes):
    """A smooth, lopsided, closed body."""
    mesh = trimesh.creation.icosphere(3, 1.0)
    rng = np.random.default_rng(seed)
    v = np.asarray(mesh.vertices)
    waves, phases, deep = rng.normal(size=(5, 3)) * 2, rng.uniform(0, 6.3, 5), rng.uniform(0.03, 0.1, 5)
    r = 1 + (deep * np.cos(v @ waves.T + phases)).sum(axis=1)
    mesh.vertices = 0.3 * v * r[:, None] * sizes
    return mesh


axes = st.floats(-1, 1)
side = st.floats(0.35, 1.2)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.integers(0, 1000),
    st.tuples(side, side, side),
    st.tuples(axes, axes, axes),
    st.sampled_from([0.003, 0.008, 0.02]),
    st.sampled_from([0.012, 0.02, 0.03]),
)
def test_inertia_of_every_stage_is_one_a_body_can_have(skin_of, stand, seed, sizes, up, wall, cell):
    """Positive definite, and no principal moment more than the other two together; foam's own too."""
    assume(np.linalg.norm(up) > 0.1)
    up = np.array(up) / np.linalg.norm(up)
    side = np.cross(up, np.eye(3)[np.abs(up).argmin()])
    skin = skin_of(lump(seed, sizes), wall)
    frame = stand(skin, up, side)
    try:
        cavity = build_cavity(skin, frame, cell_m=cell)
        graph = build_levels(cavity)
    except CavityError:
        assume(False)
    lifts = plan_lifts(Space(skin, cavity, graph, panels(skin)), FOAM, ShopLimits(hands=4, largest_batch_m3=0.02))
    outcome = predict(skin, (), cavity, graph, FOAM, lifts, loss_share=0.1)
    for stage in weigh(outcome.parts).stages:
        inertia = stage.inertia_kgm2
        assert inertia == pytest.approx(inertia.T, abs=1e-12)
        moments = np.linalg.eigvalsh(inertia)
        assert moments[0] > 0
        assert moments[2] <= moments[:2].sum()
    for part in outcome.parts:
        if part.kind in ("foam", "skin"):
            assert np.linalg.eigvalsh(part.spread_m2)[0] > 0
    found = cavity_moments(cavity, graph)
    assert found.volume_m3 == pytest.approx(graph.node_volume_m3, rel=1e-9)
    centre = found.first_m4 / found.volume_m3[:, None]
    own = found.second_m5 / found.volume_m3[:, None, None] - np.einsum("ni,nj->nij", centre, centre)
    assert np.linalg.eigvalsh(own).min() > 0
