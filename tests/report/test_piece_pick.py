"""A click on the page, in a real browser: the point that it tells lies on the shell, and reads back as a job has it."""

import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pourwright.hanging import hanging_pose, hung_point
from pourwright.outcome import Hang, Site, Spot
from pourwright.report.piece_page import piece_html

CLICK = """(async () => {
const canvas = document.getElementById("view");
const places = [];
for (let down = 0.3; down < 0.7; down += 0.05) {
  for (let across = 0.3; across < 0.7; across += 0.05) places.push([across, down]);
}
for (const [across, down] of places) {
  const [x, y] = [innerWidth * across, innerHeight * down];
  const where = { clientX: x, clientY: y, pointerId: 1 };
  for (const kind of ["pointerdown", "pointerup"]) canvas.dispatchEvent(new PointerEvent(kind, where));
  if (!document.getElementById("picked").hidden) break;
}
const box = document.getElementById("picked");
const [lines, said] = [box.querySelector("textarea").value, box.querySelector("p").textContent];
const told = { open: !box.hidden, lines, said };
box.querySelector("button").click();
told.closed = box.hidden;
return told;
})()"""


def metres(text):
    return float(text.removesuffix(" mm")) / 1e3


def test_a_click_tells_a_point_of_the_shell(stool_plan, browser, tmp_path):
    asked = Hang((0.0, -1.0, 0.0), (1.0, 0.0, 0.0))  # hung on its side
    plan = replace(stool_plan, job=replace(stool_plan.job, site=Site(hang=asked)))
    page = tmp_path / "piece.html"
    page.write_text(piece_html(plan), encoding="utf-8")
    browser.open(page)
    told = browser.run(CLICK)
    assert browser.logged == []
    assert told["open"]
    assert told["closed"]
    assert "from the left" in told["said"]
    at = [metres(v) for v in re.search(r"at = \[(.*)\]", told["lines"]).group(1).replace('"', "").split(", ")]
    body = trimesh.Trimesh(plan.skin.vertices_m, plan.skin.faces)
    _, away, _ = trimesh.proximity.closest_point(body, [at])
    assert away[0] < 0.003  # the page's skin has fewer triangles, and the lines whole millimetres

    blocks = [block for block in told["lines"].split("\n\n") if "from_left" in block]
    standing, hanging = ({k: metres(v) for k, v in re.findall(r'(from_\w+) = "(\S+ mm)"', block)} for block in blocks)
    near = {f"{side}_m": standing[side] for side in ("from_left", "from_front", "from_base")}
    assert plan.frame.to_shell(Spot(**near).standing(plan.frame)) == pytest.approx(at, abs=0.0011)
    far = {f"{side}_m": standing[side] for side in ("from_right", "from_back", "from_top")}
    assert plan.frame.to_shell(Spot(**far).standing(plan.frame)) == pytest.approx(at, abs=0.0011)
    pose = hanging_pose(plan.skin.vertices_m, asked)
    point = hung_point(Spot(from_left_m=hanging["from_left"], from_base_m=hanging["from_base"]), pose)
    along = np.delete(pose.frame.to_standing(point) - pose.frame.to_standing(np.array(at)), 1)
    assert along == pytest.approx([0, 0], abs=0.0011)


def test_a_piece_that_hangs_nowhere_has_no_lines_for_anchors(stool_plan):
    assert '"hang": null' in piece_html(stool_plan) or '"hang":null' in piece_html(stool_plan)
