"""The coarser body that finds a first guess: it bears the same loads, and the answer does not hang on it."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Grid
from pourwright.fem import ShellModel
from pourwright.structure import Filled, even_mesh, foam_block
from pourwright.structure.coarse import coarse_body


@pytest.fixture(scope="module")
def tower():
    """Upright box 0.3 x 0.2 x 0.6 m with foam in it, on its base, 3000 triangles."""
    size = np.array([0.3, 0.2, 0.6])
    box = trimesh.creation.box(size)
    points, faces, _ = even_mesh(box.vertices + size / 2, box.faces, 3000)
    shape = (6, 4, 12)
    grid = Grid(np.zeros(3), 0.05, shape)
    rng = np.random.default_rng(5)
    foam = foam_block(grid, rng.uniform(0.1, 1.0, shape), np.full(12, 8e6), np.linspace(40.0, 60.0, 12), 0.3)
    return ShellModel(points, faces, 0.004, 7e9, 0.3), foam, np.repeat((points[:, 2] < 1e-9)[:, None], 6, axis=1)


def test_loads_keep_their_force_and_moment(tower):
    model, foam, held = tower
    less = coarse_body(model, np.full(len(model.vertices_m), 0.004), foam, held)
    assert less is not None
    assert len(less.model.triangles) < len(model.triangles) / 4
    assert less.held.any()
    load = np.random.default_rng(1).normal(size=model.size + foam.size)
    moved = less.load(model, load)
    f, c = load[: model.size].reshape(-1, 6), moved[: less.model.size].reshape(-1, 6)
    assert c[:, :3].sum(axis=0) == pytest.approx(f[:, :3].sum(axis=0), abs=1e-9)
    moment = (np.cross(model.vertices_m, f[:, :3]) + f[:, 3:]).sum(axis=0)
    assert (np.cross(less.model.vertices_m, c[:, :3]) + c[:, 3:]).sum(axis=0) == pytest.approx(moment, abs=1e-9)
    assert moved[less.model.size :].reshape(-1, 3).sum(axis=0) == pytest.approx(
        load[model.size :].reshape(-1, 3).sum(axis=0), abs=1e-9
    )


def test_small_skins_have_none(tower):
    model, foam, _ = tower
    few = even_mesh(model.vertices_m, model.triangles, 600)[:2]
    small = ShellModel(*few, 0.004, 7e9, 0.3)
    assert coarse_body(small, np.full(len(few[0]), 0.004), foam, np.zeros((len(few[0]), 6), bool)) is None


def test_answer_does_not_hang_on_the_guess(tower, monkeypatch):
    model, foam, held = tower
    wall = np.full(len(model.vertices_m), 0.004)
    front = np.where((model.normals[:, 1] < -0.9)[:, None], np.array([0, 500.0, 0]), 0.0)
    body = Filled(model, wall, foam, held)
    load = body.padded(model.traction_load(front))
    assert body.coarse is not None
    guessed, _ = body.touching(load)
    plain = Filled(model, wall, foam, held)
    monkeypatch.setattr(Filled, "_guess", lambda self, load: None)
    found, _ = plain.touching(load)
    assert load @ guessed == pytest.approx(load @ found, rel=0.006)
    assert body.unsettled == plain.unsettled == 0
