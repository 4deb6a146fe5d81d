"""Projected outlines against closed forms and against the union of every triangle, one by one."""

import math

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.outcome import silhouette, six_views
from pourwright.outcome.silhouette import winding_numbers


def test_a_ball_is_a_disc():
    ball = trimesh.creation.icosphere(subdivisions=5, radius=0.5)
    for view in six_views(ball.vertices, ball.faces):
        assert view.area_m2 == pytest.approx(math.pi / 4, rel=2e-3)
        assert (view.across_m, view.along_m) == pytest.approx((0.0, 0.0), abs=1e-6)


def test_a_turned_box_shows_the_sum_of_its_faces():
    # Three faces are seen: ab |nz| + bc |nx| + ca |ny|.
    box = trimesh.creation.box((1.0, 2.0, 3.0))
    turn = trimesh.transformations.rotation_matrix(0.7, (1, 2, 3))
    nx, ny, nz = np.abs(turn[:3, :3].T @ [0, 0, 1])
    box.apply_transform(turn)
    assert silhouette(box.vertices, box.faces).area == pytest.approx(2 * nz + 6 * nx + 3 * ny, rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_a_body_with_a_hole_agrees_with_the_union_of_its_triangles(seed):
    torus = trimesh.creation.torus(0.4, 0.12, major_sections=40, minor_sections=20)
    turn = trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))
    torus.apply_transform(turn)
    corner = torus.triangles[:, :, :2]
    union = shapely.union_all(shapely.polygons(corner[torus.face_normals[:, 2] > 1e-12]), grid_size=1e-7)
    shape = silhouette(torus.vertices, torus.faces)
    assert shape.area == pytest.approx(union.area, rel=1e-6)
    assert shape.symmetric_difference(union).area < 1e-5 * union.area


def test_two_bodies_one_before_the_other_are_counted_once():
    far = trimesh.creation.box((1, 1, 1))
    near = trimesh.creation.box((1, 1, 1), transform=trimesh.transformations.translation_matrix([0.5, 0, 3]))
    both = trimesh.util.concatenate([far, near])
    assert silhouette(both.vertices, both.faces).area == pytest.approx(1.5, rel=1e-6)


def test_opposite_sides_show_the_same_area_and_centroids_are_measured_from_the_edges():
    cone = trimesh.creation.cone(radius=0.5, height=1.0, sections=64)
    cone.apply_translation(-cone.bounds[0])
    front, side, top = six_views(cone.vertices, cone.faces)
    assert front.area_m2 == pytest.approx(0.5, rel=2e-3)
    assert front.along_m == pytest.approx(1 / 3, rel=2e-3)
    assert (front.across_m, side.across_m) == pytest.approx((0.5, 0.5), rel=2e-3)
    assert top.area_m2 == pytest.approx(math.pi / 4, rel=3e-3)


def test_a_loop_that_runs_twice_winds_twice():
    square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    start, end = np.vstack([square, square]), np.vstack([np.roll(square, -1, axis=0)] * 2)
    assert winding_numbers(np.array([[0.5, 0.5]]), start, end).tolist() == [2]
    assert winding_numbers(np.array([[0.5, 0.5]]), end, start).tolist() == [-2]
