"""Any cavity at all: the promises of a lift plan."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.panels import panels
from pourwright.physics import orifice


@st.composite
def bodies(draw):
    """Two to five boxes, each sharing a corner region with the one before it: one body, often with arms and gaps."""
    side = st.floats(0.06, 0.3)
    where = np.zeros(3)
    boxes = []
    for _ in range(draw(st.integers(2, 5))):
        size = np.array([draw(side) for _ in range(3)])
        boxes.append(trimesh.creation.box(bounds=[where - 0.03, where - 0.03 + size]))
        where = where - 0.03 + size * np.array([draw(st.floats(0.3, 0.9)) for _ in range(3)])
        where[2] *= draw(st.sampled_from([1.0, 1.0, 0.2]))
    return trimesh.boolean.union(boxes, engine="manifold")


limits = st.builds(
    ShopLimits,
    largest_batch_m3=st.sampled_from([1e-4, 5e-4, 4e-3]),
    hands=st.integers(1, 3),
    flow_distance_m=st.sampled_from([0.1, 0.25, 0.6]),
    sliver_share=st.sampled_from([0.0, 0.35, 0.6]),
    held=st.booleans(),
    mix_s=st.sampled_from([20.0, 35.0]),
    least_pour_m3=st.sampled_from([0.0, 1e-4, 1e-3]),
    spill_m=st.sampled_from([0.0, 0.1]),
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(bodies(), limits, st.sampled_from(["rigid-2", "rigid-3", "rigid-6"]), st.booleans())
def test_promises(skin_of, body, shop, grade, sideways):
    skin = skin_of(body, 0.005)
    up = np.array([1.0, 0, 0]) if sideways else np.array([0, 0, 1.0])
    frame = pour_frame(skin.vertices_m, up, np.array([0, -1.0, 0]))
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade(grade), Conditions(295.0, 295.0, 295.0))
    plan = plan_lifts(Space(skin, cavity, graph, panels(skin)), foam, shop)
    pours = [pour for lift in plan.lifts for pour in lift.pours]

    # everything is filled once, or listed as empty
    share = np.zeros(len(graph.node_level))
    for space in plan.unfilled:
        share[space.nodes] += 1.0
        assert 0 < space.volume_m3 < shop.least_pour_m3
    for pour in pours:
        share[pour.nodes] += pour.shares
    np.testing.assert_allclose(share, 1.0, atol=1e-9)
    total = sum(pour.volume_m3 for pour in pours) + sum(space.volume_m3 for space in plan.unfilled)
    assert total == pytest.approx(cavity.volume_m3, rel=1e-6)

    # lifts follow each other, and only one that is as thin as can be exceeds a limit that a thinner one would keep
    for low, high in itertools.pairwise(plan.lifts):
        assert low.top_level == high.bottom_level
    for lift in plan.lifts:
        for pour in lift.pours:
            by_name = {check.name: check for check in pour.checks}
            for check in pour.checks:
                assert math.isnan(check.value + check.limit) == (check.verdict == "unknown") or math.isinf(check.limit)
                if check.verdict != "unknown":
                    assert (check.verdict == "over") == (check.value > check.limit * (1 + 1e-9))
            if lift.top_level - lift.bottom_level > 1:
                assert by_name["lift thickness"].verdict == "ok"
                assert by_name["hands"].verdict == "ok"
                assert by_name["batch"].verdict == "ok"

    # no foam has to jump: what a pour fills alone is below every join, and its liquid lands there
    number = {pour.name: pour for pour in pours}
    for pour in pours:
        alone = set(pour.nodes[pour.shares == 1].tolist())
        assert alone
        for landing in pour.landings:
            cell = np.floor((frame.to_standing(landing.point_m) - cavity.grid.origin_m) / cavity.grid.cell_m + 1e-6)
            assert graph.label[tuple(cell.astype(int))] - 1 in alone
            above = landing.port.point_m - landing.point_m
            if landing.port.way == "drilled":
                np.testing.assert_allclose(np.cross(above, up), 0, atol=1e-6)  # straight below its port
            assert above @ up == pytest.approx(landing.fall_m, abs=1e-6)
        for name in pour.together:
            assert pour.name in number[name].together
    assert plan.unreached_m3 == pytest.approx(sum(p.volume_m3 for p in pours if not p.landings))

    # every pocket has a way out that passes its air
    level = {name: one for one in plan.ceilings for name in one.vents}
    under = {int(node) for one in plan.ceilings if one.vents for node in one.ceiling.nodes}
    open_tops = [p.node for p in graph.pockets if not any(p.node in space.nodes for space in plan.unfilled)]
    served = {vent.node for vent in plan.vents}
    assert all(node in served or node in under for node in open_tops)
    assert len([vent for vent in plan.vents if vent.name not in level]) <= len(
        open_tops
    )  # one each, but for level lids
    for vent in plan.vents:
        assert vent.holes * orifice.orifice_flow(vent.hole_m, shop.vent_pressure_pa) >= vent.air_m3_s * (1 - 1e-9)
    assert {port.name for port in plan.ports} == {x.port.name for p in pours for x in p.landings}
