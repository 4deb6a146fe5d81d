"""The ball planned several ways."""

import json

import pytest
from PIL import Image


def test_a_denser_grade_weighs_more_and_the_chart_is_drawn(call, job, tmp_path):
    chart = tmp_path / "compare.png"
    said = call(
        "compare", job, "--grade", "rigid-6", "--parts", "12 degC", "--price-kg", "5", "--json", "--chart", chart
    )
    assert said.code == 0, said
    first, dense, cold = json.loads(said.out)["alternatives"]
    assert [first["name"], dense["name"], cold["name"]] == ["as it is", "grade rigid-6", "parts 12 degC"]
    assert dense["foam_kg"]["nominal"] == pytest.approx(2 * first["foam_kg"]["nominal"], rel=0.1)
    assert cold["cost"] > first["cost"] > 0
    with Image.open(chart) as image:
        assert image.width > 1000


def test_the_table_names_each_and_shows_no_cost_without_prices(call, job):
    said = call("compare", job, "--lift", "120 mm", "--also", "shop.hands=2; shop.largest_batch=8 L")
    assert said.code == 0, said
    assert "as it is" in said.out
    assert "lift 120 mm" in said.out
    assert "shop.hands=2" in said.out
    assert "Cost" not in said.out


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
