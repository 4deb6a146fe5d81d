"""Where straight-line figures end: the next terms of plates and beams against published large-deflection solutions.

Clamped round plate: Chien, Chinese Journal of Physics 7 (1947) 102-113 (perturbation; the formula from memory) and
Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, art. 97 (0.488; from memory). Half the
thickness as the end of small deflections: Roark's Formulas, 8th ed., section 11.2 (read in a publisher's excerpt).
Cantilever under a dead end load: its own differential equation, the elastica, integrated here by scipy.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from shell_problems import grid, held_at

from pourwright.fem import LEFT_OUT, Factor, NextTerms, ShellModel, equilibrium, straight_up_to
from pourwright.structure import even_mesh


def three_terms(model, load, held):
    factor = Factor(model.assemble(), held.ravel(), model.vertices_m)
    first = factor.solve(load)[:, None]
    second, third = NextTerms(model).of(first, factor.solve)
    return (u[:, 0].reshape(-1, 6)[:, :3] for u in (first, second, third))


@pytest.fixture(scope="module")
def round_plate():
    """Clamped, held at its edge; radius 1, wall 0.005, nu 0.3, E 1, and a pressure that bulges it by one wall."""
    t, nu = 0.005, 0.3
    ring = np.linspace(0, 2 * np.pi, 181)[:-1]
    points = np.vstack([[0, 0, 0], np.c_[np.cos(ring), np.sin(ring), 0 * ring]])
    faces = np.array([[0, 1 + k, 1 + (k + 1) % 180] for k in range(180)])
    points, faces, _ = even_mesh(points, faces, 3000)
    model = ShellModel(points, faces, t, 1.0, nu)
    held = np.repeat((np.hypot(*points[:, :2].T) > 1 - 2e-3)[:, None], 6, axis=1)
    pressure = 64 * t / (12 * (1 - nu**2)) * t**3  # w0 = q a^4 / (64 D) = t
    return model, model.pressure_load(pressure), held, t


def test_round_plate_stiffens_as_chien_found(round_plate):
    """w + (1 + nu)(173 - 73 nu) / 360 w^3 = 3 (1 - nu^2) q a^4 / (16 E t^4), w over t: 0.546 at nu = 0.3."""
    model, load, held, t = round_plate
    first, second, third = three_terms(model, load, held)
    middle = int(np.argmin(np.hypot(*model.vertices_m[:, :2].T)))
    assert first[middle, 2] / t == pytest.approx(1.0, abs=0.02)
    assert np.abs(second[:, 2]).max() < 1e-6 * t  # a flat plate's second term is in its plane
    assert -third[middle, 2] / t == pytest.approx(1.3 * (173 - 73 * 0.3) / 360, rel=0.05)


def test_a_round_plate_is_straight_up_to_about_half_its_wall(round_plate):
    model, load, held, t = round_plate
    sizes = [np.linalg.norm(u, axis=1).max() for u in three_terms(model, load, held)]
    assert straight_up_to(*sizes) * sizes[0] / t == pytest.approx(0.43, abs=0.05)  # Roark: 0.5, there 12 % off
    there = straight_up_to(*sizes)
    rest = equilibrium(model, there * load, held, large=True).movement.reshape(-1, 6)[:, 2].max()
    assert 1 - rest / (there * sizes[0]) == pytest.approx(LEFT_OUT.value, abs=0.03)


def elastica(load):
    """Movement (along, across) of the tip of a clamped beam of length 1 and EI = 1 under a dead end load across it."""

    def shape(clamp):
        return solve_ivp(lambda s, y: [y[1], -load * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])], (0, 1),
                         [0, clamp, 0, 0], rtol=1e-10, atol=1e-12).y[:, -1]  # fmt: skip

    end = shape(brentq(lambda clamp: shape(clamp)[1], 0.0, 1.1 * load))
    return np.array([end[2] - 1, end[3]])


def test_a_cantilever_is_straight_up_to_a_quarter_radian():
    long, wide, thick = 1.0, 0.05, 0.01
    x, y, faces = grid(40, 2, "crossed")
    places = np.c_[long * x, wide * y, 0 * x]
    model = ShellModel(places, faces, thick, 12 / (wide * thick**3), 0.0)  # EI = 1
    held = held_at(len(x), (x == 0, tuple(range(6))))
    load = np.zeros((len(x), 6))
    load[x == 1, 2] = model.vertex_area_m2[x == 1] / model.vertex_area_m2[x == 1].sum()
    sizes, tips = [], []
    for u in three_terms(model, load.ravel(), held):
        sizes.append(np.linalg.norm(u, axis=1).max())
        tips.append(u[x == 1].mean(axis=0))
    assert tips[1][0] == pytest.approx(-1 / 15, rel=0.01)  # half the square of the slope, summed along it
    there = straight_up_to(*sizes)
    assert 0.5 * there == pytest.approx(0.25, abs=0.02)  # slope of the tip, P L^2 / (2 EI)
    true = elastica(there)
    straight = np.array([0.0, there / 3])
    assert np.linalg.norm(true - straight) / np.linalg.norm(straight) == pytest.approx(LEFT_OUT.value, abs=0.02)
    assert true[1] == pytest.approx(straight[1], rel=0.04)
