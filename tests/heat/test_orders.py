"""Observed orders: manufactured and exact solutions on finer and finer cells and steps."""

from __future__ import annotations

import numpy as np
import pytest
from block_grids import block_grid
from scipy.optimize import brentq

from pourwright.heat import (
    HeatCurve,
    HeatSettings,
    SkinLayer,
    StagedHeat,
    Surroundings,
    simulate,
)
from pourwright.heat._march import March, rkl2, stages_for
from pourwright.heat._team import Team

AIR = 300.0
SKIN = SkinLayer(0.004, 1800.0, 1000.0, 0.25, AIR)
FINE = HeatSettings(curve_share=0.02, growth=1.0, first_step_s=30.0, longest_step_s=30.0)


def _field(problem: StagedHeat) -> np.ndarray:
    """Temperatures at the end, in the order of the grid's foam cells."""
    with Team(1) as team:
        march = March(problem, team)
        march.start_pours(len(problem.pours))
        while march.time < problem.end_s - 1e-9:
            march.advance(min(march.longest_step(), problem.end_s - march.time))
        out = np.full(problem.grid.pour.size, np.nan)
        out[march.net.flat] = march.now[:-1]
    return out.reshape(problem.grid.shape)[1:-1, 1:-1, 1:-1]


def _order(errors: list[float]) -> np.ndarray:
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


def test_manufactured_solution_is_second_order_in_space(pour):
    """T = 300 + 20 cos(2 pi x/a) cos(pi y/b) cos(pi z/c) exp(-lambda t) + rise q(t), no heat through the faces."""
    a, b, c = 0.32, 0.24, 0.16
    foam = pour(start_k=AIR, heat_j_kg=180e3, curve=HeatCurve(np.array([100.0, 1500.0]), np.array([0.0, 1.0])))
    alpha = 0.03 / (48.06 * 1800)
    rate = alpha * np.pi**2 * (4 / a**2 + 1 / b**2 + 1 / c**2)
    end = 2400.0
    errors = []
    for n in (2, 4, 8):
        cell = 0.04 / n
        grid = block_grid(np.zeros((8 * n, 6 * n, 4 * n), int), cell)
        x, y, z = np.meshgrid(*((np.arange(k) + 0.5) * cell for k in (8 * n, 6 * n, 4 * n)), indexing="ij")
        mode = 20 * np.cos(2 * np.pi * x / a) * np.cos(np.pi * y / b) * np.cos(np.pi * z / c)
        problem = StagedHeat(
            grid, (foam,), SKIN, Surroundings(AIR), end, settings=FINE, start_field_k=np.pad(AIR + mode, 1)
        )
        exact = AIR + mode * np.exp(-rate * end) + 100.0
        errors.append(float(np.abs(_field(problem) - exact).max()))
    assert errors[-1] < 20 * 0.002
    assert _order(errors) == pytest.approx(2.0, abs=0.1)


def test_two_foams_side_by_side_are_second_order(pour):
    """Eigenfunction of a slab of two materials, outer faces adiabatic: k1 b1 tan(b1 L) = -k2 b2 tan(b2 L)."""
    length = 0.1
    k = np.array([0.03, 0.06])
    alpha = k / (np.array([48.0, 160.0]) * 1800)

    def off(rate: float) -> float:
        b = np.sqrt(rate / alpha)
        return k[0] * b[0] * np.sin(b[0] * length) * np.cos(b[1] * length) + k[1] * b[1] * np.sin(
            b[1] * length
        ) * np.cos(b[0] * length)

    scan = np.linspace(1e-6, 4e-4, 400)
    values = [off(s) for s in scan]
    first = next(i for i in range(len(scan) - 1) if values[i] * values[i + 1] < 0)
    rate = brentq(off, scan[first], scan[first + 1], xtol=1e-16)
    b = np.sqrt(rate / alpha)
    end = 1800.0
    errors = []
    for n in (8, 16, 32):
        cell = length / n
        x = (np.arange(2 * n) + 0.5) * cell
        shape = np.where(
            x < length,
            np.cos(b[0] * x) / np.cos(b[0] * length),
            np.cos(b[1] * (2 * length - x)) / np.cos(b[1] * length),
        )
        start = AIR + 10 * shape
        grid = block_grid((np.arange(2 * n) >= n).astype(int)[:, None, None], cell)
        pours = (
            pour(density_kg_m3=48.0, conductivity_w_mk=k[0]),
            pour(name="2", density_kg_m3=160.0, conductivity_w_mk=k[1]),
        )
        problem = StagedHeat(
            grid, pours, SKIN, Surroundings(AIR), end, settings=FINE, start_field_k=np.pad(start[:, None, None], 1)
        )
        errors.append(float(np.abs(_field(problem).ravel() - AIR - 10 * shape * np.exp(-rate * end)).max()))
    assert _order(errors) == pytest.approx(2.0, abs=0.15)


def test_air_film_is_second_order(pour):
    """Slab cooled by a film on one face: cos(b x) exp(-alpha b^2 t) with b tan(b L) = h/k."""
    length, film, k = 0.1, 8.0, 0.03
    alpha = k / (48.06 * 1800)
    b = brentq(lambda v: v * np.sin(v * length) - film / k * np.cos(v * length), 1e-6, 0.5 * np.pi / length)
    end, errors = 3600.0, []
    for n in (8, 16, 32):
        cell = length / n
        x = (np.arange(n) + 0.5) * cell
        start = AIR + 50 * np.cos(b * x)
        grid = block_grid(np.zeros((n, 1, 1), int), cell, air=("x+",))
        problem = StagedHeat(
            grid, (pour(),), SKIN, Surroundings(AIR, film, film), end, settings=FINE,
            start_field_k=np.pad(start[:, None, None], 1),
        )  # fmt: skip
        exact = AIR + 50 * np.cos(b * x) * np.exp(-alpha * b * b * end)
        errors.append(float(np.abs(_field(problem).ravel() - exact).max()))
    assert errors[-1] < 0.01
    assert _order(errors) == pytest.approx(2.0, abs=0.15)


def test_time_stepping_is_second_order(pour):
    n, cell = 16, 0.01
    x = (np.arange(n) + 0.5) * cell
    mode = 50 * np.cos(np.pi * x / (n * cell))
    alpha = 0.03 / (48.06 * 1800)
    rate = alpha * 4 / cell**2 * np.sin(np.pi / (2 * n)) ** 2  # of the cells themselves: only the error of time is left
    grid = block_grid(np.zeros((n, 1, 1), int), cell)
    end, errors = 28_800.0, []
    for step in (3600.0, 1800.0, 900.0):
        settings = HeatSettings(1.0, 1.0, step, step)
        problem = StagedHeat(
            grid, (pour(),), SKIN, Surroundings(AIR), end, settings=settings,
            start_field_k=np.pad((AIR + mode)[:, None, None], 1),
        )  # fmt: skip
        errors.append(float(np.abs(_field(problem).ravel() - AIR - mode * np.exp(-rate * end)).max()))
    assert _order(errors) == pytest.approx(2.0, abs=0.2)


@pytest.mark.parametrize("stages", [3, 5, 9, 15, 31])
def test_scheme_follows_exp_to_second_order_and_is_stable(stages):
    first, rows = rkl2(stages)

    def growth(z: np.ndarray) -> np.ndarray:
        y0 = np.ones_like(z)
        last, before = 1 + first * z, y0
        for mu, nu, rest, slope, gamma in rows:
            last, before = mu * last + nu * before + rest + slope * z * last + gamma * z, last
        return last

    small = np.array([-0.1, -0.05])
    error = np.abs(growth(small) - np.exp(small))
    assert np.log2(error[0] / error[1]) == pytest.approx(3.0, abs=0.15)  # one step: local error of order three
    edge = (stages**2 + stages - 2) / 2
    assert np.abs(growth(-np.linspace(0, edge, 4001))).max() <= 1 + 1e-9
    assert abs(growth(np.array([-1.5 * edge]))[0]) > 1  # and not much farther


@pytest.mark.parametrize("step", [0.1, 5.0, 100.0, 3600.0, 86_400.0])
def test_number_of_stages_is_the_least_that_is_stable(step):
    stiffest = 0.12
    stages = stages_for(step, stiffest)
    assert stages % 2 == 1
    assert step <= 2 / stiffest * (stages**2 + stages - 2) / 4
    if stages > 3:
        fewer = stages - 2
        assert 0.98 * 2 / stiffest * (fewer**2 + fewer - 2) / 4 < step


def test_default_steps_are_as_good_as_much_finer_ones(pour):
    """A reacting slab in air behind skin, three lifts: the default steps against ten times finer ones."""
    grid = block_grid(np.repeat([0, 1, 2], 10)[:, None, None], 0.01, skin=("x-",))
    curve = HeatCurve(np.array([0.0, 40.0, 170.0, 300.0]), np.array([0.0, 0.0, 0.5, 1.0]))
    pours = tuple(
        pour(name=str(i), lift=i, start_s=3600.0 * i, start_k=295.0, heat_j_kg=210e3, curve=curve) for i in range(3)
    )
    results = [
        simulate(StagedHeat(grid, pours, SKIN, Surroundings(AIR), 86_400.0, settings=s))
        for s in (HeatSettings(), HeatSettings(0.005, 0.01, 1.0, 60.0))
    ]
    for coarse, fine in zip(results[0].pours, results[1].pours, strict=True):
        assert coarse.peak_k == pytest.approx(fine.peak_k, abs=0.2)
        assert coarse.top_peak_k == pytest.approx(fine.top_peak_k, abs=0.3, nan_ok=True)
    assert results[0].pours[0].skin_peak_k == pytest.approx(results[1].pours[0].skin_peak_k, abs=0.1)
    for name in ("core_k", "mean_k", "top_k", "skin_k"):
        for p in range(3):
            coarse, fine = getattr(results[0], name)[p], getattr(results[1], name)[p]
            seen = np.isfinite(coarse) & (results[0].time_s > pours[p].start_s)
            along = np.interp(results[0].time_s[seen], results[1].time_s, fine)
            # A top that was covered ends in nan: compare what both runs saw.
            both = np.isfinite(along)
            off = np.abs(coarse[seen][both] - along[both])
            assert off.size or name in ("top_k", "skin_k")
            assert np.all(off < 0.3), (name, off.max())
