"""``pourwright hang``: loads on wall anchors, one page for the engineer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from pourwright.cli.answers import DrawnOptions, answer

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


@dataclass(frozen=True)
class Options(DrawnOptions):
    """What ``pourwright hang`` takes."""

    suggest: Suggest = None


def run(options: Options) -> int:
    """Loads on the anchors of a piece that hangs on a wall, and what happens when one fails.

    Works from a plan that is already made. Writes hang.md and hang.png, report.html, tables and a drawing into its
    folder, with --suggest suggest.md.

    Exit code 1: refused; 3: not all could be checked.
    """
    if options.suggest is not None:
        return _suggest(options.suggest, options)
    from pourwright.answers.drawn.files import draw_hang
    from pourwright.answers.hang_page import hang_page
    from pourwright.answers.hang_report import hang_files
    from pourwright.hanging import hang

    return answer(
        NAME,
        options,
        lambda piece, surface: hang(piece, surface()),
        hang_page,
        draw_hang,
        hang_files,
    )


def _suggest(count: int, options: Options) -> int:
    from pourwright.answers.suggest_page import suggest_page
    from pourwright.hanging import suggest

    return answer(
        "suggest",
        options,
        lambda piece, surface: suggest(piece, surface(), count),
        suggest_page,
        None,
    )
