"""The wall where both faces are drawn and nobody told it: measured between them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.errors import ShellError
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import skin_mesh


def frame_of(skin):
    return pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))


def both_faces(folder, outside, inside):
    inside.invert()
    file = folder / "both.stl"
    trimesh.util.concatenate([outside, inside]).export(file)
    return load_skin(file, unit="m", material=skin_material("grp"))


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    """Two spheres: 12 mm of wall everywhere."""
    made = [trimesh.creation.icosphere(5, radius) for radius in (0.4, 0.388)]
    return both_faces(tmp_path_factory.mktemp("ball"), *made)


def test_even_wall_is_measured(ball):
    mesh = skin_mesh(ball, frame_of(ball), 1500)
    assert mesh.vertex_thickness_m == pytest.approx(0.012, rel=0.02)
    assert mesh.thickness_m == pytest.approx(0.012, rel=0.02)
    assert "wall measured between its faces" in mesh.method
    # its elements lie in the middle of the wall, of the outside face only
    size = np.linalg.norm(mesh.vertices_m - mesh.vertices_m.mean(axis=0), axis=1)
    assert size == pytest.approx(0.394, rel=0.01)


def test_told_wall_goes_before_the_measured_one(ball):
    mesh = skin_mesh(ball, frame_of(ball), 1000, wall_m=0.009)
    assert mesh.thickness_m == pytest.approx(0.009)
    assert "measured" not in mesh.method


def test_uneven_wall_is_measured_where_it_is(tmp_path):
    """Inner box off the middle: 20 mm of wall on the right, 6 mm on the left, 10 mm elsewhere."""
    outside = trimesh.creation.box((0.6, 0.5, 0.4))
    inside = trimesh.creation.box((0.574, 0.48, 0.38))
    inside.apply_translation((-0.007, 0, 0))
    skin = both_faces(tmp_path, outside, inside)
    mesh = skin_mesh(skin, frame_of(skin), 3000)
    middle = mesh.vertices_m[mesh.faces].mean(axis=1)
    side = mesh.vertices_m[:, 0].max() - mesh.vertices_m[:, 0].min()
    away = (np.abs(middle[:, 1] - 0.25) < 0.2) & (np.abs(middle[:, 2] - 0.2) < 0.15)  # from the edges of left and right
    left = away & (middle[:, 0] - mesh.vertices_m[:, 0].min() < 0.02 * side)
    right = away & (mesh.vertices_m[:, 0].max() - middle[:, 0] < 0.02 * side)
    walls = sorted((float(np.median(mesh.thickness_m[left])), float(np.median(mesh.thickness_m[right]))))
    assert walls == pytest.approx([0.006, 0.020], rel=0.02)
    assert mesh.thickness_m.min() > 0.005


def test_without_an_inside_face_the_wall_must_be_told(ball):
    alone = replace(ball, void_face=np.zeros(len(ball.faces), bool))
    with pytest.raises(ShellError, match="give --wall"):
        skin_mesh(alone, frame_of(alone), 800)


def test_bands_go_before_everything(tmp_path):
    file = tmp_path / "one.stl"
    trimesh.creation.icosphere(3, 0.3).export(file)
    bands = [WallBand("low", -math.inf, 0.3, 0.008, 0.1), WallBand("high", 0.3, math.inf, 0.004, 0.1)]
    skin = load_skin(file, unit="m", material=skin_material("grp"), bands=bands)
    mesh = skin_mesh(skin, frame_of(skin), 1000, wall_m=0.02)
    z = mesh.vertices_m[mesh.faces].mean(axis=1)[:, 2]
    z = z - mesh.vertices_m[:, 2].min()
    assert mesh.thickness_m[z < 0.28] == pytest.approx(0.008)
    assert mesh.thickness_m[z > 0.32] == pytest.approx(0.004)
