"""The demo pieces: no pour rises past a hole that is open, and every page says when each is closed."""

import csv
import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pourwright.document.plan_json import plan_document
from pourwright.intake import read_job
from pourwright.plan import make_plan
from pourwright.report.markdown import plan_markdown
from pourwright.report.pours_csv import pours_csv
from pourwright.report.sheet import sheet_html

DEMOS = Path(__file__).resolve().parents[1] / "demo_shells"


@pytest.fixture(scope="module", params=[("heron", 0.008), ("ram", 0.005), ("tender", 0.008)])
def plan(request):
    name, cell_m = request.param
    job = read_job(DEMOS / name / "job.toml")
    job = replace(job, structure=replace(job.structure, computed=False), heat=replace(job.heat, computed=False))
    return make_plan(replace(job, cell_m=cell_m))


def test_no_pour_rises_past_an_open_hole(plan, open_holes):
    document = plan_document(plan).model_dump(mode="python", by_alias=True)
    skin = (plan.frame.to_standing(plan.skin.vertices_m), plan.skin.faces)
    # A hole in the foot of one leg, or a vent on top of a limb, is passed by foam of that limb alone.
    assert open_holes.passed_open_holes(document, *skin, reaches=_reaches(plan)) == []


def _reaches(plan):
    """Whether a pour fills space of the cavity close to a hole."""
    lifts, grid = plan.lift_plan, plan.cavity.grid
    holes = {hole.name: hole for hole in (*lifts.ports, *lifts.vents)}
    pours = {pour.name: pour for lift in lifts.lifts for pour in lift.pours}

    def reaches(pour, hole):
        place = plan.frame.to_standing(holes[hole].point_m)
        cells = np.argwhere(np.isin(plan.graph.label, pours[pour].nodes + 1))
        away = np.linalg.norm(grid.centres(cells) - place, axis=1)
        return bool(away.min() < holes[hole].hole_m + 4 * grid.cell_m)

    return reaches


def test_a_port_closed_in_its_pour_is_closed_after_the_cup_is_empty_and_before_foam_can_be_there(plan):
    limits, foam = plan.job.limits, plan.foam
    pours = {pour.name: pour for lift in plan.lift_plan.lifts for pour in lift.pours}
    for closing in plan.lift_plan.closings:
        if not closing.inside or closing.hole.startswith("V"):
            continue
        pour = pours[closing.inside]
        empty_s = limits.mix_s + pour.batch.total_m3 / limits.pour_rate_m3_s
        assert empty_s + 20.0 <= closing.by_s < closing.foam_s < foam.rise_end_s
        assert closing.by_s > foam.cream_s  # before that nothing rises at all


def test_every_page_says_when_each_hole_is_closed(plan):
    pages = {"md": plan_markdown(plan), "sheet": sheet_html(plan).replace("\xa0", " ")}
    rows = list(csv.DictReader(io.StringIO(pours_csv(plan))))
    assert plan.lift_plan.closings
    for closing in plan.lift_plan.closings:
        when = "close_during" if closing.inside else "close_first"
        row = next(row for row in rows if row["pour"] == (closing.inside or closing.before))
        assert closing.hole in row[when].split()
        assert float(row["closing_force_n"]) >= round(closing.force_n.high, 1)
        for text in pages.values():
            lines = [line for line in " ".join(text.split()).split("lose ") if closing.hole in line[:60]]
            assert lines, closing


def test_beside_the_irons_of_the_heron_every_hole_has_its_room_and_every_way_down_is_clear():
    """Its right leg was poured through a hole that came within 6 mm of the iron, where the foot has room for one."""
    job = read_job(DEMOS / "heron" / "job.toml")
    job = replace(job, structure=replace(job.structure, computed=False), heat=replace(job.heat, computed=False))
    plan = make_plan(replace(job, cell_m=0.005, day=replace(job.day, search=True)))
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    over = {check.name for pour in pours for check in pour.checks if check.verdict != "ok"}
    assert not over
    assert all(pour.landings for pour in pours)
    irons = plan.cavity.irons
    assert len(irons) == 2
    for port in (landing.port for pour in pours for landing in pour.landings):
        at = plan.frame.to_standing(port.point_m)
        assert min(float(iron.away_m(at)) for iron in irons) >= 0.5 * port.hole_m
