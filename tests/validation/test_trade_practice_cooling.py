"""What shops say of 3 lb/ft3 foam (common practice, no source), and of thin passes.

A casting of hand size is cool enough to handle after 20 to 30 minutes, while a foot of foam stays hot for hours.
Sprayed passes of 38 mm follow each other after 10 to 15 minutes (a trade article, read).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid
from scipy.optimize import brentq

from pourwright.heat import (
    Dose,
    FineCells,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitRule,
    find_waits,
    heat_grid,
    s_curve,
    simulate,
)

ROOM = 295.4
OPEN = Surroundings(ROOM, inside_film_w_m2k=5.0)  # its top lies open to the shop
FOAM = PourHeat("1", 1, 0.0, ROOM, 48.06, 1800.0, 0.030, 210e3, s_curve(40.0, 300.0))


def test_casting_of_hand_size_can_be_handled_in_half_an_hour():
    radius, cell = 0.05, 0.004
    n = 32
    axis = (np.arange(n) + 0.5 - n / 2) * cell
    r = np.sqrt(axis[:, None, None] ** 2 + axis[None, :, None] ** 2 + axis[None, None, :] ** 2)
    share = np.rint(255 * np.clip(0.5 + (radius - r) / cell, 0, 1)).astype(np.uint8)
    grid = heat_grid(FineCells(share, (share > 0).astype(np.int32), np.zeros(1, int), np.zeros(3), cell))
    # Cast in a thin mould: 1 mm of polyethylene.
    result = simulate(StagedHeat(grid, (FOAM,), SkinLayer(0.001, 935.0, 2100.0, 0.4, ROOM), Surroundings(ROOM), 1800.0))
    face = np.interp(1500.0, result.time_s, result.skin_k[0]) - 273.15
    assert face < 45.0  # what a hand holds
    assert result.pours[0].peak_k - 273.15 > 120.0  # though it was hot inside
    assert result.core_k[0, -1] - 273.15 < 80.0


def test_a_foot_of_foam_does_not_cool_in_half_an_hour():
    grid = block_grid(np.append(np.zeros(60, int), -2)[None, None, :], 0.305 / 60, skin=("z-",))
    skin = SkinLayer(0.005, 1800.0, 1000.0, 0.25, ROOM)
    result = simulate(StagedHeat(grid, (FOAM,), skin, OPEN, 4 * 3600.0))
    core = np.interp([1800.0, 4 * 3600.0], result.time_s, result.core_k[0]) - 273.15
    assert core[0] > 130.0
    assert core[1] > 80.0
    assert np.interp(1800.0, result.time_s, result.top_k[0]) - 273.15 < 45.0  # and its face says nothing of it


def _half_left(thick: float) -> float:
    """Time [s] until half of the excess is left in the middle of a slab with both faces held; by its series."""
    n = np.arange(60)

    def centre(fo: float) -> float:
        return float(
            np.sum(4 * (-1.0) ** n / ((2 * n + 1) * np.pi) * np.exp(-((2 * n + 1) ** 2) * np.pi**2 * fo))
        )  # fmt: skip

    alpha = FOAM.conductivity_w_mk / (FOAM.density_kg_m3 * FOAM.specific_heat_j_kgk)
    return float(brentq(lambda fo: centre(fo) - 0.5, 0.02, 0.5)) * thick**2 / alpha


@pytest.mark.parametrize("film", [5.0, 8.0])
@pytest.mark.parametrize(
    "wall", [SkinLayer(0.005, 1800.0, 1000.0, 0.25, ROOM), SkinLayer(0.012, 600.0, 1700.0, 0.12, ROOM)]
)
def test_wait_of_a_38_mm_lift_lies_between_two_ideal_cases_that_bracket_practice(film, wall):
    """Both faces held at the shop's temperature, or the lower one passing no heat, until half of the rise has left.

    Half is our choice; what practice waits for is not said. Nothing of a lift so thin is above 150 °C for long, so
    that the rules of a plan ask for no more than its shortest wait.
    """
    thick, cells = 0.038, 19
    quick = _half_left(thick)
    slow = 4 * quick  # as a slab twice as thick
    assert quick < 600.0
    assert slow > 900.0
    grid = block_grid(np.repeat([0, 1], cells)[None, None, :], thick / cells, skin=("z-",))
    first = replace(FOAM, specific_heat_j_kgk=1750.0, heat_j_kg=255e3)
    pours = (first, replace(first, name="2", lift=2, start_s=1.0))
    problem = StagedHeat(grid, pours, wall, Surroundings(ROOM, 8.0, film), 4 * 3600.0)
    (wait,) = find_waits(problem, WaitRule(centre_share=0.5, shortest_s=60.0, grain_s=10.0)).waits
    assert wait.bound == "centre share"
    assert quick < wait.seconds < slow
    (wait,) = find_waits(problem, WaitRule(surface_under_k=ROOM + 80.0, doses=(Dose(423.15, 3240.0),))).waits
    assert wait.bound == "shortest"
    assert quick < wait.seconds < slow
