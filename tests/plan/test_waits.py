"""One wait a lift, from the start of its first mix, the same in every written form; the clock keeps it.

From outside: arithmetic of the day by hand (starts as the schedule lists them), and reading what was written.
"""

import csv
import io
import itertools
import json
import math
import re

import pytest
from rich.console import Console
from tests.reference.seen import lifts_seen

from pourwright.document.plan_json import plan_json
from pourwright.draw.timeline import bars_of
from pourwright.report.markdown import plan_markdown
from pourwright.report.piece_page import piece_html
from pourwright.report.pours_csv import pours_csv
from pourwright.report.sheet import sheet_html
from pourwright.report.tables import print_plan

WAYS = {
    "computed": {},
    "formulas": {"heat.computed": False},
    "several mixes": {"shop.largest_batch": "50 mL", "grid.cell": "40 mm"},
}


def _seconds(words):
    """'1 h 20 min' or '35 min' read as a person reads it."""
    part = {unit: int(n) for n, unit in re.findall(r"(\d+) (h|min|s)\b", words)}
    return 3600 * part.get("h", 0) + 60 * part.get("min", 0) + part.get("s", 0)


def _flat(text):
    return " ".join(text.replace("\u00a0", " ").replace("\\n", " ").split())


WAIT = r"((?:\d+ h)?(?: ?\d+ min)?), counted from the start of mix (\w+)"


@pytest.fixture(scope="module", params=["computed", "formulas", "in turns", "several mixes"])
def plan(request, plan_of, tmp_path_factory):
    if request.param == "in turns":
        made = _legs(tmp_path_factory.mktemp("legs"))
        assert any(pour.after for lift in made.lift_plan.lifts for pour in lift.pours)
        assert any(len(lift.pours) > 1 for lift in made.lift_plan.lifts)
        return made
    made = plan_of("column", **WAYS[request.param])
    if request.param == "several mixes":
        assert any(pour.batches > 1 for lift in made.lift_plan.lifts for pour in lift.pours)
    return made


def _legs(folder):
    """Two legs under a body, one person: pours of a lift go one after the other."""
    import trimesh

    from pourwright.intake import job_from_shell
    from pourwright.plan import make_plan

    parts = [((0, 0.16), (0, 0.3)), ((0.3, 0.46), (0, 0.3)), ((0, 0.46), (0.1, 0.45))]
    boxes = [trimesh.creation.box(bounds=[[x[0], 0, z[0]], [x[1], 0.16, z[1]]]) for x, z in parts]
    trimesh.boolean.union(boxes, engine="manifold").export(folder / "legs.stl")
    asked = {
        "piece.unit": "m", "wall.thickness": "4 mm", "foam.grade": "rigid-3", "grid.cell": "10 mm",
        "heat.cells": 3000, "structure.computed": False, "day.search": False,
    }  # fmt: skip
    return make_plan(job_from_shell(folder / "legs.stl", asked))


def test_every_written_form_tells_the_same_wait_of_a_lift_from_the_same_mix(plan):
    document = json.loads(plan_json(plan))
    terminal = io.StringIO()
    print_plan(plan, Console(file=terminal, width=300))
    rows = {row["pour"]: row for row in csv.DictReader(io.StringIO(pours_csv(plan)))}
    told = {}
    for lift in document["lifts"]:
        wait = lift["wait_s"]
        assert wait == plan.lift_plan.lifts[lift["number"] - 1].wait_s
        assert wait % 60 == 0
        told[lift["wait_from"]] = wait
        for pour in lift["pours"]:
            assert pour["wait_s"] == wait
            assert 60 * float(rows[pour["name"]]["wait_min"]) == wait
            if pour["heat"] is not None:
                assert pour["heat"]["wait_s"] == wait
    texts = (terminal.getvalue(), plan_markdown(plan), sheet_html(plan), piece_html(plan))
    pours = sum(len(lift["pours"]) for lift in document["lifts"])
    for text, count in zip(texts, (pours, pours, pours, len(told)), strict=True):
        found = [(_seconds(words), name) for words, name in re.findall(WAIT, _flat(text))]
        assert len(found) >= count
        assert {(wait, name) for name, wait in told.items()} == set(found)
    drawn = [(bar.row, bar.end_s - bar.start_s) for bar in bars_of(plan) if bar.kind == "wait"]
    assert drawn == [(f"Lift {lift['number']}", pytest.approx(lift["wait_s"])) for lift in document["lifts"]]


def test_the_clock_begins_a_lift_when_the_wait_of_the_one_before_is_over(plan):
    document = json.loads(plan_json(plan))
    mixes = [step for step in document["computed"]["schedule"] if step["kind"] == "mix"]
    start = {n: min(m["start_s"] for m in mixes if m["lift"] == n) for n in {m["lift"] for m in mixes}}
    first = {n: min((m for m in mixes if m["lift"] == n), key=lambda m: m["start_s"])["pour"] for n in start}
    for low, high in itertools.pairwise(document["lifts"]):
        assert start[high["number"]] >= start[low["number"]] + low["wait_s"] - 1e-6
        assert start[high["number"]] == pytest.approx(start[low["number"]] + low["wait_s"])  # and no later
    for lift in document["lifts"]:
        assert lift["wait_from"] == first[lift["number"]]
        (wait,) = [s for s in document["computed"]["schedule"] if s["kind"] == "wait" and s["lift"] == lift["number"]]
        assert wait["end_s"] - wait["start_s"] == pytest.approx(lift["wait_s"])
        for pour in lift["pours"]:
            if pour["start_s"] is not None:
                mine = min(m["start_s"] for m in mixes if m["pour"] == pour["name"])
                assert pour["start_s"] == pytest.approx(mine, abs=1e-6)


def test_the_last_mix_of_a_lift_has_risen_and_has_its_own_wait_when_the_next_lift_comes(plan):
    steps = plan.computed.steps
    foam, rules = plan.foam, plan.job.heat
    for low, high in itertools.pairwise(lifts_seen(plan)):
        begin = min(s.start_s for s in steps if s.lift == high.number)
        for pour in low.pours:
            last = max(s.start_s for s in steps if s.kind == "mix" and s.pour == pour.name)
            assert begin >= last + foam.rise_end_s - 1e-6
            if pour.heat is None:
                assert begin >= last + pour.wait_s - 1e-6  # its closed form, from that mix
            else:
                assert begin >= last + min(rules.shortest_wait_s, low.wait_s - (last - pour.heat.start_s)) - 1e-6
    assert all(math.isfinite(lift.wait_s) for lift in plan.lift_plan.lifts)
