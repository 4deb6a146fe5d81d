"""``pourwright cup``: how the foam of a job rises in a cup today."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from pourwright.cli.options import Debug, Json, overrides_of
from pourwright.cli.screen import output

NAME = "cup"


def run(
    job: Annotated[Path, typer.Argument(metavar="JOB.toml", help="A job file; its shell is not read.")],
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE.png", help="Draw the history into this file.", show_default=False),
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="Any key of a job file; may be given again.", show_default=False
        ),
    ] = None,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Height, temperature and conversion of a cup of the job's foam against time, at the shop's temperatures.

    A [cup] table in the job holds a real cup test: measured times, height or weight, temperature. It replaces the data
    sheet's values for this job.
    """
    from pourwright.errors import UsageError
    from pourwright.intake import read_job
    from pourwright.plan import history_of
    from pourwright.report.cup_page import cup_json, draw_cup, print_cup
    from pourwright.wording.findings import sentences

    asked = read_job(job, overrides_of({}, settings or []))
    history = history_of(asked)
    if history.cup is None:
        raise UsageError(" ".join(sentences(history.notes)))
    if picture is not None:
        draw_cup(history.cup, asked.grade.title, picture)
    if as_json:
        sys.stdout.write(cup_json(asked, history, history.cup))
    else:
        print_cup(asked, history, history.cup, output())
    return 0
