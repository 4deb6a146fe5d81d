"""How much of the skin a lift presses, against the area of the body's own walls."""

import itertools
import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, skin_mesh
from pourwright.structure.facing import pressed_share

WALL = 0.006


def meshed(tmp_path, mesh, triangles):
    file = tmp_path / "body.stl"
    mesh.export(file)
    skin = load_skin(
        file, unit="m", material=skin_material("grp"), bands=[WallBand("", -math.inf, math.inf, WALL, 0.1)]
    )
    return skin_mesh(skin, pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0])), triangles)


def pressed_area(mesh, bottom, top):
    corner = mesh.vertices_m[mesh.faces]
    area = 0.5 * np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
    upright = np.abs(mesh.normal[mesh.faces].mean(axis=1)[:, 2]) < 0.3
    share = pressed_share(mesh, PressedLift(1, bottom, top, 1000.0, False))
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
