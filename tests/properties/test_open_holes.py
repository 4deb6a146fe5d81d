"""Any small piece: no foam rises past a hole that is open, and every port that is closed in a pour can be."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import trimesh
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.document.write_lifts import lift_block, port_block, vent_block
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.panels import panels
from pourwright.plan import LiftPlan


@st.composite
def bodies(draw):
    """Two to four bodies, round or square, each sharing a corner region with the one before it."""
    side = st.floats(0.08, 0.3)
    where = np.zeros(3)
    parts = []
    for _ in range(draw(st.integers(2, 4))):
        size = np.array([draw(side) for _ in range(3)])
        if draw(st.booleans()):
            part = trimesh.creation.box(bounds=[where, where + size])
        else:
            part = trimesh.creation.icosphere(subdivisions=2)
            part.apply_scale(0.5 * size)
            part.apply_translation(where + 0.5 * size)
        parts.append(part)
        where = where + size * np.array([draw(st.floats(0.3, 0.8)) for _ in range(3)])
        where[2] *= draw(st.sampled_from([1.0, 0.6, 0.2]))
    return max(trimesh.boolean.union(parts, engine="manifold").split(), key=lambda body: body.volume)


# Without shrinking: a smaller body is planned no sooner.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


@settings(
    max_examples=15,
    deadline=None,
    phases=PHASES,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(bodies(), st.sampled_from([0.08, 0.2, None]), st.integers(1, 2), st.sampled_from(["rigid-2", "rigid-6"]))
def test_no_foam_rises_past_an_open_hole(skin_of, open_holes, body, lift_m, hands, grade):
    skin = skin_of(body, 0.005)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    cavity = build_cavity(skin, frame, cell_m=0.01)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade(grade), Conditions(295.0, 295.0, 295.0))
    shop = ShopLimits(hands=hands, max_lift_m=lift_m)
    division = plan_lifts(Space(skin, cavity, graph, panels(skin)), foam, shop)
    plan = LiftPlan(**{one.name: getattr(division, one.name) for one in fields(division)})
    document = {
        "cavity": {"cell_m": 0.01},
        "shell": {"openings": []},
        "lifts": [lift_block(lift, plan, foam).model_dump() for lift in plan.lifts],
        "ports": [port_block(port, plan.closings).model_dump() for port in plan.ports],
        "vents": [vent_block(vent, plan.closings).model_dump() for vent in plan.vents],
    }
    holes = {hole.name: hole for hole in (*plan.ports, *plan.vents)}
    pours = {pour.name: pour for lift in plan.lifts for pour in lift.pours}

    def reaches(pour, hole):
        place = frame.to_standing(holes[hole].point_m)
        cells = np.argwhere(np.isin(graph.label, pours[pour].nodes + 1))
        return np.linalg.norm(cavity.grid.centres(cells) - place, axis=1).min() < 0.5 * holes[hole].hole_m + 0.01

    skin_up = (frame.to_standing(skin.vertices_m), skin.faces)
    assert open_holes.passed_open_holes(document, *skin_up, reaches=reaches) == []

    for closing in plan.closings:
        if not closing.inside or closing.hole.startswith("V"):
            continue
        pour = pours[closing.inside]
        check = next(check for check in pour.checks if check.name == "closing a port")
        empty_s = shop.mix_s + pour.batch.total_m3 / shop.pour_rate_m3_s
        assert (check.verdict == "ok") == (empty_s + 20.0 <= min(_by(plan, pour)))
        assert closing.by_s < closing.foam_s
        # All its foam together is no more than what lies below the hole when it is there: mass is kept.
        share = (closing.foam_s - foam.cream_s) / (foam.rise_end_s - foam.cream_s)
        assert math.isfinite(share)
        assert share <= 1.0

    # no two drilled ports run into each other
    drilled = [port.point_m for port in plan.ports if port.way == "drilled"]
    for k, point in enumerate(drilled):
        assert all(np.linalg.norm(point - other) > 0.04 for other in drilled[:k])


def _by(plan, pour):
    return [c.by_s for c in plan.closings if c.inside == pour.name and not c.hole.startswith("V")]
