"""Drilling templates read back: scale, holes, tape lines; where the skin is too curved there is none."""

import io
import re
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from lxml import etree

from pourwright.report.drawings import draw_drawings
from pourwright.report.drill_template import STRETCH, template_pages, templates, templates_dxf


@pytest.fixture(scope="module")
def made(stool_plan):
    return templates(stool_plan)


def drilled(plan):
    lifts = plan.lift_plan
    return [hole for hole in (*lifts.ports, *lifts.vents) if hole.way == "drilled"]


def test_every_drilled_hole_has_a_sheet_or_a_reason(stool_plan, made):
    assert [template.name for template in made] == [hole.name for hole in drilled(stool_plan)]
    assert made
    for template in made:
        if template.patch is None:
            assert "bent too much" in template.words[-1]
        else:
            assert template.patch.stretch <= STRETCH
        assert "up from the base" in template.words[1]


def test_the_thick_lines_cross_in_the_hole_and_lie_where_the_tape_says(stool_plan, made):
    seen = 0
    for template in made:
        if template.patch is None:
            continue
        main = [cut for _, thick, cut in template.lines if thick]
        assert len(main) == 2
        for cut in main:
            # The hole is on the computed skin, its measures to a tenth of a millimetre.
            assert np.linalg.norm(cut.mean(axis=1), axis=1).min() < 0.004
        seen += 1
    assert seen


def test_pages_are_true_to_scale_and_fit_both_papers(stool_plan, made):
    pages = template_pages(stool_plan, made)
    assert len(pages) >= 1
    circles = 0
    for page in pages:
        root = etree.fromstring(page.encode())
        wide, high = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
        assert wide <= 190
        assert high <= 259
        assert root.get("viewBox").split()[2:] == [f"{wide:.2f}", f"{high:.2f}"]
        circles += len(root.findall(".//{*}circle"))
        for text in root.findall(".//{*}text"):
            assert len(text.text) < 110
    assert circles == sum(len(t.centres_m) for t in made if t.patch is not None)
    radii = {float(c) for page in pages for c in re.findall(r' r="([\d.]+)"', page)}
    assert radii == {round(500 * t.hole_m, 2) for t in made if t.patch is not None}


def test_dxf_reads_back_with_the_holes(made):
    drawing = ezdxf.read(io.StringIO(templates_dxf(made)))
    assert not drawing.audit().errors
    found = sorted(round(2 * circle.dxf.radius, 3) for circle in drawing.modelspace().query("CIRCLE"))
    assert found == sorted(round(1e3 * t.hole_m, 3) for t in made if t.patch is not None for _ in t.centres_m)


def test_several_holes_of_a_vent_stand_side_by_side(stool_plan):
    lifts = stool_plan.lift_plan
    vents = tuple(replace(vent, holes=3, hole_m=0.006, way="drilled") for vent in lifts.vents)
    plan = replace(stool_plan, lift_plan=replace(lifts, vents=vents))
    last = templates(plan)[-1]
    assert np.diff(last.centres_m[:, 0]) == pytest.approx([0.015, 0.015])
    assert "3 holes" in last.words[0]


def test_a_hole_larger_than_any_sheet_has_none(stool_plan):
    lifts = stool_plan.lift_plan
    ports = tuple(replace(port, hole_m=0.2, way="drilled") for port in lifts.ports)
    plan = replace(stool_plan, lift_plan=replace(lifts, ports=ports))
    assert templates(plan)[0].patch is None


def test_names_are_words(stool_plan, made):
    plan = replace(stool_plan, job=replace(stool_plan.job, name="<script>&"))
    for page in template_pages(plan, made):
        assert not etree.fromstring(page.encode()).findall(".//{*}script")


def test_they_are_written_with_the_drawings_and_are_the_same_bytes(stool_plan, made, tmp_path):
    names = {file.name for file in draw_drawings(stool_plan, tmp_path)}
    assert "drilling_01.svg" in names
    assert (tmp_path / "drilling_01.svg").read_text(encoding="utf-8") == template_pages(stool_plan, made)[0]
