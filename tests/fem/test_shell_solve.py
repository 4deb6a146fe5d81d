from __future__ import annotations

import importlib

import numpy as np
import pytest
import scipy.sparse as sp
import scipy.sparse.linalg as sla
from scipy.optimize import nnls
from shell_problems import grid, held_at

from pourwright.errors import ShellError
from pourwright.fem import Contact, Factor, Guide, ShellModel, equilibrium, springs
from pourwright.fem.equilibrium import _Shell
from pourwright.fem.ordering import nested_dissection


@pytest.fixture(scope="module")
def bowl():
    """A curved patch held along one edge."""
    x, y, faces = grid(10, 8, "crossed")
    model = ShellModel(np.c_[x, y, 0.3 * x**2 + 0.1 * x * y], faces, 0.01, 1e6, 0.3)
    return model, held_at(len(x), (x == 0, tuple(range(6))))


def test_solution_is_scipys(bowl):
    model, held = bowl
    k = model.assemble()
    loads = np.stack([model.pressure_load(2.0), model.gravity_load(100.0, [0.0, 0, -9.8])], axis=1)
    u = Factor(k, held, model.vertices_m).solve(loads)
    free = ~held.ravel()
    assert u[free] == pytest.approx(sla.spsolve(sp.csc_array(k[free][:, free]), loads[free]), rel=1e-7, abs=1e-12)
    assert np.abs(u[~free]).max() == 0.0


def test_given_values_are_kept_and_their_forces_felt(bowl):
    model, held = bowl
    k = model.assemble()
    values = np.zeros((len(model.vertices_m), 6))
    values[held[:, 0], 2] = 1e-3
    u = Factor(k, held, model.vertices_m).solve(np.zeros(model.size), values.ravel()).reshape(-1, 6)
    assert u[:, 2] == pytest.approx(np.full(len(u), 1e-3), abs=1e-10)  # moves as a whole
    assert np.abs(k @ u.ravel()).max() < 1e-7


@pytest.mark.parametrize("held", ["nothing", "one vertex, no turns", "two vertices"])
def test_a_shell_that_can_move_is_refused(bowl, held):
    model, _ = bowl
    flags = np.zeros((len(model.vertices_m), 6), bool)
    if held != "nothing":
        flags[3, :3] = True
    if held == "two vertices":
        flags[0, :3] = True
    with pytest.raises(ShellError, match="can still move"):
        Factor(model.assemble(), flags, model.vertices_m)


def test_three_held_vertices_are_enough(bowl):
    model, _ = bowl
    flags = np.zeros((len(model.vertices_m), 6), bool)
    flags[[0, 10, -1], :3] = True
    assert Factor(model.assemble(), flags, model.vertices_m).negative_pivots == 0


def test_wrong_sizes_are_named(bowl):
    model, held = bowl
    k = model.assemble()
    with pytest.raises(ShellError, match="supports for"):
        Factor(k, held[:-1], model.vertices_m)
    with pytest.raises(ShellError, match="a load of"):
        Factor(k, held, model.vertices_m).solve(np.zeros(5))


def test_other_unknowns_may_join(bowl):
    """Three-unknown nodes of a solid beside the shell: here one extra node on springs."""
    model, held = bowl
    n = model.size
    k = sp.csr_array(sp.block_diag([model.assemble(), sp.eye_array(3) * 7.0]))
    places = np.vstack([model.vertices_m, [[2.0, 2, 2]]])
    node_of = np.concatenate([np.arange(n) // 6, [len(model.vertices_m)] * 3])
    load = np.concatenate([model.pressure_load(1.0), [7.0, 14, 0]])
    u = Factor(k, np.concatenate([held.ravel(), [False] * 3]), places, node_of).solve(load)
    assert u[n:] == pytest.approx([1, 2, 0])
    assert u[:n] == pytest.approx(Factor(model.assemble(), held, model.vertices_m).solve(model.pressure_load(1.0)))


def test_order_is_a_permutation_that_keeps_the_factor_sparse():
    x, y, faces = grid(80, 80)
    model = ShellModel(np.c_[x, y, 0 * x], faces, 0.01, 1.0, 0.3)
    pattern = sp.csr_array(
        (np.ones(len(faces) * 3), (faces.ravel(), np.roll(faces, 1, axis=1).ravel())), shape=(len(x),) * 2
    )
    pattern = sp.csr_array(pattern + pattern.T)
    order = nested_dissection(model.vertices_m, pattern)
    assert np.sort(order) == pytest.approx(np.arange(len(x)))
    laplace = sp.csc_array(sp.diags_array(np.asarray((pattern != 0).sum(axis=1)).ravel() + 1.0) - (pattern != 0))
    fill = {}
    for name, p in (("dissection", order), ("rows", np.arange(len(x)))):
        fill[name] = sla.splu(
            laplace[p][:, p], permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        ).L.nnz
    assert fill["dissection"] < 0.5 * fill["rows"]


def test_coincident_points_do_not_hang():
    pattern = sp.csr_array(np.ones((60, 60)))
    assert sorted(nested_dissection(np.zeros((60, 3)), pattern)) == list(range(60))


def test_forces_are_the_slope_of_the_energy_and_tangent_of_the_forces(bowl):
    model, _ = bowl
    rng = np.random.default_rng(2)
    foam = Contact(rng.uniform(0, 50, len(model.vertices_m)), model.vertex_normals, 1e-3)
    extra = springs(model, [5, 9], [0.0, 0, 1], 30.0)
    shell = _Shell(model, True, extra, foam)
    u = rng.normal(scale=0.02, size=model.size)
    way = rng.normal(size=model.size)
    h = 1e-6
    slope = (shell.energy(u + h * way) - shell.energy(u - h * way)) / (2 * h)
    assert slope == pytest.approx(float(shell.forces(u) @ way), rel=1e-6)
    change = (shell.forces(u + h * way) - shell.forces(u - h * way)) / (2 * h)
    assert shell.tangent(u) @ way == pytest.approx(change, rel=1e-5, abs=1e-5 * np.abs(change).max())


def test_a_small_rigid_turn_costs_no_stretch(bowl):
    """A finite turn of 0.1 rad: the strain left over is of fourth order."""
    from pourwright.fem.stress import mean_strain
    from pourwright.fem.triangle import to_local

    model, _ = bowl
    c, s = np.cos(0.1), np.sin(0.1)
    turn = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
    u = np.zeros((len(model.vertices_m), 6))
    u[:, :3] = model.vertices_m @ turn.T - model.vertices_m
    u[:, 3] = 0.1
    local = to_local(model.facets, u[model.triangles])
    assert np.abs(mean_strain(model, local, True)).max() < 1e-3 * 0.1
    assert np.abs(mean_strain(model, local, False)).max() > 1e-3


def test_contact_agrees_with_a_quadratic_programme():
    """Pushes p >= 0 with C p + p/k = -(free movement + gap): the same by non-negative least squares."""
    x, y, faces = grid(6, 6, "crossed")
    model = ShellModel(np.c_[x, y, 0 * x], faces, 0.02, 1e6, 0.3)
    rim = (x == 0) | (x == 1) | (y == 0) | (y == 1)
    held = held_at(len(x), (rim, (0, 1, 2)))
    load = model.nodal_load(np.flatnonzero((np.abs(x - 1 / 3) < 0.01) & (np.abs(y - 0.5) < 0.01)), [0, 0, -3.0])
    load = load + model.nodal_load(np.flatnonzero((np.abs(x - 2 / 3) < 0.01) & (np.abs(y - 0.5) < 0.01)), [0, 0, 4.0])
    k = np.where(rim, 0.0, 40.0)
    up = np.tile([0.0, 0, 1], (len(x), 1))
    gap = np.where(x < 0.5, 2e-3, 0.0)
    rest = equilibrium(model, load, held, contact=Contact(k, up, gap))

    inner = np.flatnonzero(~rim)
    factor = Factor(model.assemble(), held, model.vertices_m)
    compliance = factor.solve(np.stack([model.nodal_load(i, [0, 0, 1.0]) for i in inner], axis=1))[6 * inner + 2]
    free = factor.solve(load)[6 * inner + 2] + gap[inner]
    a = np.linalg.cholesky(compliance + np.diag(1 / k[inner])).T
    pushes, _ = nnls(a, np.linalg.solve(a.T, -free))
    assert rest.push_n[inner] == pytest.approx(pushes, rel=1e-6, abs=1e-8)
    assert 0 < (pushes > 0).sum() < len(inner)
    w = rest.movement.reshape(-1, 6)[:, 2]
    assert (rest.push_n >= 0).all()
    assert rest.push_n == pytest.approx(k * np.maximum(-w - gap, 0), abs=1e-12)


def test_shell_on_foam_alone():
    """Held only by foam that pushes and by what stops it sliding: the pushes carry the weight."""
    x, y, faces = grid(6, 6, "crossed")
    model = ShellModel(np.c_[x, y, 0 * x], faces, 0.02, 1e6, 0.3)
    held = held_at(len(x), ((x == 0) & (y == 0), (0, 1)), ((x == 1) & (y == 0), (1,)))
    foam = Contact(100 * model.vertex_area_m2, np.tile([0.0, 0, 1], (len(x), 1)))
    weight = model.gravity_load(10.0, [0.0, 0, -10.0])
    rest = equilibrium(model, weight, held, contact=foam)
    assert rest.push_n.sum() == pytest.approx(2.0)
    assert rest.movement.reshape(-1, 6)[:, 2] == pytest.approx(np.full(len(x), -0.02), rel=1e-6)
    with pytest.raises(ShellError):
        equilibrium(model, -weight, held, contact=foam)  # lifts off


def test_linear_equilibrium_is_one_round(bowl):
    model, held = bowl
    rest = equilibrium(model, model.pressure_load(1.0), held)
    assert rest.rounds == 1
    assert rest.residual < 1e-8
    assert rest.movement == pytest.approx(
        Factor(model.assemble(), held, model.vertices_m).solve(model.pressure_load(1.0))
    )


def test_start_from_a_smaller_load_gives_the_same(bowl):
    model, held = bowl
    half = equilibrium(model, model.pressure_load(0.01), held, large=True)
    whole = equilibrium(model, model.pressure_load(0.02), held, large=True)
    again = equilibrium(model, model.pressure_load(0.02), held, large=True, guide=Guide(half.movement))
    assert again.movement == pytest.approx(whole.movement, rel=1e-5, abs=1e-9)


def test_same_input_same_bytes(bowl):
    model, held = bowl
    a, b = (Factor(model.assemble(), held, model.vertices_m).solve(model.pressure_load(1.0)) for _ in range(2))
    assert a.tobytes() == b.tobytes()


def test_a_factor_is_dropped_before_the_next_is_made(bowl, monkeypatch):
    """A search for rest holds the numbers of one factor at a time: of a scan each takes a tenth of a gigabyte."""
    model, held = bowl
    made, still = [], []

    class Watched(Factor):
        def __init__(self, *arguments, **options):
            still.append(sum(one._made.made is not None for one in made))
            super().__init__(*arguments, **options)
            made.append(self)

    monkeypatch.setattr(importlib.import_module("pourwright.fem.equilibrium"), "Factor", Watched)
    equilibrium(model, model.pressure_load(0.02), held, large=True)
    assert len(made) > 2
    assert set(still) == {0}
