"""The drawing kernels against closed forms: a ball seen in parallel projection, a step, a floor under a wall."""

import numpy as np
import trimesh

from pourwright.draw.bodies import body
from pourwright.draw.paint import Drawing
from pourwright.draw.raster import EMPTY, facing, lines, raster, shelter


def _buffers(height, width):
    return np.full((height, width), EMPTY, np.float32), np.full((height, width), -1, np.int32)


def test_a_ball_is_a_disc_of_its_radius_with_the_depth_and_normals_of_a_ball():
    ball = trimesh.creation.icosphere(subdivisions=6)
    radius, centre = 180.0, np.array([200.3, 210.7])
    corner = ball.triangles.copy()
    corner[..., :2] = corner[..., :2] * radius + centre
    depth, owner = _buffers(420, 400)
    raster(corner, 0, depth, owner)
    seen = depth > EMPTY
    assert abs(seen.sum() / (np.pi * radius**2) - 1) < 2e-3
    y, x = np.nonzero(seen)
    across = (np.column_stack([x, y]) + 0.5 - centre) / radius
    inner = (across**2).sum(axis=1) < 0.95
    expected = np.sqrt(1 - (across[inner] ** 2).sum(axis=1))
    assert np.abs(depth[y[inner], x[inner]] - expected).max() < 2e-3
    normal = facing(corner, ball.vertex_normals[ball.faces], owner)[y[inner], x[inner]]
    assert np.abs(normal - np.column_stack([across[inner], expected])).max() < 0.01


def test_the_nearest_triangle_wins_whatever_the_order():
    far = np.array([[[0, 0, 1.0], [50, 0, 1.0], [0, 50, 1.0]]])
    near = far + np.array([0, 0, 1.0])
    for order in ((far, near), (near, far)):
        depth, owner = _buffers(60, 60)
        for k, corner in enumerate(order):
            raster(corner, k, depth, owner)
        assert (depth[owner >= 0] == 2.0).all()


def test_triangles_that_share_an_edge_leave_no_gap():
    rng = np.random.default_rng(3)
    flat = np.vstack([[[0, 0], [97, 0], [0, 97], [97, 97]], rng.random((300, 2)) * 97])
    from scipy.spatial import Delaunay

    corner = np.dstack([flat[Delaunay(flat).simplices], np.zeros((len(Delaunay(flat).simplices), 3))])
    depth, owner = _buffers(97, 97)
    raster(corner, 0, depth, owner)
    assert (owner >= 0).all()


def test_an_open_plane_is_unsheltered_and_the_foot_of_a_wall_is_not():
    depth = np.zeros((120, 120), np.float32)
    normal = np.zeros((120, 120, 3), np.float32)
    normal[..., 2] = 1.0
    assert shelter(depth, normal, 1, 0.01, 20).max() == 0.0
    depth[:, 60:] = 0.15  # a step towards the viewer
    hidden = shelter(depth, normal, 1, 0.01, 20)[60]
    assert hidden[58] > 0.15
    assert hidden[58] > hidden[50] > hidden[42]
    assert hidden[65] == 0.0  # on top of it


def test_ink_runs_along_outlines_steps_and_between_bodies_only():
    depth, owner = _buffers(40, 40)
    owner[10:30, 10:30], depth[10:30, 10:30] = 0, 0.0
    owner[10:30, 20:30] = 1
    ink = lines(owner, depth, np.array([0, 1], np.int32), 0.1)
    assert (ink[10:30, 10] == 1.0).all()  # outline
    assert (ink[12:28, 20] > 0).all()
    assert (ink[12:28, 19] == 0).all()  # one line between two bodies, not two
    assert ink[15, 15] == 0


def test_no_triangles_make_an_empty_layer(box_view):
    view = box_view(1.0, 1.0, 1.0)
    drawing = Drawing(view)
    drawing.add(body(view, np.empty((0, 3)), np.empty((0, 3), int)))
    assert (drawing.layer(0.03).part == 0).all()
