"""Heat led along a rod: against the series for a bar and a fin, and a strip of foam on it solved by scipy's integrator.

Carslaw & Jaeger, Conduction of Heat in Solids: a bar with insulated ends loses its first cosine at the rate
``alpha (pi / L)**2``, and one that gives heat from its side to air at ``h P / (rho c A)`` more (from memory; both are
separable solutions of the heat equation and checked by putting them into it).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.reference.block_grids import block_grid

from pourwright.heat import HeatCurve, PourHeat, SkinLayer, StagedHeat, Surroundings, simulate
from pourwright.heat._led import Led, lead, rods_of
from pourwright.heat._network import build_network
from pourwright.heat.grid import FineCells, heat_grid
from pourwright.irons import Metal, bar, rod, taken_out

STEEL = Metal(7850.0 * 470.0, 50.0)
AIR, HOT, FILM = 293.15, 393.15, 2.0
RHO, CP, K = 40.0, 1500.0, 0.035
CELL, THICK, HIGH, LATER_S, END_S = 0.005, 0.05, 0.25, 3600.0, 4 * 3600.0
WIDE = 0.25 * CELL  # of the bar: its four sides together are as wide as the strip of foam, so section = cell * deep


def _rod(stations, spacing, section, film_w_k=0.0):
    heat = np.full(stations, STEEL.heat_j_m3k * section * spacing)
    pull = np.append(np.full(stations - 1, STEEL.conductivity_w_mk * section / spacing), 0.0)
    led = Led(np.arange(stations), np.arange(stations + 1), heat, pull, np.ones(stations), np.inf)
    return led, heat, np.full(stations, film_w_k)


@pytest.mark.parametrize("film", [0.0, 8.0])
def test_a_cosine_along_a_bar_decays_as_the_series_says(film):
    length, side, stations = 0.4, 0.02, 200
    spacing = length / stations
    x = (np.arange(stations) + 0.5) * spacing
    led, heat, loss = _rod(stations, spacing, side**2, film * 4 * side * spacing)
    metal = AIR + 50.0 + 30.0 * np.cos(np.pi * x / length)
    before, lost = float(heat @ metal), 0.0
    for _ in range(120):
        lost += lead(led, metal, heat, loss, AIR, 10.0)
    alpha = STEEL.conductivity_w_mk / STEEL.heat_j_m3k
    slow = film * 4 / (STEEL.heat_j_m3k * side)
    fast = slow + alpha * (np.pi / length) ** 2
    due = AIR + 50.0 * np.exp(-slow * 1200.0) + 30.0 * np.exp(-fast * 1200.0) * np.cos(np.pi * x / length)
    assert metal == pytest.approx(due, abs=0.01)
    assert float(heat @ metal) + lost == pytest.approx(before, rel=1e-12)


def test_its_error_falls_with_the_square_of_the_step():
    length, side, stations = 0.4, 0.02, 100
    spacing = length / stations
    x = (np.arange(stations) + 0.5) * spacing
    led, heat, none = _rod(stations, spacing, side**2)
    # of these stations, not of the bar: only time is cut
    rate = 4 * STEEL.conductivity_w_mk / STEEL.heat_j_m3k / spacing**2 * np.sin(0.5 * np.pi / stations) ** 2
    errors = []
    for steps in (4, 8, 16):
        metal = AIR + 30.0 * np.cos(np.pi * x / length)
        for _ in range(steps):
            lead(led, metal, heat, none, AIR, 1200.0 / steps)
        errors.append(np.abs(metal - AIR - 30.0 * np.exp(-rate * 1200.0) * np.cos(np.pi * x / length)).max())
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.25)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.15)


def _ours(metal=STEEL):
    """A strip of foam on a thin bar, hot below; its upper half is poured later, and cold."""
    across, up = round(THICK / CELL), round(HIGH / CELL)
    pour = np.zeros((across, 1, 2 * up), int)
    pour[:, :, up:] = 1
    grid = block_grid(pour, CELL, skin=("x+",))
    grid = replace(grid, surface_iron=np.zeros(len(grid.surface_cell), np.int16))
    middle = float(grid.origin_m[2]) + CELL * (1 + up)
    iron = bar("rod", [0, 0, middle - 2.0], [0, 0, middle + 2.0], WIDE, WIDE, metal)
    curve = HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0]))
    pours = [
        PourHeat(str(k), k + 1, start_s, start_k, RHO, CP, K, 0.0, curve)
        for k, (start_s, start_k) in enumerate([(0.0, HOT), (LATER_S, AIR)])
    ]
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, AIR)
    air = Surroundings(AIR, 8.0, FILM)
    return simulate(StagedHeat(grid, tuple(pours), skin, air, END_S, irons=(iron,)))


def _scipy():
    """Means of both halves at the end, by lines across and along, the bar one temperature across."""
    nx, nz = 20, 100
    dx, dz, half = THICK / nx, 2 * HIGH / nz, nz // 2
    foam_heat, bar_heat = RHO * CP * dx * dz * CELL, STEEL.heat_j_m3k * WIDE**2 * dz
    joint = CELL * dz / (0.5 * dx / K + 0.5 * (WIDE / 4) / STEEL.conductivity_w_mk)

    def rate(_, y, filled):
        foam, rod = y[:-nz].reshape(nx, nz)[:, :filled], y[-nz:]
        gain, metal = np.zeros((nx, nz)), np.zeros(nz)
        level = K * CELL * dz * np.diff(foam, axis=0) / dx
        upright = K * CELL * dx * np.diff(foam, axis=1) / dz
        gain[:-1, :filled] += level
        gain[1:, :filled] -= level
        gain[:, : filled - 1] += upright
        gain[:, 1:filled] -= upright
        if filled < nz:
            gain[:, filled - 1] -= CELL * dx * (foam[:, -1] - AIR) / (0.5 * dz / K + 1 / FILM)
            metal[filled:] -= FILM * 4 * WIDE * dz * (rod[filled:] - AIR)
        across = joint * (foam[-1] - rod[:filled])
        gain[-1, :filled] -= across
        metal[:filled] += across
        along = STEEL.conductivity_w_mk * WIDE**2 * np.diff(rod) / dz
        metal[:-1] += along
        metal[1:] -= along
        return np.append(gain.ravel() / foam_heat, metal / bar_heat)

    foam = np.full((nx, nz), AIR)
    foam[:, :half] = HOT
    y = np.append(foam.ravel(), np.full(nz, AIR))
    for span, filled in (((0.0, LATER_S), half), ((LATER_S, END_S), nz)):
        y = solve_ivp(rate, span, y, args=(filled,), method="LSODA", rtol=1e-6, atol=1e-5, lband=nz, uband=nz).y[:, -1]
    foam = y[:-nz].reshape(nx, nz)
    return foam[:, :half].mean(), foam[:, half:].mean()


@pytest.mark.parametrize("cell_m", [0.008, 0.012])
def test_a_rod_holds_the_heat_of_its_metal_whatever_its_cells_see_of_it(cell_m):
    """A rod of 25 mm in a block of 120 mm by 120 by 400: steel by volume, on cells much and little finer than it."""
    size = np.array([0.12, 0.12, 0.40])
    shape = np.round(size / cell_m).astype(int)
    iron = rod("rod", [0.06, 0.06, 0.0], [0.06, 0.06, 0.4], 0.025, STEEL)
    fraction = np.full(shape, 255, np.uint8)
    taken_out([iron], fraction, np.zeros(3), cell_m)
    label = np.where(fraction > 0, 1, 0).astype(np.int32)
    grid = heat_grid(FineCells(fraction, label, np.zeros(1, int), np.zeros(3), cell_m), irons=(iron,), factor=1)
    assert (grid.surface_iron == 0).any()
    curve = HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0]))
    pour = PourHeat("1", 1, 0.0, HOT, RHO, CP, K, 0.0, curve)
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, AIR)
    problem = StagedHeat(grid, (pour,), skin, Surroundings(AIR), 1.0, irons=(iron,))
    led = rods_of(problem, build_network(problem))
    due = STEEL.heat_j_m3k * np.pi * 0.0125**2 * cell_m
    assert np.median(led.heat) == pytest.approx(due, rel=1e-6)
    assert led.heat.sum() == pytest.approx(due * shape[2], rel=0.08)
    assert led.area.sum() == pytest.approx(np.pi * 0.025 * 0.4, rel=0.08)


def test_a_bar_through_two_lifts_warms_the_upper_from_the_lower():
    lower, upper = _scipy()
    got = _ours()
    assert got.mean_k[0, -1] == pytest.approx(lower, abs=0.3)
    assert got.mean_k[1, -1] == pytest.approx(upper, abs=0.3)
    assert got.stored_j == pytest.approx(-got.lost_j, rel=3e-3)  # it leaves by the top and by the bare bar
    without = _ours(replace(STEEL, conductivity_w_mk=1e-3))
    assert without.mean_k[1, -1] < upper - 1.5
