"""What `pourwright grades` prints of the heat of a grade, and where it comes from."""

from __future__ import annotations

import io

from rich.console import Console

from pourwright.foam import grade_names, load_grade, with_chemistry
from pourwright.report.lists import cited_table, grades_table


def printed(table):
    console = Console(file=io.StringIO(), width=240)
    console.print(table)
    return console.file.getvalue()


def test_a_deviation_is_no_temperature():
    """15.8 K between two temperatures were printed as -257 °C."""
    text = printed(cited_table(load_grade("rigid-3")))
    row = next(line for line in text.splitlines() if line.startswith("rise_sd_k"))
    assert "15.8 K (28.4 °F of difference)" in row
    assert "-257" not in text


def test_grades_say_how_far_they_warm_themselves_and_how_that_is_known():
    text = printed(grades_table([load_grade(name) for name in grade_names()]))
    assert text.count("115 to 177 K (207 to 318 °F) *") == 3
    known = with_chemistry(load_grade("rigid-3"), 0.315, None, 0.0230, "data sheet of a test")
    (row,) = [line for line in printed(grades_table([known])).splitlines() if line.startswith("rigid-3")]
    assert "K (" in row.split("Warms")[0]
    assert "°F) *" not in row
    assert "data sheet of a test" in printed(cited_table(known))


def test_every_grade_names_a_source_for_its_heat():
    for name in grade_names():
        for value in ("heat_j_kg", "heat_sd_j_kg", "specific_heat_j_kgk", "rise_sd_k"):
            assert load_grade(name).cited[value].words()
