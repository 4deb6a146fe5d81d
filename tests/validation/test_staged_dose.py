"""Dose of staged pours against an independent integration of the heat equation.

A wide stack between two light skins is poured lift by lift; its open face loses heat through a film until it is
covered, its floor and its last top through skin and air all the time. The reference is the method of lines on a fine
1-D mesh with scipy's implicit integrator (BDF), written for this test from the heat equation alone; it shares nothing
with the kernels that the search uses.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pourwright.cavity import limbs_of
from pourwright.day.body import Body, Heat, Source, slabs_of
from pourwright.heat import HeatCurve, SkinLayer, Surroundings

DENSITY, HEAT, CONDUCTIVITY = 49.7, 1750.0, 0.030
START_K, AIR_K, LIMIT_K = 294.15, 291.15, 423.15
CURVE = HeatCurve(np.array([0.0, 40.0, 300.0]), np.array([0.0, 0.0, 1.0]))
CELL = 0.008


WALL_M, WALL_K, OUTSIDE = 0.005, 0.2, 8.0


def reference(thick_m, start_s, rise_k, film, end_s, fine=0.002):
    """Hours above the limit of the worst point of a stack of lifts, by the method of lines."""
    cells = [round(t / fine) for t in thick_m]
    owner = np.repeat(np.arange(len(cells)), cells)
    temperature = np.full(len(owner), AIR_K)
    alpha = CONDUCTIVITY / (DENSITY * HEAT)
    open_face = 1.0 / (0.5 * fine / CONDUCTIVITY + 1.0 / film) / (DENSITY * HEAT * fine)
    wall = 1.0 / (0.5 * fine / CONDUCTIVITY + WALL_M / WALL_K + 1.0 / OUTSIDE) / (DENSITY * HEAT * fine)
    above = np.zeros(len(owner))
    times = [*start_s, end_s]
    for k, (begin, end) in enumerate(itertools.pairwise(times)):
        n = int((owner <= k).sum())
        temperature[owner == k] = START_K
        starts = np.array(start_s)[owner[:n]]
        last = k == len(start_s) - 1

        def change(t, y, starts=starts, last=last):
            share = np.where((t > starts + 40.0) & (t < starts + 300.0), 1.0 / 260.0, 0.0)
            out = rise_k * share
            flow = alpha / fine**2 * np.diff(y)
            out[:-1] += flow
            out[1:] -= flow
            out[0] += wall * (AIR_K - y[0])
            out[-1] += (wall if last else open_face) * (AIR_K - y[-1])
            return out

        band = np.array([begin, *[m for s in start_s for m in (s + 40.0, s + 300.0) if begin < m < end], end])
        for a, b in zip(np.unique(band), np.unique(band)[1:], strict=False):
            grid = np.linspace(a, b, max(3, int((b - a) / 10.0)))
            solved = solve_ivp(
                change, (a, b), temperature[:n], method="BDF", t_eval=grid, rtol=1e-6, atol=1e-4,
                jac_sparsity=np.eye(n) + np.eye(n, k=1) + np.eye(n, k=-1),
            )  # fmt: skip
            hot = solved.y > LIMIT_K
            above[:n] += np.diff(grid) @ (0.5 * (hot[:, 1:].T.astype(float) + hot[:, :-1].T))
            temperature[:n] = solved.y[:, -1]
    return above.max() / 3600.0


def ours(cells, thick_m, start_s, rise_k, film, high_k=None):
    """The same from the search's own cells; with ``high_k`` the dose at that rise by the same march."""
    levels = [round(t / CELL) for t in thick_m]
    mask = np.ones((72, 72, sum(levels)), bool)
    cavity, graph = cells(mask, CELL, CELL)
    limbs = limbs_of(graph, 0.0)
    slabs = slabs_of(graph, limbs, 1)
    source = Source(Heat(rise_k, high_k or rise_k), START_K, DENSITY, HEAT, CONDUCTIVITY, CURVE, LIMIT_K)
    skin = SkinLayer(WALL_M, 1.0, 1.0, WALL_K, AIR_K)
    body = Body(cavity, graph, slabs, source, skin, Surroundings(AIR_K, OUTSIDE, film), (1, 1))
    found = body.dose(np.repeat(start_s, levels))
    return found.worst_h if high_k is None else float(found.high_h.max())


@pytest.mark.parametrize(
    ("thick", "waits", "film"),
    [
        ([0.096, 0.096, 0.096], [1800, 1800], 2.0),
        ([0.128, 0.112, 0.096, 0.080], [2400, 1500, 900], 5.0),
        ([0.112, 0.112], [5400], 2.0),
    ],
    ids=["three even", "four uneven", "two"],
)
def test_the_dose_of_a_stack_is_within_three_percent_or_two_minutes(cells, thick, waits, film):
    starts = np.concatenate([[0.0], np.cumsum(waits)])
    told = ours(cells, thick, starts, 147.0, film)
    known = reference(thick, starts.tolist(), 147.0, film, 12 * 3600.0)
    assert told == pytest.approx(known, rel=0.03, abs=2 / 60)


def test_one_march_tells_the_dose_at_the_high_rise_too(cells):
    # all starts at one temperature: what is above 150 degC with 165 K is above a lower temperature with 140 K
    thick, starts = [0.096, 0.096, 0.096], [0.0, 1800.0, 3600.0]
    told = ours(cells, thick, starts, 140.0, 2.0, high_k=165.0)
    known = reference(thick, starts, 165.0, 2.0, 12 * 3600.0)
    assert told == pytest.approx(known, rel=0.03, abs=2 / 60)
    assert told > 1.3 * ours(cells, thick, starts, 140.0, 2.0)
