"""How much of the skin a lift presses, against the area of the body's own walls."""

import itertools
import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, PressedPour, skin_mesh
from pourwright.structure.facing import pressed_share

WALL = 0.006


def meshed(tmp_path, mesh, triangles):
    file = tmp_path / "body.stl"
    mesh.export(file)
    skin = load_skin(
        file, unit="m", material=skin_material("grp"), bands=[WallBand("", -math.inf, math.inf, WALL, 0.1)]
    )
    return skin_mesh(skin, pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0])), triangles)


def pressed_area(mesh, bottom, top, pours=()):
    corner = mesh.vertices_m[mesh.faces]
    area = 0.5 * np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
    upright = np.abs(mesh.normal[mesh.faces].mean(axis=1)[:, 2]) < 0.3
    share = pressed_share(mesh, PressedLift(1, bottom, top, 1000.0, False, pours))
    return float((area * share)[upright].sum())


@pytest.mark.parametrize("triangles", [300, 1500])
@pytest.mark.parametrize(("bottom", "top"), [(0.2, 0.215), (0.2, 0.25), (0.23, 0.39)])
def test_walls_of_a_drum_are_pressed_over_the_height_of_the_lift(tmp_path, triangles, bottom, top):
    """pi D h at the middle of the wall, whatever the triangles, also where the lift is thinner than they are."""
    drum = trimesh.creation.cylinder(radius=0.25, height=0.6, sections=128)
    expected = 2 * math.pi * (0.25 - WALL / 2) * (top - bottom)
    assert pressed_area(meshed(tmp_path, drum, triangles), bottom, top) == pytest.approx(expected, rel=0.02)


def test_lifts_over_each_other_share_the_skin_between_them(tmp_path):
    """Every triangle is pressed once by all lifts together, lid and floor too."""
    mesh = meshed(tmp_path, trimesh.creation.cylinder(radius=0.25, height=0.6, sections=64), 600)
    cuts = [-0.1, 0.13, 0.2, 0.41, 0.7]
    total = sum(pressed_share(mesh, PressedLift(1, a, b, 1000.0, False)) for a, b in itertools.pairwise(cuts))
    assert total == pytest.approx(np.ones(len(mesh.faces)), abs=1e-9)


def test_pours_press_the_posts_that_they_lie_in(tmp_path):
    """Three posts side by side: pi D h of those with a pour, each over its own height, none of the one between."""
    drum = trimesh.creation.cylinder(radius=0.1, height=0.6, sections=64)
    posts = trimesh.util.concatenate([drum.copy().apply_translation([x, 0, 0]) for x in (-0.4, 0.0, 0.4)])
    mesh = meshed(tmp_path, posts, 3000)
    left, inner = mesh.vertices_m[:, :2].min(axis=0), 0.1 - WALL
    low = left[0] + 0.1 - inner, left[0] + 0.1 + inner, left[1] + WALL, left[1] + 0.2 - WALL
    high = (low[0] + 0.8, low[1] + 0.8, *low[2:])
    pours = tuple(
        PressedPour(bottom, top, 1000.0, False, reach) for bottom, top, reach in ((0.1, 0.3, low), (0.2, 0.5, high))
    )
    around = 2 * math.pi * (0.1 - WALL / 2)
    assert pressed_area(mesh, 0.1, 0.5, pours) == pytest.approx(around * (0.2 + 0.3), rel=0.02)
    assert pressed_area(mesh, 0.1, 0.5, pours[:1]) == pytest.approx(around * 0.2, rel=0.02)
    assert pressed_area(mesh, 0.1, 0.4, pours) == pytest.approx(around * (0.2 + 0.2), rel=0.02)  # a thinner lift
    assert pressed_area(mesh, 0.1, 0.5) == pytest.approx(3 * around * 0.4, rel=0.02)
