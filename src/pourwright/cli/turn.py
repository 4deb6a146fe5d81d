"""``pourwright turn``: which way up to pour."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from pourwright.cli.codes import NOT_KNOWN, REFUSED
from pourwright.cli.options import Debug, Json, PieceOptions, job_of
from pourwright.cli.screen import output, progress_shown, say
from pourwright.errors import UsageError

NAME = "turn"
MOST = 12


@dataclass(frozen=True)
class Options(PieceOptions):
    """What ``pourwright turn`` takes besides."""

    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="DIR", help="Folder for turn.json and turn.png.", show_default=False),
    ] = None
    confirm: Annotated[int, typer.Option("--confirm", help="How many of the best are evaluated in full.")] = 2
    fine: Annotated[bool, typer.Option("--fine", help="Four times as many directions to begin with.")] = False
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")] = True
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False


def run(options: Options) -> int:
    """Search the directions to pour a piece in and rank them.

    Prints the line for the job file; pourwright plan takes it with --set "piece.up=[x, y, z]" too.
    Exit code 1: every way evaluated in full is over a limit; 3: of none that is not is everything known.
    """
    from pourwright.answers.turn_page import print_turn, turn_json, write_turn
    from pourwright.turn import find_ways

    if not 1 <= options.confirm <= MOST:
        raise UsageError(f"--confirm {options.confirm}: give a number from 1 to {MOST}")
    overrides = options.overrides()
    job = job_of(options.piece, overrides)
    with progress_shown(not options.quiet) as progress:
        found = find_ways(job, confirm=options.confirm, fine=options.fine, progress=progress)
        files = write_turn(found, options.out, pictures=options.pictures) if options.out is not None else ()
    if options.as_json:
        sys.stdout.write(turn_json(found))
    elif not options.quiet:
        console = output()
        print_turn(found, console)
        if files:
            console.print(f"\n{', '.join(file.name for file in files)} in {options.out}", highlight=False, markup=False)
    over, unknown = found.best[0].over, found.best[0].unknown
    if over:
        say(f"every way evaluated in full is over a limit: {', '.join(over)}")
        return REFUSED
    if unknown:
        say(
            "of no way evaluated in full is everything known, and that is not to be taken as safe: "
            f"{', '.join(unknown)}"
        )
        return NOT_KNOWN
    return 0
