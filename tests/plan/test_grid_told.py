"""Limbs too narrow for the heat cells, and what the cells may be off by, reach the person who reads the plan."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from tests.reference.seen import pours_seen

from pourwright.document.plan_json import plan_document
from pourwright.intake import job_from_shell
from pourwright.plan import make_plan
from pourwright.wording.computed import grid_words

ZERO_K = 273.15


@pytest.fixture(scope="module")
def post(tmp_path_factory):
    """A post of 48 mm outside, 40 mm inside, 0.5 m high, on coarse heat cells."""
    path = tmp_path_factory.mktemp("post") / "post.stl"
    trimesh.creation.cylinder(radius=0.024, height=0.5, sections=64).export(path)
    job = job_from_shell(
        path,
        {
            "piece.unit": "m", "piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3",
            "grid.cell": "5 mm", "heat.cells": 2000, "structure.computed": False,
        },
    )  # fmt: skip
    return make_plan(job)


def test_a_post_is_as_hot_as_its_own_solution_says(post):
    pours = pours_seen(post)
    heating = post.computed.heating
    assert 0.04 / heating.nominal.cell_m < 12
    for pour in pours:
        assert pour.heat.across_m == pytest.approx(0.04, rel=0.05)
        assert pour.peak_k.nominal == pour.heat.peak_k.nominal < post.foam.conditions.parts_k + post.foam.rise_k.nominal
        assert pour.heat.peak_k.low < pour.heat.peak_k.nominal < pour.heat.peak_k.high
    assert np.nanmax(heating.nominal.core_k) == pytest.approx(max(p.peak_k.nominal for p in pours), abs=0.5)


def test_the_error_of_the_grid_is_told_once_in_sheet_page_and_file(post):
    pours = {pour.name: pour for pour in pours_seen(post)}
    hottest = max(pours.values(), key=lambda pour: pour.peak_k.nominal)
    assert math.isfinite(hottest.heat.off_k)
    assert grid_words(hottest, post.lift_plan) == " (± 1.0 °C (1.8 °F) from the grid)"
    assert [name for name, pour in pours.items() if grid_words(pour, post.lift_plan)] == [hottest.name]
    blocks = {p.name: p for lift in plan_document(post).lifts for p in lift.pours}
    assert [name for name, block in blocks.items() if block.heat.grid_error_k is not None] == [hottest.name]
    assert blocks[hottest.name].heat.grid_error_k == pytest.approx(hottest.heat.off_k)
    assert blocks[hottest.name].heat.across_m == pytest.approx(hottest.heat.across_m)


def test_a_pour_without_a_heat_cell_is_judged_by_its_formula(tmp_path, monkeypatch):
    """A limb thinner than a cell, and no limb's own solution either: such a plan used to end in a traceback."""
    from pourwright.plan import heating

    def blind(problem, result, places):
        first, *others = result.pours
        none = np.full(3, np.nan)
        lost = replace(
            first,
            peak_k=math.nan,
            peak_point_m=none,
            skin_peak_k=math.nan,
            skin_peak_point_m=none,
            hours_above=(0.0,) * 3,
        )
        return replace(result, pours=(lost, *others))

    monkeypatch.setattr(heating, "with_limbs", blind)
    trimesh.creation.box((0.3, 0.3, 0.4)).export(tmp_path / "box.stl")
    settings = {
        "piece.unit": "m", "piece.material": "grp", "wall.thickness": "4 mm", "foam.grade": "rigid-3",
        "grid.cell": "10 mm", "heat.cells": 2000, "structure.computed": False, "day.search": False,
    }  # fmt: skip
    plan = make_plan(job_from_shell(tmp_path / "box.stl", settings))
    first, *others = [pour for lift in plan_document(plan).lifts for pour in lift.pours]
    assert first.heat is None
    assert all(pour.heat is not None for pour in others)
    pour = plan.lift_plan.lifts[0].pours[0]
    assert math.isfinite(pour.peak_k.nominal)
    assert {check.verdict for check in pour.checks if check.name == "peak temperature"} <= {"ok", "over"}


def test_the_page_names_the_limb_and_the_grid(post):
    from pourwright.report.markdown import plan_markdown

    text = plan_markdown(post)
    assert "from the grid" in text
    assert "in a limb 40" in text or "in a limb 39" in text
