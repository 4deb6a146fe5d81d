"""Anchors on the bench sheet: read back from what it prints, in both poses, and marked in the right lift's picture."""

import html
import re
from dataclasses import replace
from types import SimpleNamespace as N

import numpy as np
import pytest

from pourwright.cavity import Grid
from pourwright.draw import lifts as pictures
from pourwright.draw.lifts import lift_picture, stage_of
from pourwright.lifts import Measures
from pourwright.outcome import Anchor, Hang, Insert, Site, Spot
from pourwright.report.sheet import sheet_html
from pourwright.wording.places.anchors import burying, placed_anchors
from pourwright.wording.places.hard_points import in_the_stream

# The box of the hand-made plan is 0.4 x 0.3 x 1 m, poured as it stands. It hangs lying: its x axis upwards, its top
# (z = 1) against the wall, so a reader before the wall looks along +z, and +y is to the right: forward x up = z x x.
LYING = Hang(out=(0.0, 0.0, -1.0), up=(1.0, 0.0, 0.0))
PLACES = {"deep": (0.1, 0.25, 0.97), "high": (0.35, 0.05, 0.6), "taped": (0.15, 0.2, 1.0)}


def lying_site():
    return Site(
        anchors=(
            Anchor("deep", Spot(at_m=PLACES["deep"])),
            Anchor("high", Spot(at_m=PLACES["high"])),
            # y = 0 is left-most, x = 0 the base. No depth: on the back, z = 1.
            Anchor("taped", Spot(from_left_m=0.2, from_base_m=0.15), insert=Insert(0.03, 0.6)),
        ),
        hang=LYING,
    )


def cells(text):
    """Rows of the sheet's table of anchors, each a dict by head."""
    table = text[text.index("<h3>Anchors and things inside</h3>") :]
    table = table[: table.index("</table>")]
    rows = re.findall(r"<tr>(<td.*?)</tr>", table, re.DOTALL)
    found = [re.findall(r'<td data-head="(.*?)">(.*?)</td>', row) for row in rows]
    return [{head: html.unescape(re.sub("<.*?>", "", cell)).replace("\u00a0", " ") for head, cell in r} for r in found]


def numbers(words):
    found = re.findall(r"(\d+) mm \([^)]*\) (up from the base|from the left|from the front)", words)
    return {which: int(value) / 1e3 for value, which in found}


def test_both_poses_are_printed_and_read_back_to_the_same_point(hand_plan):
    plan = hand_plan(site=lying_site())
    rows = cells(sheet_html(plan))
    assert [row["anchor"] for row in rows] == list(PLACES)
    for row in rows:
        point = np.array(PLACES[row["anchor"]])
        hung = numbers(row["as it hangs"])
        # Hanging: left is y, up is x, the front is z = 0.
        back = [hung["up from the base"], hung["from the left"], hung["from the front"]]
        assert back == pytest.approx(point, abs=6e-4)
        bench = numbers(row["as it stands on the bench while pouring"])
        back = [bench["from the left"], bench["from the front"], bench["up from the base"]]
        assert back == pytest.approx(point, abs=6e-4)


def test_the_lift_that_buries_an_anchor_is_named_and_said_before_it(hand_plan):
    text = sheet_html(hand_plan(site=lying_site()))
    by = {row["anchor"]: row["buried by"] for row in cells(text)}
    assert by == {"deep": "lift 2", "high": "lift 2", "taped": "lifts 1 and 2"}  # its insert reaches down to 0.4 m
    said = re.findall(r"Anchors that the foam of this lift buries: (.*?) \(", text)
    assert said == ["taped", "deep, high"]


def test_a_depth_that_the_job_does_not_give_is_said(hand_plan):
    text = sheet_html(hand_plan(site=lying_site()))
    assert "taped: the job gives no depth" in text
    assert "deep" not in re.search(r"<li>([^<]*)the job gives no depth", text).group(1)


def test_a_job_without_anchors_says_so(hand_plan):
    assert "The job names no anchors" in sheet_html(hand_plan())


def test_anchors_stand_in_the_picture_of_their_lift_and_in_no_other(stool_plan, monkeypatch):
    low, high = (lift for lift in (stool_plan.lift_plan.lifts[0], stool_plan.lift_plan.lifts[-1]))
    size, frame = stool_plan.frame.size_m, stool_plan.frame
    spots = {
        "low one": frame.to_shell(np.array([0.5 * size[0], size[1], 0.5 * (low.bottom_m + low.top_m)])),
        "high one": frame.to_shell(np.array([0.5 * size[0], size[1], 0.5 * (high.bottom_m + high.top_m)])),
    }
    site = Site(
        anchors=tuple(Anchor(name, Spot(at_m=tuple(spot))) for name, spot in spots.items()),
        hang=Hang(tuple(-frame.rotation[1]), tuple(frame.up)),
    )
    plan = replace(stool_plan, job=replace(stool_plan.job, site=site))
    assert [placed.lifts for placed in placed_anchors(plan)] == [(low.number,), (high.number,)]
    shown: list[tuple[str, tuple[float, float]]] = []
    monkeypatch.setattr(
        pictures.Pen,
        "labels",
        lambda self, labels: shown.extend((b.head, b.anchor) for b in labels if b.mark == "anchor"),
    )
    stage = stage_of(plan)
    from tests.reference.drawn import lift_bodies

    from pourwright.draw.paint import Drawing

    foam = Drawing(stage.view)
    for lift, body in zip(plan.lift_plan.lifts, lift_bodies(plan, stage.view), strict=True):
        foam.add(body)
        shown.clear()
        lift_picture(plan, stage, lift, foam.layer(stage.hollow_m))
        wanted = {low.number: ["low one"], high.number: ["high one"]}.get(lift.number, [])
        assert [name for name, _ in shown] == wanted
        for name, at in shown:
            assert at == pytest.approx([float(v) for v in stage.view.shell(spots[name])[:2]])


def test_an_insert_is_buried_by_the_pour_it_lies_in_and_not_by_its_height():
    """Two limbs side by side, cut each at its own heights: one filled to 0.8 m in lift 2, the other from there on."""
    label = np.zeros((10, 4, 10), np.uint32)
    label[:4, :, :8], label[:4, :, 8:], label[6:] = 1, 2, 3
    pours = {1: [], 2: [0], 3: [2], 4: [1]}
    spans = {1: (0.0, 0.1), 2: (0.0, 0.8), 3: (0.0, 1.0), 4: (0.8, 1.0)}
    lifts = tuple(
        N(number=k, bottom_m=low, top_m=top, pours=(N(nodes=np.array(pours[k], int)),))
        for k, (low, top) in spans.items()
    )
    plan = N(cavity=N(grid=Grid(np.zeros(3), 0.1, label.shape)), graph=N(label=label), lift_plan=N(lifts=lifts))
    assert burying(plan, np.array([[0.15, 0.15, z] for z in (0.65, 0.75)])) == (2,)
    assert burying(plan, np.array([[0.15, 0.15, z] for z in (0.75, 0.85)])) == (2, 4)
    assert burying(plan, np.array([[0.75, 0.15, 0.95]])) == (3,)
    assert burying(plan, np.array([[0.45, 0.15, z] for z in (0.05, 0.08)])) == (
        1,
        2,
        3,
    )  # in the wall: the lifts at its height


def test_a_stream_is_led_past_an_anchor_that_stands_in_its_way(hand_plan):
    """The insert "taped", 30 mm wide, stands at x 0.15 and y 0.2 from before lift 1; it had been poured on."""
    plan = hand_plan(site=lying_site())
    pour = plan.lift_plan.lifts[1].pours[0]
    floor = plan.frame.to_shell(np.array([0.0, 0.0, 0.5]))

    def said(x, y):
        return in_the_stream(plan, pour, N(measures=Measures(1.0, x, y), point_m=floor))

    assert said(0.15, 0.2) == ["taped"]
    assert said(0.175, 0.2) == ["taped"]
    assert said(0.185, 0.2) == []
