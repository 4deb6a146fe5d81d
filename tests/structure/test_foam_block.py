"""Foam as a solid, and its joint to the skin."""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.optimize import nnls

from pourwright.cavity import Grid
from pourwright.fem import ShellModel
from pourwright.structure import Filled, filled, foam_block, join


def block(shape, cell, youngs=8e6, poisson=0.3):
    return foam_block(
        Grid(np.zeros(3), cell, shape), np.ones(shape), np.full(shape[2], youngs), np.full(shape[2], 50.0), poisson
    )


def test_patch_of_constant_strain_is_exact():
    """Any linear movement gives no force inside and the energy of its strain."""
    foam = block((3, 4, 2), 0.05)
    gradient = 1e-3 * np.array([[1.0, 0.4, -0.2], [0.1, -0.7, 0.3], [0.5, 0.2, 0.6]])
    u = foam.nodes_m @ gradient.T
    force = (foam.assemble() @ u.ravel()).reshape(-1, 3)
    high = foam.nodes_m.max(axis=0)
    inside = ((foam.nodes_m > 1e-9) & (foam.nodes_m < high - 1e-9)).all(axis=1)
    strain = (gradient + gradient.T) / 2
    lame, shear = 8e6 * 0.3 / (1.3 * 0.4), 8e6 / 2.6
    energy = 0.5 * high.prod() * (lame * np.trace(strain) ** 2 + 2 * shear * (strain**2).sum())
    assert inside.any()
    assert np.abs(force[inside]).max() < 1e-9 * np.abs(force).max()
    assert 0.5 * (u * force).sum() == pytest.approx(energy, rel=1e-12)


def strip(cells, cell, youngs_skin=7e9, t=0.002, core=8e6):
    """Two skins on a core along x, ``cells`` of ``cell``; skins' middles half a wall outside the core."""
    nx, ny, nz = cells
    foam = block(cells, cell, core)
    x, y = np.meshgrid(np.arange(nx + 1) * cell, np.arange(ny + 1) * cell, indexing="ij")
    n = x.size
    a = (np.arange(nx)[:, None] * (ny + 1) + np.arange(ny)).ravel()
    b, c, d = a + ny + 1, a + ny + 2, a + 1
    up = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    low = np.stack([x.ravel(), y.ravel(), np.full(n, -t / 2)], 1)
    high = low + np.array([0, 0, nz * cell + t])
    model = ShellModel(np.vstack([low, high]), np.vstack([up[:, ::-1], up + n]), t, youngs_skin, 0.0)
    return model, foam


def test_joint_feels_no_rigid_motion():
    """A whole that moves and turns as one strains no joint."""
    model, foam = strip((6, 3, 2), 0.03)
    joint = join(model, foam, np.full(len(model.vertices_m), 0.002))
    turn, shift = np.array([1e-3, -2e-3, 3e-3]), np.array([0.01, 0.02, -0.03])
    skin = np.hstack([shift + np.cross(turn, model.vertices_m), np.broadcast_to(turn, model.vertices_m.shape)])
    core = shift + np.cross(turn, foam.nodes_m)
    gap = joint.gap @ np.r_[skin.ravel(), core.ravel()]
    assert len(joint.vertex) == len(model.vertices_m)
    assert np.abs(gap).max() < 1e-15


def test_joint_is_symmetric_and_only_pulls_where_bonded():
    model, foam = strip((6, 3, 2), 0.03)
    joint = join(model, foam, np.full(len(model.vertices_m), 0.002))
    on = np.ones(len(joint.vertex))
    k = joint.assemble(on, on)
    assert abs(k - k.T).max() < 1e-9 * abs(k).max()
    loose = joint.assemble(0 * on, 0 * on)
    assert abs(loose).max() < 1e-4 * abs(k).max()
    assert isinstance(k, sp.csr_array)


@pytest.fixture(scope="module")
def slab():
    """A sheet on a slab of foam that it holds at its rim only, pulled up on one side and pushed down on the other."""
    model, foam = strip((8, 6, 2), 0.05)
    top = model.vertices_m[:, 2] > 0.05
    rim = (model.vertices_m[:, 0] < 1e-9) | (model.vertices_m[:, 0] > 0.4 - 1e-9)
    body = Filled(model, np.full(len(top), 0.002), foam, np.repeat((rim | ~top)[:, None], 6, axis=1))
    load = np.zeros((len(top), 6))
    inner = top & ~rim
    load[inner, 2] = np.where(model.vertices_m[inner, 0] < 0.2, 1.0, -1.0)
    return body, body.padded(load.ravel())


def test_one_sided_touch_is_that_of_a_quadratic_programme(slab, monkeypatch):
    """Pushes p >= 0 with C p + p / k = -(opening without them), by non-negative least squares: another method."""
    body, load = slab
    joint, k = body.joint, len(body.joint.vertex)
    soon, _ = body.touching(load)
    monkeypatch.setattr(filled, "SETTLED", 0.0)  # to the last point
    moved, share = body.touching(load)
    none = np.zeros(k)
    apart = body._whole(none, none)
    normal = sp.csr_array(sp.block_diag([n[None] for n in joint.normal])) @ joint.gap
    compliance = normal @ apart.solve(normal.T.toarray())
    # what a joint lets skin and foam run into one another; what is left of it where it is let go counts for nothing
    root = np.linalg.cholesky(compliance + np.diag(1 / joint.stiffness_n_m)).T
    pushes, _ = nnls(root, np.linalg.solve(root.T, -joint.opening(apart.solve(load))))
    found = joint.stiffness_n_m * np.maximum(-joint.opening(moved), 0.0)
    assert 0.1 < share < 0.9
    assert found == pytest.approx(pushes, abs=1e-3 * pushes.max())
    assert load @ soon == pytest.approx(load @ moved, rel=0.003)
    assert body.unsettled == 0


def test_touch_lies_between_bare_and_glued_and_scales_with_the_load(slab):
    body, load = slab
    moved, _ = body.touching(load)
    bare = load[: body.model.size] @ body.before(load[: body.model.size])
    work, glued = load @ moved, load @ body.bonded(load)
    assert glued < work < bare
    assert load @ body.touching(3 * load)[0] == pytest.approx(3 * work, rel=1e-6)


def test_more_bond_moves_less(slab):
    """No bond, a fifth, a half, all: the load's work falls each time, and no bond at all is sliding."""
    body, load = slab
    works = [load @ body.bonded(load, bond) for bond in (0.0, 0.2, 0.5, 1.0)]
    assert np.all(np.diff(works) < 0)
    assert works[0] == pytest.approx(load @ body.sliding(load), rel=1e-9)
