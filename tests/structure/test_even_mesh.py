"""Even triangles stay on the surface they are made from, held against trimesh, and each on its own face of a wall."""

import numpy as np
import pytest
import trimesh

from pourwright.structure.mesh import even_mesh

RADIUS, WALL = 0.1, 0.004


def _both_faces_of_a_ball() -> trimesh.Trimesh:
    outside = trimesh.creation.icosphere(4, radius=RADIUS)
    inside = trimesh.creation.icosphere(4, radius=RADIUS - WALL)
    inside.invert()
    return trimesh.util.concatenate([outside, inside])


def test_no_triangle_joins_the_two_faces_of_a_thin_wall():
    ball = _both_faces_of_a_ball()
    points, corners, _ = even_mesh(np.asarray(ball.vertices), np.asarray(ball.faces), 1200)
    outer = np.linalg.norm(points, axis=1)[corners] > RADIUS - 0.5 * WALL
    assert not (outer.any(axis=1) & ~outer.all(axis=1)).any()


def test_vertices_lie_on_the_surface_and_triangles_are_even():
    drop = trimesh.creation.icosphere(4, radius=RADIUS)
    drop.apply_scale([1.0, 1.4, 2.0])
    points, corners, _ = even_mesh(np.asarray(drop.vertices), np.asarray(drop.faces), 2000)
    made = trimesh.Trimesh(points, corners, process=False)
    side = float(np.sqrt((made.edges_unique_length**2).mean()))
    _, far, _ = trimesh.proximity.closest_point(drop, points)
    assert far.max() < 1e-6 * side
    assert made.is_watertight
    assert made.volume == pytest.approx(drop.volume, rel=0.02)
    sides = np.linalg.norm(points[corners] - points[np.roll(corners, 1, axis=1)], axis=-1)
    round_ = 4 * np.sqrt(3) * made.area_faces / (sides**2).sum(axis=1)  # 1 for an equal-sided triangle
    assert np.quantile(round_, 0.01) > 0.5
    assert round_.mean() > 0.9
