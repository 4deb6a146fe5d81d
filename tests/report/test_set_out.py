"""The set-out of what is buried, measured on the drawn file with lxml and shapely; holding and signing on the sheet."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from lxml import etree
from tests.report.test_anchor_lines import PLACES, lying_site

from pourwright.outcome import Item, Shape, Site, Spot
from pourwright.ranges import Range
from pourwright.report.bench import EDGE_MM, set_out_svg
from pourwright.report.folder import write_plan
from pourwright.report.sheet import sheet_html
from pourwright.wording.places.hard_points import hard_points, hold_words

IRON = Item(
    "brace",
    Range.exact(2.0),
    finished=False,
    shape=Shape("rod", Spot(at_m=(0.1, 0.1, 0.0)), Spot(at_m=(0.3, 0.2, 0.4)), 0.02, 0.02),
)


def _site():
    return replace(lying_site(), items=(IRON, Item("paint", Range.exact(0.3), coating=True)))


def _marks(svg):
    root = etree.fromstring(svg.encode())
    return root, {g.findtext("{*}text"): g for g in root.findall("{*}g[@class='mark']")}


def test_the_print_is_at_full_size_and_every_point_where_the_tape_has_it(hand_plan):
    """The sheet is as many millimetres as its units; crosses lie at the points of the job, seen from above."""
    plan = hand_plan(site=_site())
    root, marks = _marks(set_out_svg(plan))
    box = [float(v) for v in root.get("viewBox").split()]
    assert [float(root.get(side).removesuffix("mm")) for side in ("width", "height")] == pytest.approx(box[2:])
    assert box[2] == pytest.approx(400.0 + 2 * EDGE_MM)
    bar = root.find(".//{*}path[@class='bar']").get("d")
    assert bar.startswith("M0 0h100")
    for name, (x, y, _) in PLACES.items():  # the box stands with its corner at the origin: x from left, y from front
        at = re.match(r"M(\S+) (\S+)h16M(\S+) ", marks[name].find("{*}path[@class='cross']").get("d"))
        assert float(at[3]) == pytest.approx(1e3 * x, abs=0.01)
        assert float(at[2]) == pytest.approx(1e3 * (0.3 - y), abs=0.01)  # the front is at the foot of the sheet


def test_circles_and_lines_are_as_wide_as_the_thing(hand_plan):
    plan = hand_plan(site=_site())
    _, marks = _marks(set_out_svg(plan))
    assert float(marks["taped"].find("{*}circle[@class='across']").get("r")) == pytest.approx(15.0)  # insert of 30 mm
    body = marks["brace"].find("{*}path[@class='body']")
    ends = np.array(re.findall(r"-?\d+\.\d+", body.get("d")), float).reshape(2, 2)
    assert float(body.get("stroke-width")) == pytest.approx(20.0)
    line = shapely.LineString(ends)
    assert line.length == pytest.approx(1e3 * np.hypot(0.2, 0.1), abs=0.02)
    assert line.equals_exact(shapely.LineString([(100, 200), (300, 100)]), 0.02)


def test_a_bar_is_drawn_as_its_section(hand_plan):
    """An upright bar of 60 by 10 mm: its footprint, and words of two things at one place that do not overlap."""
    spots = Spot(at_m=(0.2, 0.1, 0.0)), Spot(at_m=(0.2, 0.1, 0.5))
    bar = replace(IRON, name="bar", shape=Shape("bar", *spots, 0.06, 0.01))
    twin = replace(bar, name="twin")
    _, marks = _marks(set_out_svg(hand_plan(site=Site(items=(bar, twin)))))
    corners = np.array(re.findall(r"-?\d+\.\d+", marks["bar"].find("{*}path[@class='foot']").get("d")), float)
    ring = shapely.Polygon(corners.reshape(-1, 2))
    assert ring.bounds == pytest.approx((170, 195, 230, 205), abs=0.02)
    assert ring.area == pytest.approx(600.0, rel=1e-3)
    heights = sorted(float(text.get("y")) for mark in marks.values() for text in mark.findall("{*}text"))
    assert min(np.diff(heights)) >= 5.0


def test_each_says_which_lift_buries_it_and_against_what_it_is_held(hand_plan):
    plan = hand_plan(site=_site())
    points = {point.name: point for point in hard_points(plan)}
    assert set(points) == {*PLACES, "brace"}
    for point in points.values():
        low, high = sorted((point.start.from_base_m, point.end.from_base_m))
        for lift in plan.lift_plan.lifts:
            if lift.number in point.lifts and low < high:
                assert lift.top_m > low
                assert lift.bottom_m < high
    peak = max(p.peak_pressure_pa.high for lift in plan.lift_plan.lifts for p in lift.pours)
    assert 0 < points["brace"].force_n <= peak * 0.02 * np.linalg.norm([0.2, 0.1, 0.4]) + 1e-9
    assert np.isnan(points["deep"].force_n)  # an anchor without an insert: nothing is known of its size


def test_the_force_is_no_less_than_on_the_largest_side_and_an_unknown_pressure_stays_unknown(hand_plan):
    """An insert of 30 x 600 mm seen from its side; a box of 10 x 200 x 300 mm by its largest face."""
    plate = replace(IRON, name="plate", shape=Shape("box", Spot(at_m=(0.1, 0.1, 0.1)), Spot(at_m=(0.11, 0.3, 0.4))))
    plan = hand_plan(site=replace(_site(), items=(plate,)))
    peak = max(p.peak_pressure_pa.high for lift in plan.lift_plan.lifts for p in lift.pours)
    points = {point.name: point for point in hard_points(plan)}
    assert points["taped"].force_n >= peak * 0.03 * 0.6
    assert points["plate"].force_n == pytest.approx(peak * 0.2 * 0.3, rel=0.01)
    lifts = plan.lift_plan.lifts
    dark = replace(lifts[0].pours[0], peak_pressure_pa=Range.exact(float("nan")))
    lifts = (replace(lifts[0], pours=(dark, *lifts[0].pours[1:])), *lifts[1:])
    dim = replace(plan, lift_plan=replace(plan.lift_plan, lifts=lifts))
    (point,) = (point for point in hard_points(dim) if point.name == "plate")
    assert np.isnan(point.force_n)
    assert "NOT KNOWN" in hold_words(point)


def test_the_sheet_has_a_hold_point_to_sign_before_the_lift_that_buries(hand_plan):
    plan = hand_plan(site=_site())
    said = html.unescape(re.sub("<.*?>", " ", sheet_html(plan)))
    assert said.count("old point: all of them are taped again") + said.count("old point: it is taped again") >= 1
    assert "nothing is mixed before this is signed" in said
    assert "one datum" in said
    assert "brace" in said
    bare = html.unescape(re.sub("<.*?>", " ", sheet_html(hand_plan())))
    assert "hold point" not in bare.lower()
    assert set_out_svg(hand_plan(site=Site())) == ""


def test_it_is_written_with_the_drawings(stool_plan, tmp_path):
    plan = replace(stool_plan, job=replace(stool_plan.job, site=Site(items=(IRON,))))
    files = {file.name for file in write_plan(plan, tmp_path / "plan", pictures=False, drawings=True)}
    assert "set_out.svg" in files
    assert "wedges.svg" not in files  # nothing of it is level overhead, so no tilt is offered
