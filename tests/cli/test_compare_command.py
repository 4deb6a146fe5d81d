"""The ball planned several ways."""

import json

import pytest
from PIL import Image

EVEN = ("--set", "day.search=false")


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
    said = call("compare", job, "--quick", "--lift", "120 mm", *EVEN)
    assert "Until cool" not in said.out
    assert "Last pour" not in said.out
    assert "Hours" not in said.out
    assert "formulas only: no hours" in " ".join(said.out.split())
    rows = json.loads(call("compare", job, "--quick", "--lift", "120 mm", *EVEN, "--json").out)["alternatives"]
    assert [(row["hours"], row["computed"]) for row in rows] == [(None, False)] * 2


def test_a_way_over_a_limit_is_not_better_in_anything_that_is_said(call, job):
    """A wall so thin that it bulges: thicker lifts are fewer and lighter, and must not be called better."""
    weak = ("--set", "wall.thickness=1 mm", "--set", "piece.material=polyethylene", "--quick", "--json")
    rows = json.loads(call("compare", job, *weak, "--lift", "60 mm", "--packing", "1.2").out)["alternatives"]
    over = {row["name"] for row in rows if row["over"]}
    assert over, "the test has to meet a limit"
    assert not over & {row["beaten_by"] for row in rows}


def test_a_searched_day_has_its_hours_pours_and_dose_also_quick(call, job):
    ways = ("--quick", "--set", "day.search=true", "--also", "shop.hands=2", "--also", "heat.rise=250 K")
    answer = json.loads(call("compare", job, *ways, "--json").out)
    plain, hands, hot = answer["alternatives"]
    quick = json.loads(call("plan", job, "--quick", "--set", "day.search=true", "--json").out)
    assert plain["last_h"] == pytest.approx(quick["day"]["hours_to_last_pour"], rel=1e-6)
    assert plain["pours"] == quick["day"]["pours"]
    assert plain["dose_h"] == pytest.approx(next(day for day in quick["day"]["front"] if day["chosen"])["dose_h"])
    assert answer["best"] in ("as it is", "shop.hands=2")
    assert [row["best"] for row in answer["alternatives"]].count(True) == 1
    assert hands["last_h"] <= plain["last_h"] + 1e-9
    assert hot["dose_h"] > plain["dose_h"]
    assert hot["over"]
    assert not hot["best"]


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
