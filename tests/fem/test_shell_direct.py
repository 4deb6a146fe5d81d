"""Both direct solvers give one answer, and a solve that is not one is noticed."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sp
from shell_problems import grid, held_at

from pourwright.errors import ShellError
from pourwright.fem import Factor, ShellModel, direct


@pytest.fixture(scope="module")
def patch():
    x, y, faces = grid(12, 9, "crossed")
    model = ShellModel(np.c_[x, y, 0.2 * x * y], faces, 0.005, 1e9, 0.3)
    return model, held_at(len(x), (x == 0, tuple(range(6))))


def nodes_of(model):
    return np.arange(model.size) // 6


@pytest.mark.parametrize("as_solid", [False, True])
def test_scipy_gives_the_same_where_the_library_is_missing(patch, monkeypatch, as_solid):
    model, held = patch
    k, load = model.assemble(), model.pressure_load(100.0)
    nodes = nodes_of(model) if as_solid else None
    usual = Factor(k, held, model.vertices_m, nodes)
    assert isinstance(usual._made, direct.Ldlt)
    monkeypatch.setattr(direct, "READY", False)
    other = Factor(k, held, model.vertices_m, nodes)
    assert isinstance(other._made, direct.Lu)
    again = Factor(2 * k, held, model.vertices_m, nodes, like=other)
    assert other.solve(load) == pytest.approx(usual.solve(load), rel=1e-8, abs=1e-12)
    assert again.solve(2 * load) == pytest.approx(usual.solve(load), rel=1e-8, abs=1e-12)


def test_an_order_serves_again_without_its_numbers(patch):
    model, held = patch
    k, load = model.assemble(), model.pressure_load(100.0)
    first = Factor(k, held, model.vertices_m)
    found = first.solve(load)
    first.forget()
    assert Factor(3 * k, held, model.vertices_m, like=first).solve(3 * load) == pytest.approx(found, rel=1e-9)
    other = sp.csr_array(k + sp.eye_array(model.size) * 1e-9)  # another pattern: ordered anew
    assert Factor(other, held, model.vertices_m, like=first).solve(load) == pytest.approx(found, rel=1e-6, abs=1e-12)


class Wrong:
    negative = 0

    def solve(self, right):
        return 1.001 * right


def test_a_wrong_solve_is_done_again_by_scipy_and_never_believed(patch, monkeypatch):
    model, held = patch
    load = model.pressure_load(100.0)
    factor = Factor(model.assemble(), held, model.vertices_m)
    right = factor.solve(load)
    factor._made = Wrong()
    assert factor.solve(load) == pytest.approx(right, rel=1e-8, abs=1e-12)
    factor._made = direct.Lu(None, np.zeros(0, int), 0)
    monkeypatch.setattr(direct.Lu, "solve", Wrong.solve)
    with pytest.raises(ShellError, match="not be solved"):
        factor.solve(load)


def test_everything_held_moves_nothing(patch):
    model, _ = patch
    factor = Factor(model.assemble(), np.ones((len(model.vertices_m), 6), bool), model.vertices_m)
    assert not factor.solve(model.pressure_load(1.0)).any()


def test_what_is_left_over_is_told():
    matrix = sp.csc_array(np.diag([2.0, 4.0]))
    exact, right = np.array([[1.0], [1.0]]), np.array([[2.0], [4.0]])
    assert direct.left_over(matrix, 4.0, exact, right) == 0.0
    assert direct.left_over(matrix, 4.0, 1.1 * exact, right) == pytest.approx(0.4 / 8.4, rel=0.1)
    assert not direct.left_over(matrix, 4.0, np.full((2, 1), np.nan), right) < 1.0
