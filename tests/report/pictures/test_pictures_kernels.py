"""The drawing kernels against closed forms: a ball seen in parallel projection, a step, a floor under a wall."""

import itertools
import weakref

import numpy as np
import pytest
import trimesh

from pourwright.draw import paint
from pourwright.draw.bodies import body, lift_body, skin_body
from pourwright.draw.lifts import draw_plan, stage_of
from pourwright.draw.paint import Drawing
from pourwright.draw.raster import EMPTY, Box, facing, lines, raster, shelter
from pourwright.draw.rising import Rising
from pourwright.draw.skin_cuts import lift_skins


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


def test_a_layer_that_follows_another_is_the_same_as_one_made_at_once(stool_plan):
    plan, surfaces = stool_plan, lift_skins(stool_plan)
    stage = stage_of(plan)
    going, followed = Drawing(stage.view), []
    for lift, surface in zip(plan.lift_plan.lifts, surfaces, strict=True):
        going.add(lift_body(plan, stage.view, surface, lift.number))
        followed.append(going.layer(stage.hollow_m))
    assert len(followed) > 2
    assert all((one.part != other.part).any() for one, other in itertools.pairwise(followed))
    for row, layer in enumerate(followed):  # those handed out earlier too: nothing was changed under them
        whole = Drawing(stage.view)
        for lift, surface in zip(plan.lift_plan.lifts[: row + 1], surfaces, strict=False):
            whole.add(lift_body(plan, stage.view, surface, lift.number))
        once = whole.layer(stage.hollow_m)
        for name in ("depth", "tone", "rim", "line", "part"):
            assert np.array_equal(getattr(layer, name), getattr(once, name)), (row, name)


def test_a_layer_with_another_reach_is_made_anew(stool_plan):
    stage = stage_of(stool_plan)
    twice, once = Drawing(stage.view), Drawing(stage.view)
    for drawing in (twice, once):
        drawing.add(skin_body(stool_plan, stage.view))
    narrow = twice.layer(0.2 * stage.hollow_m)
    assert not np.array_equal(narrow.tone, once.layer(stage.hollow_m).tone)
    assert np.array_equal(twice.layer(stage.hollow_m).tone, once.layer(stage.hollow_m).tone)


def test_foam_of_a_lower_row_begins_again_from_the_base(stool_plan):
    stage, surfaces = stage_of(stool_plan), lift_skins(stool_plan)
    foam = Rising(stool_plan, stage.view, surfaces, stage.hollow_m)
    rows = range(len(surfaces))
    up = [foam[row].part for row in rows]
    down = [foam[row].part for row in reversed(rows)]
    assert all(np.array_equal(one, other) for one, other in zip(up, reversed(down), strict=True))
    assert [layer.max() for layer in up] == [lift.number for lift in stool_plan.lift_plan.lifts]
    with pytest.raises(IndexError):
        foam[len(surfaces)]


@pytest.mark.parametrize("shape", [(40, 30), (41, 31)])
def test_a_box_holds_all_pixels_that_are_drawn(shape):
    random = np.random.default_rng(5)
    for _ in range(60):
        corner = np.concatenate([random.uniform(-20, 60, (4, 3, 2)), random.random((4, 3, 1))], axis=-1)
        depth, owner = _buffers(*shape)
        raster(corner, 0, depth, owner)
        box = Box.round(corner, depth.shape)
        depth[box.slices] = EMPTY
        assert (depth == EMPTY).all()


def test_boxes_join_and_grow_within_the_canvas():
    empty, one = Box(0, 0, 0, 0), Box(2, 5, 3, 9)
    assert empty | one == one | empty == one
    assert one | Box(4, 8, 1, 4) == Box(2, 8, 1, 9)
    assert one.wider(4, (7, 20)) == Box(0, 7, 0, 13)


def test_the_layers_held_at_once_do_not_grow_with_lifts_and_pictures(stool_plan, tmp_path, monkeypatch):
    """A layer of a large canvas is some 100 MB: those of all lifts and cards together were gigabytes."""
    alive, most, frozen = weakref.WeakSet(), [], paint._frozen

    def counted(layer):
        alive.add(layer)
        most.append(len(alive))
        return frozen(layer)

    monkeypatch.setattr(paint, "_frozen", counted)
    made = draw_plan(stool_plan, tmp_path)
    assert len(made) > 9
    assert len(most) > 9
    assert max(most) <= 6  # of two cameras: the skin, the foam, and the foam before it while the next is made
