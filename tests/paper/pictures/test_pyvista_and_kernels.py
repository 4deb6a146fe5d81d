"""PyVista's window and the compiled loop must see the same triangles."""

import numpy as np
import pytest
import trimesh

from pourwright.paper import pictures_gl, pictures_raster


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
def test_both_see_the_same(ring, monkeypatch):
    shape = (520, 600)
    depth, owner = drawn(ring, shape)
    monkeypatch.setattr(pictures_gl, "can_render", lambda: False)
    plain_depth, plain_owner = drawn(ring, shape)
    inside = plain_owner >= 0
    assert inside.sum() > 30_000
    # Only pixels whose middle lies on an edge, to the rounding of the window, may fall to a neighbour.
    assert (owner != plain_owner).mean() < 2e-3
    same = inside & (owner >= 0)
    assert (same != inside).sum() < 100
    assert np.abs(depth - plain_depth)[same].max() < 0.02


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
