"""Foam of one limb shuts no hole of another: air still leaves there, or a tube still hangs in it."""

from __future__ import annotations

import pytest
import trimesh

from pourwright.lifts import ShopLimits


def _box(*bounds):
    x0, x1, y0, y1, z0, z1 = bounds
    return trimesh.creation.box(bounds=[[x0, y0, z0], [x1, y1, z1]])


@pytest.fixture(scope="module")
def towers():
    """A foot with two towers on it, the left one ending lower than the right one."""
    parts = [_box(0, 0.7, 0, 0.2, 0, 0.2), _box(0, 0.2, 0, 0.2, 0, 0.5), _box(0.4, 0.7, 0, 0.2, 0, 0.75)]
    return trimesh.boolean.union(parts, engine="manifold")


@pytest.fixture(scope="module")
def figure():
    """A trunk on two feet, with an arm that hangs beside it and joins it near the top."""
    parts = [
        _box(0, 0.25, 0, 0.2, 0.3, 0.9),
        _box(0, 0.1, 0, 0.2, 0, 0.35),
        _box(0.15, 0.25, 0, 0.2, 0, 0.35),
        _box(0.4, 0.55, 0.02, 0.18, 0.35, 0.85),
        _box(0.2, 0.55, 0.02, 0.18, 0.75, 0.9),
    ]
    return trimesh.boolean.union(parts, engine="manifold")


@pytest.mark.parametrize("body", ["towers", "figure"])
@pytest.mark.parametrize("lift_m", [0.12, 0.2, 0.3])
def test_no_hole_is_shut_while_a_pour_needs_it(request, planned, every_pour, body, lift_m):
    made = planned(request.getfixturevalue(body), limits=ShopLimits(max_lift_m=lift_m))
    order = {pour.name: k for k, pour in enumerate(every_pour(made.plan))}
    for closing in made.plan.closings:
        last = order[closing.inside] if closing.inside else order[closing.before] - 1
        for pour in every_pour(made.plan):
            used = {vent.name for vent in pour.vents} | {landing.port.name for landing in pour.landings}
            assert closing.hole not in used or order[pour.name] <= last, (closing, pour.name)


@pytest.mark.parametrize("body", ["towers", "figure"])
@pytest.mark.parametrize("lift_m", [0.12, 0.2, 0.3])
def test_a_hole_is_shut_for_a_pour_that_fills_the_space_behind_it(request, planned, every_pour, body, lift_m):
    made = planned(request.getfixturevalue(body), limits=ShopLimits(max_lift_m=lift_m))
    pours = {pour.name: pour for pour in every_pour(made.plan)}
    ports = {port.name: port for port in made.plan.ports}
    assert made.plan.closings
    for closing in made.plan.closings:
        pour = pours[closing.before]
        hole = ports.get(closing.hole) or next(vent for vent in made.plan.vents if vent.name == closing.hole)
        centres = made.graph.node_centroid_m[pour.nodes]
        at = made.frame.to_standing(hole.point_m)
        beside = [(centres[:, 0] > 0.37).any() == (at[0] > 0.37), centres[:, 2].max() > at[2] - 0.1]
        assert all(beside) or (at[2] > 0.7 and body == "figure"), closing
