from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from block_grids import block_grid

from pourwright.errors import UsageError
from pourwright.heat import (
    AlsoAt,
    Dose,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitRule,
    find_waits,
    kept_and_hotter,
    kept_waits,
    s_curve,
    simulate,
)

ROOM = 295.0
CORES = WaitRule(surface_under_k=333.15, centre_share=0.3, centre_k=333.15)  # as a job may ask
SKIN = SkinLayer(0.004, 1800.0, 1000.0, 0.25, ROOM)
HOUR = 3600.0


@pytest.fixture
def stack(pour):
    def make(lifts=3, cells=8, cell=0.0125, **foam):
        """A broad stack: skin below, air above each lift, nothing through the sides."""
        layers = np.repeat(np.arange(lifts), cells)
        grid = block_grid(np.broadcast_to(layers, (2, 2, len(layers))), cell, skin=("z-",))
        base = pour(start_k=ROOM, heat_j_kg=210e3, curve=s_curve(40.0, 300.0))
        pours = tuple(replace(base, name=f"{n + 1}", lift=n + 1, **foam) for n in range(lifts))
        return StagedHeat(grid, pours, SKIN, Surroundings(ROOM), 6 * HOUR)

    return make


def test_next_lift_comes_at_the_first_time_the_rules_hold(stack):
    problem, rule = stack(), CORES
    plan = find_waits(problem, rule)
    assert len(plan.waits) == 2
    assert all(w.met for w in plan.waits)
    again = simulate(problem.with_starts(plan.start_s))
    for wait, start in zip(plan.waits, plan.start_s[1:], strict=True):
        before = [p for p in range(3) if plan.start_s[p] < start]

        def held(time, before=before, start=start):
            excess = max((np.interp(time, again.time_s, again.core_k[p]) - ROOM) / (210e3 / 1800) for p in before)
            # The moment the next lift lands its top is no longer bare: look just before.
            top = np.interp(time, again.time_s[again.time_s < start], again.top_k[before[-1]][again.time_s < start])
            core = ROOM + excess * 210e3 / 1800
            return excess <= rule.centre_share and top <= rule.surface_under_k and core <= rule.centre_k

        assert held(start - 1e-6)
        assert not held(start - max(rule.grain_s, 0.08 * wait.seconds))
        assert wait.seconds % rule.grain_s == 0
        assert wait.surface_under_k <= rule.surface_under_k
        assert wait.core_k <= rule.centre_k


def test_starts_of_the_plan_give_its_result_again(stack):
    problem = stack()
    plan = find_waits(problem)
    again = simulate(replace(problem.with_starts(plan.start_s), end_s=plan.result.time_s[-1]))
    for a, b in zip(plan.result.pours, again.pours, strict=True):
        assert a.peak_k == pytest.approx(b.peak_k, abs=0.1)


def test_slab_wait_is_near_the_closed_form(stack):
    """One lift between its skin and the air waits near Fo = 0.146 of its thickness for 30 % of the rise.

    Films and the skin's heat make it longer than with faces held at the air's temperature, never shorter.
    """
    plan = find_waits(stack(lifts=2, cells=12), WaitRule(centre_share=0.3))
    closed = 0.14646 * 0.15**2 / (0.03 / (48.06 * 1800))
    assert closed < plan.waits[0].seconds < 1.5 * closed
    assert plan.waits[0].bound == "centre share"


def test_thicker_denser_and_hotter_lifts_wait_longer(stack):
    base = find_waits(stack(lifts=2), CORES).waits[0].seconds
    assert find_waits(stack(lifts=2, cells=12), CORES).waits[0].seconds > base
    assert find_waits(stack(lifts=2, density_kg_m3=128.0), CORES).waits[0].seconds > base
    assert find_waits(stack(lifts=2).with_rise(200.0), CORES).waits[0].seconds > base
    warm = replace(stack(lifts=2), surroundings=Surroundings(ROOM + 20))
    assert find_waits(warm, WaitRule(surface_under_k=333.15, centre_k=333.15)).waits[0].seconds > base


def test_landing_alone_is_soon_met_while_the_core_is_hot(stack):
    plan = find_waits(stack(lifts=2), WaitRule(surface_under_k=333.15, shortest_s=300.0))
    wait = plan.waits[0]
    assert wait.seconds <= 2 * HOUR
    assert wait.surface_under_k <= 333.15 < wait.core_k


def test_a_rule_that_cannot_be_met_is_a_finding(stack):
    warm = replace(stack(lifts=2), surroundings=Surroundings(340.0))
    plan = find_waits(warm, replace(CORES, longest_s=8 * HOUR))
    assert not plan.waits[0].met
    assert 8 / 1.5 * HOUR < plan.waits[0].seconds <= 8 * HOUR
    assert plan.start_s[1] == plan.waits[0].seconds


def test_pours_of_one_lift_keep_their_offsets(stack):
    problem = stack(lifts=2, cells=8)
    split = problem.grid.pour.copy()
    split[1:3, 2:3][split[1:3, 2:3] >= 0] += 2
    order = np.array([0, 2, 1, 3])  # left and right of lift 1, then of lift 2
    split[split >= 0] = order[split[split >= 0]]
    grid = replace(problem.grid, pour=split)
    names = [("1a", 1, 0.0), ("1b", 1, 240.0), ("2a", 2, 0.0), ("2b", 2, 240.0)]
    pours = tuple(replace(problem.pours[0], name=n, lift=lift, start_s=1000.0 * lift + s) for n, lift, s in names)
    plan = find_waits(replace(problem, grid=grid, pours=pours))
    assert plan.start_s[1] - plan.start_s[0] == pytest.approx(240.0)
    assert plan.start_s[3] - plan.start_s[2] == pytest.approx(240.0)
    assert plan.start_s[2] - plan.start_s[0] == pytest.approx(plan.waits[0].seconds)


def test_waits_refuse_nonsense(stack):
    with pytest.raises(UsageError, match="grain"):
        find_waits(stack(lifts=2), WaitRule(grain_s=0.0))


def _hot(stack, **changes):
    """Lifts of 150 mm whose cores pass 413 K for a while."""
    return replace(stack(cells=12, heat_j_kg=255e3, specific_heat_j_kgk=1750.0), **changes)


def test_no_spot_stays_above_a_threshold_longer_than_its_dose(stack):
    """Whole job with the waits found, computed again: within the dose, but for what lifts above add (a tenth)."""
    problem = _hot(stack)
    alone = max(find_waits(problem, WaitRule(doses=(Dose(413.15, 1.0),))).alone_s[0])
    dose = Dose(413.15, 1.15 * alone)
    plan = find_waits(problem, WaitRule(doses=(dose,)))
    assert "dose" in {wait.bound for wait in plan.waits}
    again = simulate(replace(problem.with_starts(plan.start_s), thresholds_k=(413.15,), end_s=24 * HOUR))
    longest = max(3600 * pour.hours_above[0] for pour in again.pours)
    assert longest < 1.1 * dose.seconds
    hasty = kept_waits(replace(problem, thresholds_k=(413.15,), end_s=24 * HOUR), (600.0, 600.0), WaitRule())
    assert max(3600 * pour.hours_above[0] for pour in hasty.result.pours) > longest


def test_a_shorter_dose_never_means_a_shorter_wait(stack):
    problem = _hot(stack)
    alone = float(max(find_waits(problem, WaitRule(doses=(Dose(413.15, 1.0),))).alone_s[0]))
    waits = [
        sum(wait.seconds for wait in find_waits(problem, WaitRule(doses=(Dose(413.15, share * alone),))).waits)
        for share in (4.0, 1.6, 1.2)
    ]
    assert waits[0] <= waits[1] <= waits[2]
    assert waits[0] < waits[2]


def test_what_no_wait_can_mend_is_not_waited_for(stack):
    """A lift that is above the threshold too long by itself: the wait does not go on to the longest."""
    plan = find_waits(_hot(stack), WaitRule(doses=(Dose(413.15, 0.0),)))
    assert all(wait.met for wait in plan.waits)
    assert max(wait.seconds for wait in plan.waits) < 24 * HOUR


def test_the_field_is_linear_in_the_rise(stack):
    """With fixed properties: at the mean of two rises every temperature is the mean of the two."""
    problem = replace(_hot(stack).with_starts((0.0, 1800.0, 5400.0)), end_s=4 * HOUR)
    low, middle, high = (simulate(problem.with_rise(rise)) for rise in (115.0, 146.0, 177.0))
    for name in ("mean_k", "top_mean_k"):
        both = 0.5 * (getattr(low, name) + getattr(high, name))
        np.testing.assert_allclose(getattr(middle, name), both, rtol=0, atol=1e-6)


def test_a_warm_face_warms_the_liquid_that_lands_on_it(stack):
    """By hand: a tenth of the mean excess of the faces under it."""
    problem = _hot(stack, end_s=2 * HOUR)
    warmed = replace(problem, pours=tuple(replace(p, warming=0.1, curve=problem.pours[0].curve) for p in problem.pours))
    starts = (0.0, 1200.0, 7200.0)
    plain, warm = (kept_waits(p.with_starts(starts), (1200.0, 6000.0), WaitRule()) for p in (problem, warmed))
    first = np.flatnonzero(warm.result.time_s >= 1200.0)[1]
    face = np.interp(1199.0, warm.result.time_s, warm.result.top_mean_k[0])
    assert warm.result.core_k[1, first] - plain.result.core_k[1, first] == pytest.approx(0.1 * (face - ROOM), abs=0.3)


@pytest.mark.parametrize("threads", [1, 2])
def test_the_same_job_at_another_rise_has_the_same_starts(stack, threads):
    """Two pours of one lift among them; each is what it is by itself, on however many threads."""
    problem = stack(lifts=4)
    pours = tuple(replace(p, lift=lift) for p, lift in zip(problem.pours, (1, 2, 2, 3), strict=True))
    problem = replace(problem, pours=pours).with_starts((0.0, 1200.0, 1500.0, 9000.0))
    rule, waits = WaitRule(), (2400.0, 3600.0)
    kept, hot = kept_and_hotter(problem, waits, rule, AlsoAt(150.0, 2 * HOUR), threads=threads)
    assert kept.start_s == (0.0, 2400.0, 2700.0, 6000.0)
    np.testing.assert_array_equal(kept.result.core_k, kept_waits(problem, waits, rule, threads=1).result.core_k)
    alone = replace(problem.with_rise(150.0).with_starts(kept.start_s), end_s=kept.start_s[-1] + 2 * HOUR)
    np.testing.assert_array_equal(hot.core_k, simulate(alone, threads=1).core_k)
