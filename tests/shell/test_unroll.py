"""Laying skin flat: what a sheet of paper can do exactly comes out exactly, what it cannot is said."""

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.panels import unroll
from pourwright.shell import Opening, Skin, SkinKind, skin_material

UP = np.array([0.0, 0.0, 1.0])


def skin_from(mesh):
    count = len(mesh.faces)
    return Skin(
        "made.stl", "0" * 64, "m", SkinKind.OUTSIDE, "made", np.array(mesh.vertices), np.array(mesh.faces),
        np.full(count, -1, np.int32), np.zeros(count, bool), (), (), skin_material("grp"), count, True,
        float(mesh.area), float(mesh.volume), (),
    )  # fmt: skip


def test_a_plane_of_two_triangles_keeps_every_length():
    patch = unroll(skin_from(trimesh.creation.box((0.4, 0.3, 1.0))), np.array([0.05, -0.15, 0.1]), 0.08, UP)
    assert patch.stretch < 1e-9
    assert patch.flat_m == pytest.approx(patch.points_m[:, [0, 2]] - [0.05, 0.1], abs=1e-9)


@pytest.mark.parametrize("radius", [0.1, 0.2, 1.0])
def test_a_pipe_is_unrolled(radius):
    """The sheet shows arc length round it and height along it."""
    mesh = trimesh.creation.cylinder(radius, 0.6, sections=720)
    point = radius * np.array([np.cos(0.3), np.sin(0.3), 0.0])
    patch = unroll(skin_from(mesh), point, 0.06, UP)
    assert patch.stretch < 1e-3
    arc = radius * (np.arctan2(patch.points_m[:, 1], patch.points_m[:, 0]) - 0.3)
    assert patch.flat_m == pytest.approx(np.column_stack([arc, patch.points_m[:, 2]]), abs=2e-4)


@pytest.mark.parametrize("radius", [0.1, 0.3])
def test_a_ball_has_the_stretch_that_a_sheet_cannot_avoid(radius):
    """A cap of half angle t cannot be laid flat with less than about t**2 / 12 of stretch and is said to have some."""
    mesh = trimesh.creation.icosphere(subdivisions=6, radius=radius)
    patch = unroll(skin_from(mesh), np.array([radius, 0.0, 0.0]), 0.06, UP)
    angle = 2 * np.arcsin(0.03 / radius)
    assert angle**2 / 24 < patch.stretch < angle**2 / 4


def test_the_far_wall_and_a_neighbour_are_left_out():
    thin = trimesh.creation.box((0.4, 0.01, 1.0))
    beside = trimesh.creation.box((0.01, 0.1, 0.1)).apply_translation((0.02, -0.07, 0.0))
    patch = unroll(skin_from(trimesh.util.concatenate([thin, beside])), np.array([0.0, -0.005, 0.0]), 0.08, UP)
    assert patch.points_m[:, 1] == pytest.approx(-0.005)


def test_the_rim_of_an_opening_is_known():
    mesh = trimesh.creation.box((0.4, 0.3, 1.0))
    skin = skin_from(mesh)
    top = np.array(mesh.triangles_center[:, 2] > 0.49)
    corners = np.array([[-0.2, -0.15, 0.5], [0.2, -0.15, 0.5], [0.2, 0.15, 0.5], [-0.2, 0.15, 0.5]])
    opening = Opening("opening 1", corners, corners.mean(axis=0), UP, 0.12)
    skin = replace(skin, cap_opening=np.where(top, 0, -1).astype(np.int32), openings=(opening,))
    patch = unroll(skin, np.array([0.0, -0.15, 0.46]), 0.08, UP)
    ends = patch.flat_m[patch.rim]
    assert len(ends)
    assert ends[..., 1] == pytest.approx(0.04, abs=1e-9)
