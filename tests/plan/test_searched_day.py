"""A plan with a searched day: what it promises holds in the staged heat of the plan itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pourwright.intake import read_job
from pourwright.paper import plan_document
from pourwright.plan import make_plan

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


def test_a_quick_day_cuts_each_limb_for_itself():
    job = read_job(HERON, {"day.search": True})
    job = replace(job, heat=replace(job.heat, computed=False), cell_m=0.012)
    plan = make_plan(job)
    whole(plan)
    legs = [pour for pour in pours_of(plan) if pour.limb in ("L1", "L2")]
    assert len(legs) == 2
    document = plan_document(plan)
    assert document.day.pours == len(pours_of(plan))
    assert sorted(name for limb in document.limbs for name in limb.pours) == sorted(p.name for p in pours_of(plan))
    assert sum(day.chosen for day in document.day.front) == 1


@pytest.mark.slow
def test_the_heron_at_147_k_takes_at_most_eight_pours_and_two_hours_and_a_third():
    plan = make_plan(read_job(HERON, {"day.search": True, "heat.rise": "147 K"}))
    whole(plan)
    document = plan_document(plan)
    assert document.day.pours <= 8
    assert document.day.hours_to_last_pour <= 2.3
    assert document.day.dose_h.likely <= 0.8 * document.day.dose_limit_h * 1.03
    assert document.status == "planned"
