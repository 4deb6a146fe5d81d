"""``pourwright grades``: the foam grades that come with the program, and where their values come from."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output

NAME = "grades"


def run(
    grade: Annotated[
        str | None,
        typer.Argument(metavar="GRADE", help="One grade, with the source of every value.", show_default=False),
    ] = None,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """List the foam grades, or one of them with the source of every value."""
    from pourwright.foam import grade_names, load_grade
    from pourwright.report.lists import cited_json, cited_table, grades_table

    grades = [load_grade(name) for name in ([grade] if grade else grade_names())]
    if as_json:
        sys.stdout.write(cited_json(grades))
    else:
        table = cited_table(grades[0]) if grade else grades_table(grades)
        output().print(table, highlight=False, markup=False)
    return 0
