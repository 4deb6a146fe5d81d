"""Foam that passes the stop temperature by its own heat: told by limb, with what would help; no wait is made for it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh

from pourwright.evaluation import ByFormulas
from pourwright.findings import Code
from pourwright.intake import job_from_shell
from pourwright.plan import history_of, make_plan
from pourwright.plan.by_itself import past_stop_k
from pourwright.plan.day import hottest_k
from pourwright.plan.fallback import not_worse
from pourwright.plan.refine import Computed, Refined
from pourwright.wording.findings import sentences

KEYS = {
    "piece.unit": "m", "piece.material": "grp", "piece.support": "held", "wall.thickness": "4 mm",
    "foam.grade": "rigid-3", "grid.cell": "10 mm", "heat.cells": 20_000, "structure.computed": False,
    "structure.gains": False, "shop.air": "18 degC", "shop.parts": "18 degC", "shop.skin": "18 degC",
    "shop.mix": "25 s", "shop.largest_batch": "2 L", "day.search": True,
}  # fmt: skip


@pytest.fixture
def job(tmp_path):
    """``job(rise)``: a box 0.25 m wide and 0.3 m tall."""

    def make(rise):
        path = tmp_path / "box.stl"
        trimesh.creation.box(bounds=[[0, 0, 0], [0.25, 0.25, 0.3]]).export(path)
        return job_from_shell(path, {**KEYS, "heat.rise": rise})

    return make


def quick(job):
    return replace(job, heat=replace(job.heat, computed=False))


def test_the_last_kelvins_below_the_emergency_temperature_cost_no_wait_where_the_stop_temperature_is_passed(job):
    foam = history_of(job("180 K")).foam  # 198 degC by itself: 28 K over the one, 2 K below the other
    assert past_stop_k(foam) == pytest.approx(28.0)
    assert np.isinf(hottest_k(foam))
    cooler = history_of(job("170 K")).foam  # 12 K below the other: it still counts
    assert hottest_k(cooler) == pytest.approx(cooler.grade.emergency_k, abs=0.1)
    assert past_stop_k(history_of(job("150 K")).foam) == pytest.approx(-2.0)


def test_such_a_plan_says_which_limb_by_how_much_and_what_would_help(job):
    plan = make_plan(quick(job("180 K")))
    (found,) = [one for one in plan.warnings if one.code == Code.TOO_HOT_BY_ITSELF]
    hot = [p for lift in plan.lift_plan.lifts for p in lift.pours if p.peak_k.nominal > plan.foam.grade.stop_k]
    assert found.subject == tuple(p.name for p in hot)
    assert found["limbs"] == ("L1",)
    assert found["peak_k"] == max(p.peak_k.nominal for p in hot)
    assert found["most_rise_k"] == pytest.approx(152.0)  # 170 less 18
    (said,) = sentences([found])
    assert "limb L1" in said
    assert "152 K or less" in said
    assert plan.over_limit  # it is told, and still not to be poured
    below = make_plan(quick(job("150 K")))
    assert not any(one.code == Code.TOO_HOT_BY_ITSELF for one in below.warnings)


def test_even_bands_are_not_asked_for_what_they_cannot_change(job):
    asked = job("180 K")
    hot = SimpleNamespace(name="peak temperature", value=471.0, limit=443.15, verdict="over")
    long = SimpleNamespace(name="time above scorch", value=5400.0, limit=3600.0, verdict="over")

    def refined(*checks):
        lift = SimpleNamespace(pours=(SimpleNamespace(checks=checks),))
        plan = SimpleNamespace(lifts=(lift,), day=SimpleNamespace(hinders=None))
        return Refined(plan, plan, Computed(history_of(asked), ByFormulas(), (), 1, ()))

    searched = refined(hot)
    assert not_worse(asked, searched, lambda: pytest.fail("nobody asked for bands")) is searched
    both = refined(hot, long)
    assert not_worse(asked, both, lambda: pytest.fail("nobody asked for bands")) is both
    warm = job("150 K")  # stays below it by itself: even bands may be cooler
    cooler = refined(hot)
    taken = not_worse(warm, replace(both, computed=Computed(history_of(warm), ByFormulas(), (), 1, ())), lambda: cooler)
    assert taken.plan is cooler.plan
    assert "(peak temperature, time above scorch)" in taken.computed.words[0]
