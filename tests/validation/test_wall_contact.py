"""Anchors that only pull and a wall that only pushes: general-purpose optimisation (scipy), and brackets by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog, minimize

from pourwright.physics.wall_contact import pulls_with_wall

EDGE = [[-1.0, 0.0], [2.0, 0.0]]


def rows(heights):
    return np.column_stack([np.linspace(0.0, 1.0, len(heights)), heights])


def test_anchors_over_a_bearing_edge():
    """500 N m on rows 0.4 m apart, edge 50 mm below: 500 * 0.45 / 0.41 = 548.8 N above, 61.0 N below."""
    places = [[0, 0.05], [1, 0.05], [0, 0.45], [1, 0.45]]
    pull, push = pulls_with_wall(places, [1.0] * 4, EDGE, [0.0], [[0.0, 500.0]])
    assert pull[0] == pytest.approx([61.0, 61.0, 548.8, 548.8], rel=1e-3)
    assert push.sum() == pytest.approx(pull.sum())


def test_bearing_edge_with_unequal_anchors_and_a_straight_pull():
    """Moments about the edge: sum N h = M + P h of the pull; movements in proportion to h, as the edge stays."""
    heights, k = np.array([0.1, 0.3, 0.5]), np.array([1.0, 2.0, 4.0])
    at = (k * heights).sum() / k.sum()
    across = (k * [0.0, 0.5, 1.0]).sum() / k.sum()
    pull, push = pulls_with_wall(rows(heights), k, EDGE, [60.0], [[60.0 * across, 80.0 + 60.0 * at]])
    assert (pull[0] * heights).sum() == pytest.approx(80.0 + 60.0 * at)
    assert pull[0] / k / heights == pytest.approx(pull[0, 0] / k[0] / heights[0])
    assert pull.sum() - push.sum() == pytest.approx(60.0)


def test_an_anchor_below_the_edge_is_slack():
    pull, _ = pulls_with_wall([[0, -0.2], [0, 0.5], [1, 0.5]], [1.0] * 3, EDGE, [0.0], [[50.0, 100.0]])
    assert pull[0] == pytest.approx([0.0, 100.0, 100.0])


def test_a_wall_that_would_have_to_pull_is_refused():
    with pytest.raises(ValueError, match="cannot balance"):
        pulls_with_wall([[0, 0.5], [1, 0.5]], [1.0, 1.0], EDGE, [0.0], [[0.0, -100.0]])


@pytest.mark.parametrize("seed", range(60))
def test_least_energy_and_possible_or_not_as_scipy_finds(seed):
    """SLSQP from far away finds no state of less energy; where we refuse, linear programming (HiGHS) finds none."""
    rng = np.random.default_rng(seed)
    n, m = int(rng.integers(1, 7)), int(rng.integers(1, 20))
    places, k, wall = rng.uniform(-0.5, 0.5, (n, 2)), rng.uniform(0.3, 3.0, n), rng.uniform(-0.6, 0.6, (m, 2))
    pull, moment = rng.normal() * (seed % 2), rng.normal(size=2)
    balance = np.array(
        [
            [*np.ones(n), *-np.ones(m)],
            [*places[:, 0], *-wall[:, 0]],
            [*places[:, 1], *-wall[:, 1]],
        ]
    )
    wanted = np.array([pull, *moment])
    possible = linprog(np.zeros(n + m), A_eq=balance, b_eq=wanted, bounds=(0, None)).status == 0
    if not possible:
        with pytest.raises(ValueError, match="cannot balance"):
            pulls_with_wall(places, k, wall, [pull], [moment])
        return
    pulls, pushes = pulls_with_wall(places, k, wall, [pull], [moment])
    forces = np.r_[pulls[0], pushes[0]]
    assert balance @ forces == pytest.approx(wanted, abs=1e-9)
    assert forces.min() > -1e-9
    found = minimize(
        lambda z: (z[:n] ** 2 / k).sum(),
        np.ones(n + m),
        jac=lambda z: np.r_[2 * z[:n] / k, np.zeros(m)],
        constraints=[{"type": "eq", "fun": lambda z: balance @ z - wanted, "jac": lambda _: balance}],
        bounds=[(0, None)] * (n + m),
        method="SLSQP",
        options={"ftol": 1e-13, "maxiter": 1000},
    )
    energy = (pulls[0] ** 2 / k).sum()
    if found.success:
        assert energy <= found.fun * (1 + 1e-5) + 1e-8
        assert energy == pytest.approx(found.fun, rel=1e-3, abs=1e-6)


def test_many_loads_at_once_are_each_as_by_themselves():
    rng = np.random.default_rng(4)
    places, k, wall = rng.uniform(0, 1, (5, 2)), rng.uniform(0.5, 2, 5), [[0, 0], [1, 0], [1, 1], [0, 1]]
    moments = np.column_stack([rng.uniform(-50, 50, 30), rng.uniform(-300, 300, 30)])
    pulls, pushes = pulls_with_wall(places, k, wall, np.zeros(30), moments)
    for row in range(30):
        one, two = pulls_with_wall(places, k, wall, [0.0], moments[row : row + 1])
        assert pulls[row] == pytest.approx(one[0], abs=1e-8)
        assert pushes[row].sum() == pytest.approx(two.sum(), abs=1e-8)
