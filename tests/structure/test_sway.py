"""A push parted into the sway of the piece and the give of its skin."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.structure import even_mesh
from pourwright.structure.sway import slices, swayed


@pytest.fixture(scope="module")
def pole():
    """A square tube 0.2 x 0.2 x 1.6 m, upright, and a vertex in the middle of one side."""
    made = trimesh.creation.box((0.2, 0.2, 1.6))
    points, faces, _ = even_mesh(made.vertices, made.faces, 3000)
    vertex = int(np.argmin(np.linalg.norm(points - [0, -0.1, 0.3], axis=1)))
    return points, faces, vertex


def one_push(points, vertex):
    load = np.zeros((len(points), 3, 1))
    load[vertex, 1, 0] = 1.0
    return load


def test_slice_is_the_section_at_the_push(pole):
    points, faces, vertex = pole
    mine = slices(points, faces, np.array([vertex]), 2, 0.06)[0]
    assert np.abs(points[mine, 2] - points[vertex, 2]).max() <= 0.06
    assert np.ptp(points[mine], axis=0)[:2] == pytest.approx([0.2, 0.2])


def test_slice_leaves_out_what_is_not_in_one_piece_with_it():
    legs = [trimesh.creation.box((0.1, 0.1, 1.0)), trimesh.creation.box((0.1, 0.1, 1.0))]
    legs[1].apply_translation((0.4, 0, 0))
    both = trimesh.util.concatenate(legs)
    points, faces, _ = even_mesh(both.vertices, both.faces, 2000)
    vertex = int(np.argmin(np.linalg.norm(points - [0.45, 0, 0], axis=1)))
    mine = slices(points, faces, np.array([vertex]), 2, 0.05)[0]
    assert points[mine, 0].min() > 0.3


def test_rigid_movement_is_all_sway(pole):
    points, faces, vertex = pole
    turn, shift = np.array([0.01, -0.004, 0.02]), np.array([0.001, 0.02, -0.003])
    moved = (shift + np.cross(turn, points))[:, :, None]
    each = slices(points, faces, np.array([vertex]), 2, 0.06)
    got = swayed(points, np.ones(len(points)), each, one_push(points, vertex), moved)
    assert got == pytest.approx([moved[vertex, 1, 0]], rel=1e-9)


def test_dent_on_a_bent_pole_is_told_from_its_sway(pole):
    """A pole that leans as a cantilever does, with a dent of 5 mm over 4 cm round the push."""
    points, faces, vertex = pole
    z = points[:, 2] + 0.8
    moved = np.zeros((len(points), 3, 1))
    moved[:, 1, 0] = 0.01 * z**2
    near = np.linalg.norm(points - points[vertex], axis=1)
    dent = np.where(near < 0.12, 0.005 * np.exp(-((near / 0.03) ** 2)), 0.0)
    sway = moved[vertex, 1, 0]
    moved[:, 1, 0] += dent
    each = slices(points, faces, np.array([vertex]), 2, 0.06)
    got = swayed(points, np.ones(len(points)), each, one_push(points, vertex), moved)[0]
    assert sway + dent[vertex] - got == pytest.approx(0.005, rel=0.08)
