"""The ball planned several ways."""

import json

import pytest
from PIL import Image


def test_a_denser_grade_weighs_more_and_the_chart_is_drawn(call, job, tmp_path):
    chart = tmp_path / "compare.png"
    said = call(
        "compare",
        job,
        "--grade",
        "rigid-6",
        "--parts",
        "12 degC",
        "--price-kg",
        "5",
        "--json",
        "--quick",
        "--chart",
        chart,
    )
    assert said.code == 0, said
    first, dense, cold = json.loads(said.out)["alternatives"]
    assert [first["name"], dense["name"], cold["name"]] == ["as it is", "grade rigid-6", "parts 12 degC"]
    assert dense["foam_kg"]["nominal"] == pytest.approx(2 * first["foam_kg"]["nominal"], rel=0.1)
    assert cold["cost"] > first["cost"] > 0
    with Image.open(chart) as image:
        assert image.width > 1000


def test_the_table_names_each_and_shows_no_cost_without_prices(call, job):
    said = call("compare", job, "--quick", "--lift", "120 mm", "--also", "shop.hands=2; shop.largest_batch=8 L")
    assert said.code == 0, said
    assert "as it is" in said.out
    assert "lift 120 mm" in said.out
    assert "shop.hands=2" in said.out
    assert "Cost" not in said.out


def test_closed_forms_show_no_hours_and_say_so(call, job, tmp_path):
    said = call("compare", job, "--quick", "--lift", "120 mm")
    assert "Hours" not in said.out
    assert "formulas only: no hours" in " ".join(said.out.split())
    rows = json.loads(call("compare", job, "--quick", "--lift", "120 mm", "--json").out)["alternatives"]
    assert [(row["hours"], row["computed"]) for row in rows] == [(None, False)] * 2


def test_a_way_over_a_limit_is_not_better_in_anything_that_is_said(call, job):
    """A wall so thin that it bulges: thicker lifts are fewer and lighter, and must not be called better."""
    weak = ("--set", "wall.thickness=1 mm", "--set", "piece.material=polyethylene", "--quick", "--json")
    rows = json.loads(call("compare", job, *weak, "--lift", "60 mm", "--packing", "1.2").out)["alternatives"]
    over = {row["name"] for row in rows if row["over"]}
    assert over, "the test has to meet a limit"
    assert not over & {row["beaten_by"] for row in rows}


@pytest.mark.slow
def test_compare_says_what_the_plan_says(call, job):
    """Hours, lifts and limits of each way are those of a plan of its own with the same settings."""
    ways = {"100 mm": {}, "200 mm": {}}
    coarse = ("--set", "grid.cell=10 mm", "--set", "heat.cells=4000")
    rows = json.loads(call("compare", job, *coarse, *(w for way in ways for w in ("--lift", way)), "--json").out)
    compared = {row["name"].removeprefix("lift "): row for row in rows["alternatives"]}
    for way in ways:
        lift = ("--set", f"limits.lift={way}", "--set", "limits.lift_reference=asked")
        plan = json.loads(call("plan", job, *coarse, *lift, "--json").out)
        assert compared[way]["hours"] == pytest.approx(plan["computed"]["elapsed_s"] / 3600, rel=1e-4)
        assert compared[way]["lifts"] == len(plan["lifts"])
        checks = [*plan["checks"], *(c for lift in plan["lifts"] for p in lift["pours"] for c in p["checks"])]
        assert set(compared[way]["over"]) == {c["name"] for c in checks if c["verdict"] == "over"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "nothing to compare with"),
        (("--grade", "rigid-99"), "rigid-99"),
        (("--packing", "9"), "foam.packing"),
        (("--grade", "rigid-2", "--chart", "no/such/folder.png"), "cannot be written"),
        (("--grade", "rigid-2", "--chart", "chart.txt"), "cannot be written"),
    ],
)
def test_refusals(refused, job, arguments, words):
    assert words in refused(2, "compare", job, *arguments)
