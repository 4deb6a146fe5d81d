"""Falling liquid and the wall: level rays through the shell's own mesh by trimesh, along every straight fall of a plan.

Rays are sent all round the axis of each fall, from one hole's width under its hole down to the clearance due above its
landing, as the judgement of the access has it: above that a funnel's spout stands in the hole, below it what the
stream wets is covered by its own foam.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from trimesh.intersections import slice_faces_plane

from pourwright import make_plan
from pourwright.access import Walls, clearance_due
from pourwright.access.past_walls import _in_plan
from pourwright.intake import job_from_shell

WALL, CELL = 0.004, 0.006
AROUND = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)


def _round(profile):
    """A closed body of revolution from radii at heights [m]."""
    line = np.array([(0.0, profile[0][1]), *profile, (0.0, profile[-1][1])])
    return trimesh.creation.revolve(line, sections=64)


def _leaning():
    body = trimesh.creation.cylinder(radius=0.11, height=0.9, sections=64)
    body.apply_transform(trimesh.transformations.shear_matrix(np.arctan(0.12), [1, 0, 0], [0, 0, 0], [0, 0, 1]))
    return body


SHELLS = {
    "capsule": lambda: trimesh.creation.capsule(height=0.55, radius=0.13, count=[48, 48]),
    "cone": lambda: _round([(0.02, 0.0), (0.09, 0.25), (0.16, 0.8)]),
    "leaning cylinder": _leaning,
}


@pytest.mark.parametrize("name", SHELLS)
def test_no_straight_fall_comes_nearer_to_the_wall_than_is_due(name, tmp_path):
    """What is due is kept by rays, and the plan's own clearance is never more than they find."""
    body, file = SHELLS[name](), tmp_path / "shell.stl"
    body.export(file)
    asked = {"piece.unit": "m", "wall.thickness": f"{1e3 * WALL} mm", "foam.grade": "rigid-3"}
    asked |= {"grid.cell": f"{1e3 * CELL} mm", "day.search": False, "heat.computed": False, "holes.side": False}
    plan = make_plan(job_from_shell(file, {**asked, "structure.computed": False}))
    body = trimesh.Trimesh(plan.frame.to_standing(plan.skin.vertices_m), plan.skin.faces)
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    falls = [one for pour in pours for one in pour.landings if one.tube is None and one.fall_m > 0.5]
    ways = [one for pour in pours for one in pour.landings if one.fall_m > 0.5]
    assert ways
    for one in falls:
        x, y, floor = plan.frame.to_standing(one.point_m)
        due = clearance_due(one.fall_m)
        low, high = floor + due + CELL, one.measures.from_base_m - WALL - 2.0 * one.port.hole_m
        heights = np.arange(low, high, 0.5 * CELL)
        start = np.array([(x, y, z) for z in heights for _ in AROUND])
        way = np.tile(np.column_stack([np.cos(AROUND), np.sin(AROUND), np.zeros(len(AROUND))]), (len(heights), 1))
        at, ray, _ = body.ray.intersects_location(start, way, multiple_hits=False)
        assert len(np.unique(ray)) == len(start)
        near = np.linalg.norm(at - start[ray], axis=1).min() - WALL
        assert one.clearance_m >= due
        assert one.clearance_m <= near + 1e-6


@pytest.mark.parametrize(("radius_m", "aside_m"), [(0.2, 0.0), (0.2, 0.1), (0.12, 0.03), (0.12, 0.07)])
def test_an_upright_line_in_a_ball_by_pythagoras(radius_m, aside_m, skin_of, stand):
    """Between 40 mm under its middle and 60 mm over it a ball's inside is nearest where the line ends, at 60 mm."""
    skin = skin_of(trimesh.creation.icosphere(subdivisions=5, radius=radius_m), WALL)
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    found = Walls(skin, frame, ()).past_m(np.array([radius_m + aside_m, radius_m]), radius_m - 0.04, radius_m + 0.06)
    true = np.sqrt((radius_m - WALL) ** 2 - 0.06**2) - aside_m
    assert min(true, 0.075) - 0.15 * WALL <= found <= min(true, 0.075) + 1e-6


def test_cut_triangles_are_as_far_off_as_those_that_trimesh_cuts_and_shapely_measures():
    """300 draws of up to three triangles between two heights."""
    draw = np.random.default_rng(1)
    for _ in range(300):
        corners, xy = draw.normal(size=(draw.integers(1, 4), 3, 3)), tuple((1.5 * draw.normal(size=2)).tolist())
        low, high = np.sort(draw.normal(size=2)).tolist()
        vertices, faces = corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)
        for up, height in ((1.0, low), (-1.0, high)):
            vertices, faces, _ = slice_faces_plane(vertices, faces, [0.0, 0.0, up], [0.0, 0.0, height])
        if not len(faces):
            assert _in_plan(corners, xy, low, high) == np.inf
            continue
        parts = shapely.polygons(shapely.linearrings(vertices[faces][:, [0, 1, 2, 0], :2]))
        assert _in_plan(corners, xy, low, high) == pytest.approx(
            shapely.distance(shapely.Point(xy), parts).min(), abs=1e-9
        )


def test_an_upright_line_through_a_waist_is_as_far_off_as_the_waist_is_wide(skin_of, stand):
    """Two cones on their tips, 60 mm in radius where they meet 0.2 m up: an edge, so its inside is a wall nearer."""
    skin = skin_of(_round([(0.16, 0.0), (0.06, 0.2), (0.16, 0.4)]), WALL)
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    found = Walls(skin, frame, ()).past_m(np.array([0.16, 0.16]), 0.05, 0.25)
    assert found == pytest.approx(0.06 * np.cos(np.pi / 64) - WALL, abs=2e-4)  # of a circle of 64 chords


@pytest.mark.parametrize(("inside", "open_", "off_m"), [(False, False, 0.0), (False, True, 0.044), (True, False, 0.04)])
def test_caps_are_walls_but_for_openings_and_inner_faces_have_no_wall_behind(inside, open_, off_m, skin_of, stand):
    """A box 0.3 by 0.1 by 0.3 m, its lid off; a line 0.05 m from its long sides, through the lid or the inner face."""
    box = trimesh.creation.box(bounds=[[0, 0, 0], [0.3, 0.1, 0.3]])
    if inside:
        hollow = trimesh.creation.box(bounds=[[0.01, 0.01, 0.01], [0.29, 0.09, 0.29]])
        hollow.invert()
        skin = skin_of(trimesh.util.concatenate([box, hollow]), None, void=np.arange(24) >= 12)
    else:
        skin = skin_of(box, 0.006, cap=box.face_normals[:, 2] > 0.9)
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    walls = Walls(skin, frame, (0,) if open_ else ())
    high = 0.25 if inside else 0.31
    assert walls.past_m(np.array([0.15, 0.05]), 0.05, high) == pytest.approx(off_m, abs=1e-9)
