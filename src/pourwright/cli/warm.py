"""``pourwright warm``: what is compiled on the first run, compiled now."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Annotated

import typer

from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output, progress_shown

if TYPE_CHECKING:
    from pourwright.warm import Warmed

NAME = "warm"


def run(
    processes: Annotated[
        int | None,
        typer.Option(
            "--processes",
            metavar="N",
            min=1,
            max=64,
            help="How many compile at once; one a processor, 4 at most, if left out.",
            show_default=False,
        ),
    ] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Compile now what the first plan would have to wait for, once after installation.

    What is compiled is kept in the program's folder, or in the user's cache where that may not be written. Without it
    pourwright plan does the same when it finds nothing compiled. Exit code 1 means: nothing could be kept.
    """
    from pourwright.warm import warm

    with progress_shown(not quiet) as progress:
        done = warm(progress, processes=processes)
    if as_json:
        sys.stdout.write(json.dumps(done._asdict(), indent=2) + "\n")
    elif not quiet:
        output().print("\n".join(_words(done)), highlight=False, markup=False)
    return int(done.kept == 0)


def _words(done: Warmed) -> list[str]:
    words = []
    if done.kept:
        words += [f"Loops compiled and kept: {done.kept}.", "Commands load them from here on."]
    if done.lost:
        words.append(
            f"Loops compiled and not kept: {done.lost}. Each is compiled again when it is first called in a command: "
            "give a folder that can be written and stays, with room in it, as NUMBA_CACHE_DIR."
        )
    if done.missing:
        words.append(f"{done.missing} more no longer are as listed: each is compiled when it is first called.")
    return [*words, "Done again after an update of pourwright, of numba or of Python."] if done.kept else words
