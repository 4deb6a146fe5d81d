"""A plan with a searched day: what it promises holds in the staged heat of the plan itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.day import Hinder, choose_day, confirm_day
from pourwright.document.plan_json import plan_document
from pourwright.evaluation import ByFormulas
from pourwright.intake import read_job
from pourwright.plan import Case, history_of, make_plan, skin_of
from pourwright.plan.day import question_of
from pourwright.plan.fallback import not_worse
from pourwright.plan.refine import Computed, Refined

HERON = Path(__file__).parents[2] / "demo_shells" / "heron" / "job.toml"


def pours_of(plan):
    return [pour for lift in plan.lift_plan.lifts for pour in lift.pours]


def whole(plan):
    """Every node has its whole foam or stays empty, and what lies below is poured before."""
    graph, pours = plan.graph, pours_of(plan)
    share = np.zeros(len(graph.node_level))
    order = np.full(len(graph.node_level), -1)
    for number, pour in enumerate(pours):
        np.add.at(share, pour.nodes, pour.shares)
        order[pour.nodes] = number
    for space in plan.lift_plan.unfilled:
        np.add.at(share, space.nodes, 1.0)
    assert np.allclose(share, 1.0)
    trunk = np.concatenate([limb.trunk for limb in plan.lift_plan.day.limbs.limbs])
    inside = np.isin(graph.edge_lower, trunk) & np.isin(graph.edge_upper, trunk)
    low, high = order[graph.edge_lower[inside]], order[graph.edge_upper[inside]]
    assert (low[(low >= 0) & (high >= 0)] <= high[(low >= 0) & (high >= 0)]).all()


@pytest.mark.default_day
def test_a_quick_day_cuts_each_limb_for_itself():
    job = read_job(HERON)
    assert job.day.search  # what a job gets that says nothing
    job = replace(job, heat=replace(job.heat, computed=False), cell_m=0.012)
    plan = make_plan(job)
    whole(plan)
    legs = [pour for pour in pours_of(plan) if pour.limb in ("L1", "L2")]
    assert len(legs) == 2
    document = plan_document(plan)
    assert document.day.pours == len(pours_of(plan))
    assert sorted(name for limb in document.limbs for name in limb.pours) == sorted(p.name for p in pours_of(plan))
    (taken,) = [day for day in document.day.front if day.chosen]
    assert taken.dose_h == document.day.dose_h.likely


def confirmed_by_heat(changes):
    """The heron's day with heat, hands and cups as the only limits, its waits found again on fine cells."""
    job = read_job(HERON, {"day.search": True, **changes})
    skin = skin_of(job)
    frame = pour_frame(skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
    cavity = build_cavity(
        skin, frame, cell_m=job.cell_m, memory_bytes=job.memory_bytes, stray_void_m3=job.stray_void_m3
    )
    graph = build_levels(cavity, ripple_m=job.limits.ripple_m)
    asked = question_of(Case(job, Space(skin, cavity, graph), history_of(job)), ())
    return confirm_day(asked, choose_day(asked)).day


@pytest.mark.slow
@pytest.mark.parametrize(("rise", "pours", "hours"), [("147 K", 8, 2.3), ("180 K", 11, 5.0)])
def test_the_heron_by_its_heat_takes_no_more_pours_and_hours_than_are_asked(rise, pours, hours):
    # an independent study of the same piece, margin on the dose only: 8 pours in 1.8 h, and 11 in 4.1 h at 180 K
    day = confirmed_by_heat({"heat.rise": rise})
    assert day.keeps
    assert len(day.stretches) <= pours
    assert day.hours <= hours


@pytest.mark.slow
@pytest.mark.default_day
def test_the_heron_at_147_k_takes_at_most_eight_pours_and_two_hours_and_a_third_within_all_its_limits():
    plan = make_plan(read_job(HERON, {"heat.rise": "147 K"}))
    whole(plan)
    document = plan_document(plan)
    assert document.day.pours <= 8
    assert document.day.hours_to_last_pour <= 2.3
    (taken,) = [day for day in document.day.front if day.chosen]
    assert (taken.dose_h, taken.dose_high_h) == (document.day.dose_h.likely, document.day.dose_h.high)
    assert document.day.dose_h.likely <= 0.8 * document.day.dose_limit_h
    assert document.status == "planned"
    assert len(document.day.front) > 3  # the limits of skin and narrow places cost none of the other days


@pytest.mark.default_day
def test_even_bands_are_taken_where_no_day_keeps_the_limits_and_they_are_over_by_less():
    job = read_job(HERON)
    over = excess_of("over", 2.0)
    assert not_worse(job, over, lambda: excess_of("bands", 1.5)).plan.objective == "bands"
    assert not_worse(job, over, lambda: excess_of("bands", 2.5)).plan.objective == "over"
    assert "even bands" in not_worse(job, over, lambda: excess_of("bands", 2.5)).computed.words[-1]
    words = not_worse(job, over, lambda: excess_of("bands", 1.5)).computed.words
    assert words[1] == over.plan.day.hinders.words  # which limb, and by how much
    kept = excess_of("kept", 0.9)
    assert not_worse(job, kept, lambda: pytest.fail("nobody asked for bands")) is kept


@pytest.mark.default_day
def test_a_day_below_the_stop_temperature_is_not_replaced_by_bands_that_pass_it():
    """A dragon's horns: bands left 17 pours, of 5 mL some, one 22 K over it, for a narrow place that stayed empty."""
    job, over = read_job(HERON), excess_of("over", 2.0)
    hot = excess_of("bands", 1.05, "peak temperature")
    taken = not_worse(job, over, lambda: hot)
    assert taken.plan.objective == "over"
    assert "even bands pass the stop temperature" in taken.computed.words[-1]
    both = excess_of("over", 2.0, "peak temperature")
    assert not_worse(job, both, lambda: hot).plan.objective == "bands"


def excess_of(name, share, check="time above scorch"):
    """A division with one pour that uses ``share`` of one limit."""
    verdict = "over" if share > 1 else "ok"
    check = SimpleNamespace(name=check, value=share, limit=1.0, verdict=verdict)
    lift = SimpleNamespace(pours=(SimpleNamespace(checks=(check,)),))
    day = SimpleNamespace(hinders=Hinder("L3", 1.0, 1.2, 1.2))
    plan = SimpleNamespace(lifts=(lift,), objective=name, day=day)
    history = history_of(read_job(HERON))
    return Refined(plan, plan, Computed(history, ByFormulas(), (), 1, ()))
