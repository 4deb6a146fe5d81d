"""Lifts against exact geometry of the same void: slabs cut by manifold3d, sections cut by trimesh and shapely.

The shell carries both faces, so the cavity is the drawn void itself and the cut mesh is exact; what is compared is the
volume of each lift and of each pour, and the area of the free surface at the top of each lift.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.shell import SkinKind


def _limb(radius, *points):
    balls = [trimesh.creation.icosphere(subdivisions=4, radius=radius) for _ in points]
    for ball, point in zip(balls, points, strict=True):
        ball.apply_translation(point)
    rods = [
        trimesh.creation.cylinder(radius=radius, segment=[a, b], sections=64) for a, b in itertools.pairwise(points)
    ]
    return trimesh.boolean.union(balls + rods, engine="manifold")


@pytest.fixture(scope="module")
def void():
    """Two slanted legs, a body, a horn that rises from it and a tip that hangs from it."""
    return trimesh.boolean.union(
        [
            _limb(0.05, (0.1, 0.1, 0.05), (0.25, 0.13, 0.45)),
            _limb(0.06, (0.55, 0.1, 0.06), (0.4, 0.13, 0.45)),
            _limb(0.13, (0.25, 0.14, 0.5), (0.45, 0.14, 0.55)),
            _limb(0.04, (0.45, 0.14, 0.6), (0.55, 0.2, 0.8), (0.7, 0.2, 0.85)),
            _limb(0.035, (0.2, 0.14, 0.55), (0.05, 0.15, 0.55), (0.0, 0.15, 0.35)),
        ],
        engine="manifold",
    )


@pytest.fixture(scope="module")
def made(void, skin_of):
    low, high = void.bounds
    outside = trimesh.creation.box(bounds=[low - 0.01, high + 0.01])
    inside = void.copy()
    inside.invert()
    whole = trimesh.util.concatenate([outside, inside])
    marks = np.arange(len(whole.faces)) >= len(outside.faces)
    skin = skin_of(whole, None, kind=SkinKind.BOTH_FACES, void=marks)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    cavity = build_cavity(skin, frame, cell_m=0.005)
    graph = build_levels(cavity)
    foam = at_conditions(load_grade("rigid-3"), Conditions(295.0, 295.0, 295.0))
    return frame, graph, plan_lifts(Space(skin, cavity, graph), foam, ShopLimits())


def _slab(void, bottom, top):
    low, high = void.bounds
    box = trimesh.creation.box(bounds=[[low[0] - 1, low[1] - 1, bottom], [high[0] + 1, high[1] + 1, top]])
    return trimesh.boolean.intersection([void, box], engine="manifold")


def test_volume_of_each_lift(void, made):
    frame, _, plan = made
    ground = frame.to_shell(np.zeros(3))[2]
    for lift in plan.lifts:
        exact = _slab(void, ground + lift.bottom_m, ground + lift.top_m).volume
        assert lift.volume_m3 == pytest.approx(exact, rel=2e-3)
    assert sum(lift.volume_m3 for lift in plan.lifts) == pytest.approx(void.volume, rel=1e-3)


def test_volume_of_each_pour_that_shares_nothing(void, made):
    frame, _, plan = made
    ground = frame.to_shell(np.zeros(3))[2]
    several = 0
    for lift in plan.lifts:
        if any(pour.together or pour.after for pour in lift.pours) or len(lift.pours) == 1:
            continue
        pieces = _slab(void, ground + lift.bottom_m, ground + lift.top_m).split()
        exact = sorted(piece.volume for piece in pieces)[-len(lift.pours) :]
        assert sorted(pour.volume_m3 for pour in lift.pours) == pytest.approx(exact, rel=0.01)
        several += 1
    assert several >= 2


def test_area_of_the_free_surface_of_each_lift(void, made):
    frame, graph, plan = made
    ground = frame.to_shell(np.zeros(3))[2]
    for lift in plan.lifts[:-1]:
        level = lift.top_level - 1
        area = sum(
            (graph.node_area_m2[pour.nodes] * pour.shares)[graph.node_level[pour.nodes] == level].sum()
            for pour in lift.pours
        )
        middle = ground + 0.5 * (graph.level_m[level] + graph.level_m[level + 1])
        section = void.section(plane_origin=[0, 0, middle], plane_normal=[0, 0, 1])
        flat, _ = section.to_2D()
        exact = sum(polygon.area for polygon in flat.polygons_full)  # shapely polygons with their holes
        assert area == pytest.approx(exact, rel=0.01)
