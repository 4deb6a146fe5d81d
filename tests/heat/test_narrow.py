from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid

from pourwright.errors import UsageError
from pourwright.heat import (
    FineCells,
    HeatCurve,
    SkinLayer,
    StagedHeat,
    Surroundings,
    cell_error,
    halved,
    heat_grid,
    limb_error,
    limb_history,
    narrow_places,
    s_curve,
    simulate,
    with_limbs,
)

ROOM = 291.15
SKIN = SkinLayer(0.005, 1800.0, 1000.0, 0.25, ROOM)
SHOP = Surroundings(ROOM, 8.0, 2.0)
CELL = 0.0096


@pytest.fixture
def foam(pour):
    return pour(
        start_k=295.15, density_kg_m3=49.7, specific_heat_j_kgk=1750.0, heat_j_kg=255e3, curve=s_curve(40.0, 300.0)
    )


def rod(diameter, cell, length=0.36, shift=0.137):
    """Shares of an upright round bar that lies ``shift`` cells askew."""
    n, parts = int(diameter / cell) + 6, 8
    along = ((np.arange(n * parts) + 0.5) / parts - n / 2 + shift) * cell
    section = (np.hypot(along[:, None], along[None, :]) < diameter / 2).reshape(n, parts, n, parts).mean((1, 3))
    return np.rint(255 * np.repeat(section[:, :, None], round(length / cell), 2)).astype(np.uint8)


def cells_of(share, cell, factor=1):
    return heat_grid(FineCells(share, (share > 0).astype(np.int32), np.array([0]), np.zeros(3), cell), factor=factor)


@pytest.mark.parametrize("along", [0, 2])
@pytest.mark.parametrize("diameter", [0.04, 0.06, 0.1])
def test_a_round_bar_has_its_width_and_its_diameter(along, diameter):
    grid = cells_of(np.moveaxis(rod(diameter, CELL), 2, along).copy(), CELL)
    (place,) = narrow_places(grid)
    assert place.diameter_m == pytest.approx(diameter, rel=0.01)
    assert place.width_m == pytest.approx(diameter, rel=0.06)


def test_a_flat_space_has_its_thickness_whichever_way_it_lies():
    share = np.zeros((30, 30, 9), np.uint8)
    share[2:28, 2:28, 2:6] = 255
    share[2:28, 2:28, 6] = 128  # four cells and a half
    for axis in range(3):
        (place,) = narrow_places(cells_of(np.moveaxis(share, 2, axis).copy(), 0.01))
        assert place.width_m == pytest.approx(0.045, rel=0.01)
        assert place.diameter_m > 2 * place.width_m


def test_a_wide_body_has_no_narrow_place_but_near_its_edges():
    grid = block_grid(np.zeros((30, 30, 30), int), 0.01, skin=("z-",))
    assert narrow_places(grid) == ()


def test_widest_of_several_limbs_counts():
    thin, thick = rod(0.03, CELL), rod(0.06, CELL)
    share = np.zeros((30, 12, thin.shape[2]), np.uint8)
    share[: thin.shape[0], : thin.shape[1]] = thin
    share[15 : 15 + thick.shape[0], : thick.shape[1]] = thick
    place = narrow_places(cells_of(share, CELL))[0]
    assert place.diameter_m == pytest.approx(0.06, rel=0.01)


def test_a_limb_is_hotter_than_its_coarse_cells_say_and_the_history_follows(foam):
    """A round limb of 40 mm on cells of 9.6 mm: its own solution counts, in peak, hours, history and place."""
    grid = cells_of(rod(0.04, CELL), CELL)
    problem = StagedHeat(grid, (foam,), SKIN, SHOP, 3600.0, thresholds_k=(373.15, 393.15))
    plain = simulate(problem)
    both = with_limbs(problem, plain, narrow_places(grid))
    was, now = plain.pours[0], both.pours[0]
    assert now.peak_k > was.peak_k + 5.0
    assert now.across_m == pytest.approx(0.04, rel=0.01)
    assert np.isnan(was.across_m)
    assert all(a > b for a, b in zip(now.hours_above, was.hours_above, strict=True))
    assert np.nanmax(both.core_k) == pytest.approx(now.peak_k, abs=0.3)
    assert np.all(both.core_k >= plain.core_k)
    assert both.mean_k is plain.mean_k
    assert np.linalg.norm(now.peak_point_m[:2] - grid.centres(grid.surface_cell)[:, :2].mean(axis=0)) < 0.01
    assert limb_error(problem, plain, narrow_places(grid)[0]) < 0.3


def test_a_thick_body_stays_as_the_grid_has_it(foam):
    grid = cells_of(np.full((30, 30, 30), 255, np.uint8), 0.01)
    problem = StagedHeat(grid, (foam,), SKIN, SHOP, 1200.0)
    plain = simulate(problem)
    both = with_limbs(problem, plain, narrow_places(grid))
    assert both.pours[0].peak_k == plain.pours[0].peak_k
    assert np.isnan(both.pours[0].across_m)


def test_a_hotter_start_and_another_rise_move_the_limb_as_they_move_the_grid(foam):
    """Linear in the rise and in the start: the same shares as a job whose numbers are scaled."""
    base = limb_history(0.05, True, foam, SKIN, SHOP)
    twice = limb_history(0.05, True, replace(foam, heat_j_kg=2 * foam.heat_j_kg), SKIN, SHOP)
    cold = limb_history(0.05, True, replace(foam, heat_j_kg=0.0), SKIN, SHOP)
    assert twice.axis_k - base.axis_k == pytest.approx(base.axis_k - cold.axis_k, abs=1e-6)
    warm = limb_history(0.05, True, foam, SKIN, SHOP, start_k=foam.start_k + 3.0)
    assert np.all(warm.axis_k >= base.axis_k)
    assert warm.axis_k[0] == pytest.approx(base.axis_k[0] + 3.0)


def test_a_round_limb_is_cooler_than_a_flat_one_and_a_thin_one_than_a_thick_one(foam):
    peaks = {(d, r): limb_history(d, r, foam, SKIN, SHOP).axis_k.max() for d in (0.03, 0.06) for r in (True, False)}
    assert peaks[0.03, True] < peaks[0.03, False] < peaks[0.06, False]
    assert peaks[0.03, True] < peaks[0.06, True] < peaks[0.06, False] < foam.start_k + foam.adiabatic_rise_k


def test_heat_that_comes_at_once_is_there_at_once(foam):
    later, _ = foam.curve.from_share(0.5)
    history = limb_history(0.06, True, replace(foam, curve=later), SKIN, SHOP)
    assert history.axis_k[0] == pytest.approx(foam.start_k + 0.5 * foam.adiabatic_rise_k)


def test_seconds_above_are_those_of_a_fine_count(foam):
    history = limb_history(0.05, True, foam, SKIN, SHOP)
    fine = np.linspace(0.0, 7200.0, 200_001)
    along = np.interp(fine, history.time_s, history.axis_k)
    for limit in (330.0, 380.0, 420.0, 500.0):
        assert history.seconds_above(limit) == pytest.approx((along > limit).mean() * 7200.0, abs=0.1)


def test_limbs_refuse_what_has_no_width(foam):
    with pytest.raises(UsageError, match="width and a wall"):
        limb_history(0.0, True, foam, SKIN, SHOP)


@pytest.mark.parametrize("factor", [1, 2, 3, 4])
def test_cell_error_holds_the_error_of_a_narrow_limb(foam, factor):
    """A bar of 48 mm, coarse cells of 9.6 mm however the fine ones are: what is told covers what is wrong."""
    fine = CELL / factor
    share = rod(0.048, fine, shift=0.137 * factor)
    label, owner = (share > 0).astype(np.int32), np.array([0])
    grid = heat_grid(FineCells(share, label, owner, np.zeros(3), fine), factor=factor)
    problem = StagedHeat(grid, (foam,), SKIN, SHOP, 900.0)
    result = simulate(problem)
    spot = result.pours[0]
    told = cell_error(FineCells(share, label, owner, np.zeros(3), fine), problem, 0, spot.peak_point_m, spot.peak_s)
    wrong = limb_history(0.048, True, foam, SKIN, SHOP).axis_k.max() - result.peak_k
    assert wrong > 1.0
    assert told > 0.6 * wrong


def test_cell_error_of_a_thick_core_is_next_to_nothing(foam):
    share = np.full((40, 40, 40), 255, np.uint8)
    label, owner = np.ones(share.shape, np.int32), np.array([0])
    grid = heat_grid(FineCells(share, label, owner, np.zeros(3), 0.005), factor=2)
    problem = StagedHeat(grid, (foam,), SKIN, SHOP, 900.0)
    spot = simulate(problem).pours[0]
    told = cell_error(FineCells(share, label, owner, np.zeros(3), 0.005), problem, 0, spot.peak_point_m, spot.peak_s)
    assert told < 0.1


def test_error_of_the_cells_falls_with_the_cells(foam):
    """Mean over four ways a 48 mm bar may lie in its cells: order one or better from 9.6 to 2.4 mm."""
    quick = replace(foam, curve=HeatCurve(np.array([0.0, 40.0, 300.0]), np.array([0.0, 0.0, 1.0])))
    known = limb_history(0.048, True, quick, SKIN, SHOP, foam_cells=128).axis_k.max()
    errors = []
    for cell in (0.0096, 0.0048, 0.0024):
        off = [
            known - simulate(StagedHeat(cells_of(rod(0.048, cell, 0.15, s), cell), (quick,), SKIN, SHOP, 600.0)).peak_k
            for s in (0.0, 0.137, 0.3, 0.5)
        ]
        errors.append(np.mean(np.abs(off)))
    order = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all(order > 0.9), errors


def test_halved_cells_are_farther_off(foam):
    grid = cells_of(rod(0.048, 0.0048), 0.0048)
    peaks = [simulate(StagedHeat(g, (foam,), SKIN, SHOP, 600.0)).peak_k for g in (grid, halved(grid))]
    known = limb_history(0.048, True, foam, SKIN, SHOP).axis_k.max()
    assert abs(peaks[0] - known) < abs(peaks[1] - known)


def test_a_thin_tip_changes_neither_peak_nor_skin_of_a_wide_body(foam):
    """The tip of a cone is narrow in its cells; half of the heat is out at once, as in a plan."""
    n = 36
    axis = np.arange(n) + 0.5 - n / 2
    far = np.hypot(axis[:, None, None], axis[None, :, None]) + 0 * axis[None, None, :]
    wide = 0.45 * (np.arange(n) + 0.5)
    grid = cells_of(np.rint(255 * np.clip(0.5 + wide - far, 0, 1)).astype(np.uint8), 0.012)
    later, _ = foam.curve.from_share(0.5)
    problem = StagedHeat(grid, (replace(foam, curve=later),), SKIN, SHOP, 3600.0)
    plain = simulate(problem)
    places = narrow_places(grid)
    assert any(place.few for place in places)
    both = with_limbs(problem, plain, places)
    was, now = plain.pours[0], both.pours[0]
    assert (now.peak_k, now.skin_peak_k, now.hours_above) == (was.peak_k, was.skin_peak_k, was.hours_above)
    assert both.skin_k is plain.skin_k


def test_the_core_of_a_wide_limb_cools_evenly_to_the_end_of_the_account(foam):
    # a bar of 150 by 300 mm on 8 cells across: hot for longer than six hours, less so than between two skins
    share = np.zeros((12, 20, 20), np.uint8)
    share[2:10, 2:18, 2:18] = 255
    grid = cells_of(share, 0.01875)
    problem = StagedHeat(grid, (foam,), SKIN, SHOP, end_s=24 * 3600.0)
    both = with_limbs(problem, simulate(problem), narrow_places(grid))
    late = both.time_s > 2 * 3600.0
    excess = both.core_k[0, late] - ROOM
    rate = -np.diff(np.log(excess)) / np.diff(both.time_s[late])  # a single mode by then: one rate all along
    assert excess[0] > 10
    assert rate.max() < 1.3 * np.median(rate)
