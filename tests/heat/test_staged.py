from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid

from pourwright.errors import UsageError
from pourwright.heat import (
    HeatCurve,
    SkinLayer,
    StagedHeat,
    Surroundings,
    _march,
    find_waits,
    s_curve,
    simulate,
)

ROOM = 295.0
SKIN = SkinLayer(0.004, 1800.0, 1000.0, 0.25, ROOM)
CURVE = s_curve(40.0, 300.0)
HOUR = 3600.0


@pytest.fixture
def foam(pour):
    return pour(start_k=ROOM, heat_j_kg=210e3, curve=CURVE)


def _column(foam, lifts=3, cells=8, cell=0.02, wait=HOUR, end=24 * HOUR, skin_on=("x-", "x+"), side=6, **changes):
    """A square column of ``lifts`` lifts with skin on two sides, or where told; air above each lift."""
    layers = np.append(np.repeat(np.arange(lifts), cells), -2)
    grid = block_grid(np.broadcast_to(layers, (side, side, len(layers))), cell, skin=skin_on)
    pours = tuple(replace(foam, name=f"{n + 1}", lift=n + 1, start_s=n * wait) for n in range(lifts))
    return replace(StagedHeat(grid, pours, SKIN, Surroundings(ROOM), end), **changes)


def test_adiabatic_rise_is_heat_over_specific_heat(foam):
    grid = block_grid(np.zeros((4, 4, 4), int), 0.02)
    result = simulate(StagedHeat(grid, (foam,), SKIN, Surroundings(ROOM), HOUR))
    assert result.core_k[0, -1] == pytest.approx(ROOM + 210e3 / 1800, abs=1e-9)
    assert result.lost_j == 0
    assert result.energy_residual == pytest.approx(0, abs=1e-12)


def test_energy_closes_with_adiabatic_walls_between_hot_cold_and_skin(foam):
    """Nothing leaves: what is released stays in foam and skin, to 0.1 %."""
    problem = _column(foam, surroundings=Surroundings(ROOM, 1e-12, 1e-12))
    result = simulate(problem)
    assert result.released_j == pytest.approx(
        sum(p.density_kg_m3 * p.heat_j_kg for p in problem.pours) * 6 * 6 * 8 * 0.02**3, rel=1e-12
    )
    assert result.stored_j == pytest.approx(result.released_j, rel=1e-6)


def test_energy_closes_with_losses(foam):
    result = simulate(_column(foam))
    assert result.lost_j > 0.3 * result.released_j
    assert abs(result.energy_residual) < 1e-3


def test_nothing_happens_without_heat(foam):
    result = simulate(_column(replace(foam, heat_j_kg=0.0)))
    assert np.nanmax(np.abs(result.core_k - ROOM)) == pytest.approx(0, abs=1e-9)
    assert all(p.hours_above == (0.0, 0.0, 0.0) for p in result.pours)


def test_core_of_a_thick_lift_comes_near_the_adiabatic_peak_and_never_over_it(foam):
    result = simulate(_column(foam, lifts=1, cells=12))
    peak = result.pours[0].peak_k - ROOM
    assert 0.95 * foam.adiabatic_rise_k < peak <= foam.adiabatic_rise_k + 1e-6


@pytest.mark.parametrize(
    ("change", "hotter"),
    [
        ({"heat_j_kg": 320e3, "specific_heat_j_kgk": 1600.0}, True),
        ({"start_k": ROOM + 10}, True),
        ({"start_k": ROOM - 10}, False),
    ],
)
def test_more_heat_or_warmer_parts_make_a_hotter_core(foam, change, hotter):
    base, other = (simulate(_column(f)) for f in (foam, replace(foam, **change)))
    for a, b in zip(base.pours, other.pours, strict=True):
        assert (b.peak_k > a.peak_k) is hotter
        assert (b.skin_peak_k > a.skin_peak_k) is hotter


def test_thicker_lifts_and_denser_foam_stay_hot_longer(foam):
    hot = replace(foam, start_k=ROOM + 30)  # peaks at 168 °C, over the first threshold
    hours = [simulate(_column(hot, lifts=1, cells=c, skin_on=("z-",))).pours[0].hours_above[0] for c in (3, 6, 12)]
    assert hours[0] < hours[1] < hours[2]
    dense = simulate(_column(replace(hot, density_kg_m3=128.0), lifts=1, cells=6, skin_on=("z-",))).pours[0]
    assert dense.hours_above[0] > hours[1]


def test_shorter_waits_leave_the_stack_hotter(foam):
    longer, shorter = (simulate(_column(foam, wait=w, end=12 * HOUR)) for w in (2 * HOUR, 0.2 * HOUR))
    at_two_hours_after = [np.interp(r.pours[-1].start_s + 2 * HOUR, r.time_s, r.mean_k[1]) for r in (longer, shorter)]
    assert at_two_hours_after[0] < at_two_hours_after[1]


def test_hotter_shop_is_hotter_everywhere(foam):
    cool = simulate(_column(foam))
    warm_air = replace(SKIN, start_k=ROOM + 15)
    warm = simulate(_column(foam, surroundings=Surroundings(ROOM + 15), skin=warm_air))
    assert warm.skin_peak_k > cool.skin_peak_k + 5
    assert np.all(warm.core_k[0, -1] > cool.core_k[0, -1])


def test_hours_above_are_those_of_the_history(foam):
    hot = replace(foam, start_k=ROOM + 40)
    problem = _column(hot, lifts=1, thresholds_k=(350.0, 420.0))
    result = simulate(problem)
    time, core = result.time_s, result.core_k[0]
    fine = np.linspace(0, time[-1], 400_001)
    along = np.interp(fine, time, core)
    # The hottest cell is the same one all along in this symmetric column.
    for limit, hours in zip(problem.thresholds_k, result.pours[0].hours_above, strict=True):
        assert hours == pytest.approx(np.mean(along > limit) * time[-1] / HOUR, rel=0.01)
    assert result.pours[0].volume_above_m3[0] > result.pours[0].volume_above_m3[1] > 0


def test_peak_stands_where_it_was_seen(foam):
    result = simulate(_column(foam, lifts=1, cells=12))
    spot = result.pours[0]
    assert spot.peak_point_m[0] == pytest.approx(0.06, abs=0.011)  # half way between the two skins, 0.12 m apart
    assert spot.skin_peak_point_m[0] in (pytest.approx(0.0), pytest.approx(0.12))
    assert result.core_k[0, np.searchsorted(result.time_s, spot.peak_s)] == pytest.approx(spot.peak_k)
    assert result.skin_k[0, np.searchsorted(result.time_s, spot.skin_peak_s)] == pytest.approx(spot.skin_peak_k)


def test_top_is_seen_until_it_is_covered(foam):
    result = simulate(_column(foam, lifts=2))
    covered = result.time_s >= HOUR
    covered[np.argmax(covered)] = False  # that moment stands twice: before the next lift and after
    assert np.all(np.isfinite(result.top_k[0, ~covered]))
    assert np.all(np.isnan(result.top_k[0, covered]))
    assert np.all(result.top_k[0, ~covered] >= result.top_mean_k[0, ~covered] - 1e-9)
    assert result.pours[0].top_peak_k < result.pours[0].peak_k


def test_thick_skin_runs_cooler_than_thin(foam):
    thin, thick = (simulate(_column(foam, skin=replace(SKIN, thickness_m=t))) for t in (0.003, 0.006))
    assert thin.skin_peak_k > thick.skin_peak_k


def test_skin_thickness_may_differ_from_place_to_place(foam):
    problem = _column(foam, lifts=1)
    left = problem.grid.surface_point_m[:, 0] < 0.06
    result = simulate(replace(problem, skin=replace(SKIN, thickness_m=np.where(left, 0.002, 0.008))))
    assert result.pours[0].skin_peak_point_m[0] == pytest.approx(0.0)


def test_results_do_not_depend_on_the_number_of_threads(foam, monkeypatch):
    problem = _column(foam, cells=20, cell=0.01, side=30, end=4 * HOUR)  # several chunks a pour
    one = simulate(problem, threads=1)  # a field as small as this one is done in one call a step
    monkeypatch.setattr(_march, "_FEW", 0)
    many = simulate(problem, threads=3)  # and so stage by stage, in three parts
    for name in ("time_s", "core_k", "mean_k", "top_k", "top_mean_k", "skin_k"):
        assert getattr(one, name).tobytes() == getattr(many, name).tobytes()
    assert (one.lost_j, one.stored_j) == (many.lost_j, many.stored_j)
    for a, b in zip(one.pours, many.pours, strict=True):
        assert a.hours_above == b.hours_above
        assert a.peak_point_m.tobytes() == b.peak_point_m.tobytes()


def test_mirrored_piece_has_mirrored_temperatures(foam):
    layers = np.repeat(np.arange(2), 8)
    shape = np.broadcast_to(layers, (5, 5, 16)).copy()
    shape[0, 0, 4:] = -2  # an air pocket in one corner
    both = [
        simulate(
            StagedHeat(
                block_grid(s, 0.02, skin=("z-",)), _column(foam, lifts=2).pours, SKIN, Surroundings(ROOM), 9000.0
            )
        )
        for s in (shape, shape[::-1].copy())
    ]
    assert np.nanmax(np.abs(both[0].core_k - both[1].core_k)) < 1e-9
    assert both[0].lost_j == pytest.approx(both[1].lost_j, rel=1e-12)


def test_a_higher_rise_lies_above_the_likely_one(foam):
    column = _column(foam, lifts=1, cells=12)
    likely, high = simulate(column), simulate(column.with_rise(200.0))
    assert high.peak_k - likely.peak_k == pytest.approx(200 - column.pours[0].adiabatic_rise_k, rel=0.05)


def test_histories_are_read_only(foam):
    result = simulate(_column(foam, lifts=1, end=600.0))
    with pytest.raises(ValueError, match="read-only"):
        result.core_k[0, 0] = 0.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pours": ()}, "no pours"),
        ({"thresholds_k": (500.0, 400.0)}, "lowest first"),
        ({"skin": replace(SKIN, thickness_m=np.full(3, 0.004))}, "3 wall thicknesses"),
        ({"skin": replace(SKIN, thickness_m=0.0)}, "0.05 mm"),
        ({"skin": replace(SKIN, thickness_m=float("nan"))}, "0.05 mm"),
    ],
)
def test_bad_problems_are_refused_in_words(foam, changes, words):
    with pytest.raises(UsageError, match=words):
        simulate(_column(foam, **changes))


def test_pours_out_of_order_and_pours_missing_are_refused(foam):
    problem = _column(foam, lifts=2)
    with pytest.raises(UsageError, match="order they are poured"):
        simulate(replace(problem, pours=problem.pours[::-1]))
    with pytest.raises(UsageError, match="names pour 1, but only 1"):
        simulate(replace(problem, pours=problem.pours[:1]))
    with pytest.raises(UsageError, match="above 0"):
        simulate(replace(problem, pours=tuple(replace(p, density_kg_m3=0.0) for p in problem.pours)))


@pytest.mark.parametrize(
    ("time", "share"),
    [([0.0, 1.0], [0.0, 0.5]), ([1.0, 0.0], [0.0, 1.0]), ([0.0, 1.0, 2.0], [0.0, 0.5, 0.4]), ([0.0], [1.0])],
)
def test_bad_curves_are_refused(time, share):
    with pytest.raises(UsageError, match="heat curve"):
        HeatCurve(np.array(time), np.array(share))


def test_curve_wants_cream_before_the_end_of_rise():
    with pytest.raises(UsageError, match="before the end of rise"):
        s_curve(300.0, 40.0)


def test_pour_too_small_for_the_cells_is_left_without_figures_and_stops_nothing(foam):
    problem = _column(foam, lifts=2, end=3 * HOUR)
    pours = (problem.pours[0], replace(problem.pours[0], name="1b"), replace(problem.pours[1], lift=2))
    pour = problem.grid.pour.copy()
    pour[pour == 1] = 2
    result = simulate(replace(problem, pours=pours, grid=replace(problem.grid, pour=pour)))
    assert np.isnan(result.pours[1].peak_k)
    assert result.pours[2].peak_k > 390
    waits = find_waits(replace(problem, pours=pours, grid=replace(problem.grid, pour=pour)))
    assert waits.waits[0].met
