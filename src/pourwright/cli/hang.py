"""``pourwright hang``: loads on wall anchors, one page for the engineer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourwright.cli.answers import Files, OtherJob, Pictures, PlanFolder, ShellFile, answer
from pourwright.cli.options import Debug, Json

NAME = "hang"

Suggest = Annotated[
    int | None,
    typer.Option(
        "--suggest",
        metavar="N",
        min=3,
        max=12,
        help="Find places for N anchors like the job's first, instead of judging the job's own.",
        show_default=False,
    ),
]


def run(
    plan: PlanFolder,
    job: OtherJob = None,
    shell: ShellFile = None,
    places: Suggest = None,
    files: Files = True,
    pictures: Pictures = True,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Loads on the anchors of a piece that hangs on a wall, and what happens when one fails.

    Works from a plan that is already made. Writes hang.md and hang.png, report.html, tables and a drawing into its
    folder, with --suggest suggest.md. Exit code 1: refused.
    """
    if places is not None:
        return _suggest(places, plan, job, shell, files=files, as_json=as_json)
    from pourwright.draw.answers.files import draw_hang
    from pourwright.outcome import hang
    from pourwright.report.answers.hang_page import hang_page
    from pourwright.report.answers.hang_report import hang_files

    return answer(
        NAME,
        plan,
        job,
        shell,
        lambda piece, surface: hang(piece, surface()),
        hang_page,
        draw_hang,
        files=files,
        pictures=pictures,
        as_json=as_json,
        more=hang_files,
    )


def _suggest(count: int, plan: Path, job: Path | None, shell: Path | None, *, files: bool, as_json: bool) -> int:
    from pourwright.outcome import suggest
    from pourwright.report.answers.suggest_page import suggest_page

    return answer(
        "suggest",
        plan,
        job,
        shell,
        lambda piece, surface: suggest(piece, surface(), count),
        suggest_page,
        None,
        files=files,
        pictures=False,
        as_json=as_json,
    )
