"""Foam as a solid, and its joint to the skin, against a general-purpose library and sandwich theory."""

import numpy as np
import pytest
import scipy.sparse as sp

from pourwright.cavity import Grid
from pourwright.fem import Factor, ShellModel
from pourwright.structure import Filled, foam_block, join


def block(shape, cell, youngs=8e6, poisson=0.3):
    return foam_block(
        Grid(np.zeros(3), cell, shape), np.ones(shape), np.full(shape[2], youngs), np.full(shape[2], 50.0), poisson
    )


def solved(foam, held_nodes, load):
    held = np.repeat(held_nodes, 3)
    factor = Factor(foam.assemble(), held, foam.nodes_m, np.repeat(np.arange(len(foam.nodes_m)), 3))
    return factor.solve(load.ravel()).reshape(-1, 3)


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


def test_block_bends_as_quadratic_cubes_of_a_library_do():
    """Cantilever 0.5 x 0.1 x 0.1 m, its end pushed down, beside scikit-fem's 27-node cubes twice as fine."""
    import skfem
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    foam = block((10, 2, 2), 0.05)
    at_end = foam.nodes_m[:, 0] > 0.5 - 1e-9
    load = np.zeros_like(foam.nodes_m)
    # an even shear on the end face, by the area of each node
    edge = ((np.abs(foam.nodes_m[:, 1:] - 0.05) > 0.049).sum(axis=1))[at_end]
    load[at_end, 2] = -100.0 * (0.5**edge) / (0.5**edge).sum()
    ours = solved(foam, foam.nodes_m[:, 0] < 1e-9, load)[at_end, 2].mean()

    mesh = skfem.MeshHex.init_tensor(np.linspace(0, 0.5, 21), np.linspace(0, 0.1, 5), np.linspace(0, 0.1, 5))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=4)
    stiff = linear_elasticity(*lame_parameters(8e6, 0.3)).assemble(basis)
    face = basis.boundary(mesh.facets_satisfying(lambda x: np.isclose(x[0], 0.5)))

    @skfem.LinearForm
    def push(v, w):
        return -100.0 / 0.01 * v[2]

    x = skfem.solve(*skfem.condense(stiff, push.assemble(face), D=basis.get_dofs(lambda x: np.isclose(x[0], 0.0))))
    theirs = push.assemble(face) @ x / -100.0
    assert ours == pytest.approx(theirs, rel=0.02)


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


def middle_sag(model, foam, length, bond):
    """Simply supported under 1 N spread evenly, half on each skin: how far the middle goes down."""
    p = model.vertices_m
    low = p[:, 2] < 0
    held = np.zeros((len(p), 6), bool)
    held[(p[:, 0] < 1e-9) | (p[:, 0] > length - 1e-9), 2] = True
    held[np.abs(p[:, 0] - length / 2) < 1e-9, 0] = True  # by symmetry
    held[:, 1] = True
    load = np.zeros((len(p), 6))
    load[:, 2] = -model.vertex_area_m2 / model.vertex_area_m2.sum()
    body = Filled(model, np.full(len(p), 0.002), foam, held)
    whole = body.padded(load.ravel())
    moved = body.skin(body.bonded(whole) if bond else body.sliding(whole))
    return -float(moved[low & (np.abs(p[:, 0] - length / 2) < 1e-9), 2].mean())


SPAN, WIDE, CORE, WALL, SKIN_PA, CORE_PA = 0.8, 0.02, 0.04, 0.002, 7e9, 8e6


def test_bonded_sandwich_beam_is_allens():
    """An even load on a simply supported sandwich strip, span 0.8 m, core 40 mm, skins 2 mm.

    w = 5 P L^3 / (384 D) + P L / (8 S), D = E b (t d^2 / 2 + t^3 / 6) + E_c b c^3 / 12, S = G_c b d^2 / c
    (Allen, Analysis and Design of Structural Sandwich Panels, 1969, from memory).
    """
    model, foam = strip((80, 2, 4), 0.01)
    w = middle_sag(model, foam, SPAN, bond=True)
    d, g = CORE + WALL, CORE_PA / 2.6
    rigidity = SKIN_PA * WIDE * (WALL * d**2 / 2 + WALL**3 / 6) + CORE_PA * WIDE * CORE**3 / 12
    assert w == pytest.approx(5 * SPAN**3 / (384 * rigidity) + SPAN / (8 * g * WIDE * d**2 / CORE), rel=0.03)


def test_without_bond_the_skins_work_alone():
    """Sliding skins bend each for itself, and so does the core: w = 5 P L^3 / (384 sum of E I)."""
    model, foam = strip((80, 2, 4), 0.01)
    w = middle_sag(model, foam, SPAN, bond=False)
    alone = SKIN_PA * WIDE * WALL**3 / 6 + CORE_PA * WIDE * CORE**3 / 12
    shear = 5 / 6 * CORE_PA / 2.6 * WIDE * CORE
    assert w == pytest.approx(5 * SPAN**3 / (384 * alone) + SPAN / (8 * shear), rel=0.03)


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
