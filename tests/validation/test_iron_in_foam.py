"""Steel in hot foam: the layer of metal against one dimension solved by scipy's integrator for stiff equations.

The metal is one temperature, joined to the foam's last cell face; the foam is cut a hundred times as finely as ours.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.reference.block_grids import block_grid

from pourwright.heat import HeatCurve, PourHeat, SkinLayer, StagedHeat, Surroundings, simulate
from pourwright.irons import Metal, bar

THICK, STEEL_M, AIR, HOT = 0.05, 0.004, 293.15, 393.15
RHO, CP, K = 40.0, 1500.0, 0.035
STEEL = Metal(7850.0 * 470.0, 50.0)


def _ours(time, metal=STEEL):
    cells = 20
    grid = block_grid(np.zeros((1, 1, cells), int), THICK / cells, skin=("z+",))
    grid = replace(grid, surface_iron=np.zeros(1, np.int16))
    # a wide plate: volume over the surface of its two sides is half its thickness
    plate = bar("plate", [0, 0, 0], [0, 0, 1e6], 1e6, 2.0 * STEEL_M, metal)
    assert plate.deep_m == pytest.approx(STEEL_M)
    pour = PourHeat("1", 1, 0.0, HOT, RHO, CP, K, 0.0, HeatCurve(np.array([0.0, 1.0]), np.array([0.0, 1.0])))
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, AIR)
    return simulate(StagedHeat(grid, (pour,), skin, Surroundings(AIR, 8.0), time, irons=(plate,)))


def _scipy(time):
    n = 400
    dx = THICK / n

    def rate(_, y):
        foam, steel = y[:-1], y[-1]
        flow = K * np.diff(foam) / dx  # upwards is positive into the lower cell
        last = (foam[-1] - steel) / (0.5 * dx / K + 0.5 * STEEL_M / STEEL.conductivity_w_mk)
        gain = np.zeros(n)
        gain[:-1] += flow
        gain[1:] -= flow
        gain[-1] -= last
        return np.append(gain / (RHO * CP * dx), last / (STEEL_M * STEEL.heat_j_m3k))

    start = np.append(np.full(n, HOT), AIR)
    y = solve_ivp(rate, (0.0, time), start, method="BDF", rtol=1e-8, atol=1e-6).y[:, -1]
    return y[:-1].max(), y[:-1].mean(), y[-1]


@pytest.mark.parametrize("hours", [0.25, 1.0, 4.0])
def test_foam_gives_its_heat_to_the_steel_and_the_steel_none_to_the_air(hours):
    core, mean, _ = _scipy(3600.0 * hours)
    got = _ours(3600.0 * hours)
    assert got.core_k[0, -1] == pytest.approx(core, abs=0.25)
    assert got.mean_k[0, -1] == pytest.approx(mean, abs=0.25)
    assert got.lost_j == pytest.approx(0.0, abs=1e-6)
    assert abs(got.energy_residual) < 1e-6 or got.stored_j == pytest.approx(0.0, abs=1e-3 * RHO * CP * THICK**3 * 100)
    assert np.isnan(got.skin_peak_k)  # steel is no skin, and not judged by the skin's limit


def test_what_is_no_steel_takes_nothing():
    got = _ours(3600.0, Metal())
    assert got.mean_k[0, -1] == pytest.approx(HOT, abs=1e-9)
