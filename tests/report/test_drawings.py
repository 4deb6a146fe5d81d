"""Drawings read back by other programs: scale, areas, names; the same plan gives the same bytes."""

import io
import re
from dataclasses import replace

import ezdxf
import pytest
import shapely
from lxml import etree

from pourwright.report.drawings import dipsticks_svg, lift_outline, outline_svg, outlines_dxf
from pourwright.report.folder import write_plan


def test_outline_holds_the_area_of_the_level(stool_plan):
    for lift in stool_plan.lift_plan.lifts[:-1]:
        graph = stool_plan.graph
        area = graph.node_area_m2[graph.node_level == lift.top_level - 1].sum()
        assert lift_outline(stool_plan, lift.number).area == pytest.approx(area, rel=0.06)


def test_svg_is_in_millimetres_at_true_scale(stool_plan):
    root = etree.fromstring(outline_svg(stool_plan, 1).encode())
    wide = float(root.get("width").removesuffix("mm"))
    assert wide == pytest.approx(1e3 * stool_plan.frame.size_m[0] + 30, abs=0.01)
    assert float(root.get("viewBox").split()[2]) == pytest.approx(wide)
    path = root.find("{*}path").get("d")
    xs = [float(x) for x in re.findall(r"[ML]\s?(-?[\d.]+) ", path)]
    bounds = lift_outline(stool_plan, 1).bounds
    assert (min(xs), max(xs)) == pytest.approx((1e3 * bounds[0], 1e3 * bounds[2]), abs=0.02)


def test_dxf_reads_back_sound_with_the_same_areas(stool_plan):
    drawing = ezdxf.read(io.StringIO(outlines_dxf(stool_plan)))
    assert drawing.units == ezdxf.units.MM
    assert not drawing.audit().errors
    for lift in stool_plan.lift_plan.lifts:
        lines = drawing.modelspace().query(f'LWPOLYLINE[layer=="LIFT_{lift.number:02d}"]')
        rings = [shapely.Polygon([(x, y) for x, y, *_ in line]) for line in lines]
        whole = shapely.MultiPolygon() if not rings else rings[0]
        for ring in rings[1:]:
            whole = whole.symmetric_difference(ring)
        assert whole.area * 1e-6 == pytest.approx(lift_outline(stool_plan, lift.number).area, rel=1e-6)
        assert all(line.dxf.elevation == pytest.approx(1e3 * lift.top_m) for line in lines)


def test_dipstick_marks_are_where_the_foam_is(stool_plan):
    text = dipsticks_svg(stool_plan)
    root = etree.fromstring(text.encode())
    marks = sorted(float(re.match(r"M0 ([\d.]+)h", p.get("d"))[1]) for p in root.findall("{*}g/{*}path")[:-1])
    pours = [pour for lift in stool_plan.lift_plan.lifts for pour in lift.pours if pour.landings and not pour.closes]
    deep = [1e3 * (pour.landings[0].measures.from_base_m - pour.top_m) for pour in pours]
    wanted = {(p.landings[0].port.name, round(d, 1)) for p, d in zip(pours, deep, strict=True) if d > 0}
    assert marks == pytest.approx(sorted(d for _, d in wanted), abs=0.06)
    said = [float(t.get("y")) for t in root.findall("{*}g/{*}text[@font-size='4']")]
    assert len(said) == len(marks)


def test_names_are_words(stool_plan):
    plan = replace(stool_plan, job=replace(stool_plan.job, name="<script>alert(1)</script>&"))
    root = etree.fromstring(outline_svg(plan, 1).encode())
    assert root.findtext("{*}title").startswith("<script>")
    assert not root.findall(".//{*}script")


def test_the_same_plan_gives_the_same_bytes(stool_plan):
    assert outlines_dxf(stool_plan) == outlines_dxf(stool_plan)
    assert outline_svg(stool_plan, 1) == outline_svg(stool_plan, 1)


def test_they_are_written_when_asked_for(stool_plan, tmp_path):
    files = {file.name for file in write_plan(stool_plan, tmp_path / "plan", pictures=False, drawings=True)}
    assert {"outlines.dxf", "outline_01.svg", "dipsticks.svg"} <= files
    assert "fill.gif" not in files
    write_plan(stool_plan, tmp_path / "plan", pictures=False)
    assert not (tmp_path / "plan" / "outlines.dxf").exists()


@pytest.mark.slow
def test_the_film_is_written_when_asked_for(stool_plan, tmp_path):
    assert "fill.gif" in {file.name for file in write_plan(stool_plan, tmp_path / "plan", pictures=False, film=True)}
