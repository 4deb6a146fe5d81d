"""Foam and its skin as a composite slab, after Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959.

Section 2.14 and chapter 12 treat such walls of several layers (from memory); the eigenfunctions are written out here,
with two layers that both hold heat and a film. Dropping any one resistance between foam and air (half of a heat cell,
either half of the skin, the film), or the skin's heat, moves what is compared by more than is allowed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from block_grids import block_grid
from scipy.optimize import brentq

from pourwright.heat import HeatCurve, HeatSettings, PourHeat, SkinLayer, StagedHeat, Surroundings, simulate

AIR, HOT = 300.0, 400.0
K, RHO, CP = 0.03, 48.06, 1800.0
FINE = HeatSettings(0.05, 0.03, 1.0, 300.0)
AT_ONCE = HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0]))


@dataclass(frozen=True)
class Wall:
    """A skin with the film on it."""

    thick: float
    k: float
    rho: float
    cp: float
    film: float


LAMINATE = Wall(0.005, 0.20, 1800.0, 1000.0, 8.0)
SANDWICH = Wall(0.008, 0.05, 150.0, 1200.0, 8.0)  # a light panel: each half of it resists as much as the film
WINDY = Wall(0.006, 0.20, 950.0, 1900.0, 30.0)  # the halves of a plastic skin beside a thin film


def roots(thick, wall, count=150):
    """Rates [1/s] of the modes: no heat at x = 0, foam to x = ``thick``, then the wall, then the film."""
    wave = np.sqrt(RHO * CP / K), np.sqrt(wall.rho * wall.cp / wall.k)

    def film_balance(root):
        value, slope = at_film(root, thick, wall, wave)
        return wall.k * slope + wall.film * value

    scan = np.linspace(1e-7, count * np.pi / (wave[0] * thick), 40 * count)
    values = np.array([film_balance(root) for root in scan])
    turns = np.flatnonzero(values[1:] * values[:-1] < 0)
    return np.array([brentq(film_balance, scan[i], scan[i + 1], xtol=1e-15) for i in turns])


def at_film(root, thick, wall, wave):
    """Value and slope of the mode at the outer face of the wall."""
    a, b = face(root, thick, wall, wave)
    p = wave[1] * root
    c, s = np.cos(p * wall.thick), np.sin(p * wall.thick)
    return a * c + b * s, p * (-a * s + b * c)


def face(root, thick, wall, wave):
    """The mode in the wall is a cos + b sin of the depth: same temperature and same flow on both sides of the face."""
    q, p = wave[0] * root, wave[1] * root
    return np.cos(q * thick), -K * q * np.sin(q * thick) / (wall.k * p)


def exact(thick, wall, time):
    """Shares of the foam's first excess: at x = 0, mean of the foam, at the face between foam and wall."""
    wave = np.sqrt(RHO * CP / K), np.sqrt(wall.rho * wall.cp / wall.k)
    root = roots(thick, wall)
    a, b = face(root, thick, wall, wave)
    q, p, w = wave[0] * root, wave[1] * root, wall.thick
    foam = RHO * CP * (thick / 2 + np.sin(2 * q * thick) / (4 * q))
    cosines, sines = w / 2 + np.sin(2 * p * w) / (4 * p), w / 2 - np.sin(2 * p * w) / (4 * p)
    norm = foam + wall.rho * wall.cp * (a**2 * cosines + b**2 * sines + a * b * np.sin(p * w) ** 2 / p)
    held = np.sin(q * thick) / q
    left = RHO * CP * held / norm * np.exp(-(root**2) * time)
    return left.sum(), (left * held).sum() / thick, (left * a).sum()


def ours(thick, cells, wall, time):
    grid = block_grid(np.zeros((1, 1, cells), int), thick / cells, skin=("z+",))
    pour = PourHeat("1", 1, 0.0, HOT, RHO, CP, K, 0.0, AT_ONCE)
    skin = SkinLayer(wall.thick, wall.rho, wall.cp, wall.k, AIR)
    result = simulate(StagedHeat(grid, (pour,), skin, Surroundings(AIR, wall.film), time, settings=FINE))
    return [(history[0, -1] - AIR) / (HOT - AIR) for history in (result.core_k, result.mean_k, result.skin_k)]


def test_series_starts_at_the_hot_foam_and_the_cold_wall():
    """And keeps the heat that a slab with one face held keeps, where wall and film resist nothing."""
    assert exact(0.1, LAMINATE, 1.0)[1] == pytest.approx(1.0, abs=0.01)
    bare = Wall(1e-4, 10.0, 1.0, 1.0, 1e5)
    n = np.arange(60)
    fo = 0.2
    known = 8 / np.pi**2 * np.sum(np.exp(-((2 * n + 1) ** 2) * np.pi**2 * fo / 4) / (2 * n + 1) ** 2)
    assert exact(0.1, bare, fo * 0.1**2 * RHO * CP / K)[1] == pytest.approx(known, abs=1e-4)


@pytest.mark.parametrize("wall", [LAMINATE, SANDWICH, WINDY], ids=["laminate", "sandwich", "windy"])
@pytest.mark.parametrize("hours", [0.5, 1.0, 2.0])
def test_foam_and_skin_cool_as_the_series_says(wall, hours):
    """60 mm of foam: core, mean and the skin's inner face, on cells of 5 mm: 0.15 % of the first excess, 1 %."""
    core, mean, inner = exact(0.06, wall, 3600 * hours)
    got = ours(0.06, 12, wall, 3600 * hours)
    assert got[0] == pytest.approx(core, abs=0.0015)
    assert got[1] == pytest.approx(mean, abs=0.0015)
    assert got[2] == pytest.approx(inner, rel=0.01)
