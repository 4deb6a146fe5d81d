"""PyVista's window and the compiled loop must see the same triangles."""

import numpy as np
import pytest
import trimesh

from pourwright.draw import gl as pictures_gl
from pourwright.draw import raster as pictures_raster
from pourwright.draw.lifts import draw_plan


def drawn(corner, shape):
    depth = np.full(shape, pictures_raster.EMPTY, np.float32)
    owner = np.full(shape, -1, np.int32)
    pictures_raster.raster(corner, 0, depth, owner)
    return depth, owner


@pytest.fixture(scope="module")
def ring():
    mesh = trimesh.creation.torus(0.4, 0.15, major_sections=96, minor_sections=48)
    turned = mesh.vertices @ trimesh.transformations.euler_matrix(1.1, 0.3, 0.2)[:3, :3].T
    return np.stack([turned[:, 0] * 400 + 300, 260 - turned[:, 1] * 400, turned[:, 2]], axis=-1)[mesh.faces]


@pytest.mark.skipif(not pictures_gl.can_render(), reason="no graphics library: only the compiled loop can draw here")
def test_with_and_without_a_window_every_pixel_is_the_same(ring, monkeypatch):
    shape = (520, 600)
    depth, owner = drawn(ring, shape)
    seen = pictures_gl.seen(ring, shape)
    monkeypatch.setattr(pictures_gl, "can_render", lambda: False)
    plain_depth, plain_owner = drawn(ring, shape)
    inside = plain_owner >= 0
    assert inside.sum() > 30_000
    assert np.array_equal(owner, plain_owner)
    assert np.array_equal(depth, plain_depth)
    # PyVista sees the ring by itself; only pixels whose middle lies on an edge, to its rounding, may fall to others.
    assert (seen != plain_owner).mean() < 2e-3


@pytest.mark.skipif(not pictures_gl.can_render(), reason="no graphics library: only the compiled loop can draw here")
def test_with_and_without_a_window_a_picture_is_the_same_to_the_byte(stool_plan, tmp_path, monkeypatch):
    (tmp_path / "window").mkdir()
    (tmp_path / "loop").mkdir()
    made = draw_plan(stool_plan, tmp_path / "window")
    monkeypatch.setattr(pictures_gl, "can_render", lambda: False)
    plain = draw_plan(stool_plan, tmp_path / "loop")
    assert [file.name for file in made] == [file.name for file in plain]
    for one, other in zip(made, plain, strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name


@pytest.mark.parametrize("rounding", ["a pixel aside", "nothing seen", "the farther one", "anybody"])
def test_however_a_window_rounds_the_pixels_are_the_same(ring, monkeypatch, rounding):
    shape = (520, 600)
    monkeypatch.setattr(pictures_gl, "can_render", lambda: False)
    depth, owner = drawn(ring, shape)
    back = ring * (1.0, 1.0, -1.0)
    wrong = {
        "a pixel aside": np.roll(owner, (1, -1), (0, 1)),
        "nothing seen": np.full(shape, -1, np.int32),
        "the farther one": drawn(back, shape)[1],
        "anybody": np.random.default_rng(3).integers(-1, len(ring), shape).astype(np.int32),
    }[rounding]
    monkeypatch.setattr(pictures_gl, "can_render", lambda: True)
    window = pictures_raster.Box.round(ring, shape).slices  # it is no larger than what it shows
    monkeypatch.setattr(pictures_gl, "seen", lambda corner, shape: wrong[window].copy())
    rounded_depth, rounded_owner = drawn(ring, shape)
    assert np.array_equal(rounded_owner, owner)
    assert np.array_equal(rounded_depth, depth)


def test_of_equally_near_triangles_the_first_is_seen(monkeypatch):
    sheet = np.array([[[0, 0, 1.0], [40, 0, 1.0], [0, 40, 1.0]]] * 3)
    monkeypatch.setattr(pictures_gl, "can_render", lambda: True)
    monkeypatch.setattr(pictures_gl, "seen", lambda corner, shape: np.full(shape, 2, np.int32))
    depth, owner = drawn(sheet, (40, 40))
    assert set(np.unique(owner)) == {-1, 0}
    pictures_raster.raster(sheet, 3, depth, owner)  # another body at the same place, later
    assert set(np.unique(owner)) == {-1, 0}


@pytest.mark.skipif(not pictures_gl.can_render(), reason="no graphics library")
def test_the_nearer_of_two_sheets_is_seen():
    sheet = np.array([[[0, 0, 0.0], [40, 0, 0.0], [0, 40, 0.0]], [[0, 0, 1.0], [20, 0, 1.0], [0, 20, 1.0]]])
    seen = pictures_gl.seen(sheet, (40, 40))
    assert seen[2, 2] == 1
    assert seen[2, 30] == 0
    assert seen[38, 38] == -1


def test_a_machine_without_a_window_draws_all_the_same(ring, monkeypatch):
    monkeypatch.setenv(pictures_gl.SWITCH, "kernels")
    pictures_gl.window.cache_clear()
    try:
        assert not pictures_gl.can_render()
        assert (drawn(ring, (520, 600))[1] >= 0).sum() > 30_000
    finally:
        pictures_gl.window.cache_clear()
