"""``pourwright warm``: what is compiled on the first run, compiled now."""

from __future__ import annotations

import json
import sys
from typing import Annotated

import typer

from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output, progress_shown

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
    pourwright plan does the same when it finds nothing compiled.
    """
    from pourwright.warm import warm

    with progress_shown(not quiet) as progress:
        kept, missing = warm(progress, processes=processes)
    if as_json:
        sys.stdout.write(json.dumps({"kept": kept, "missing": missing}, indent=2) + "\n")
    elif not quiet:
        words = [f"Compiled and kept: {kept} loops.", "Commands load them from here on."]
        if missing:
            words.append(f"{missing} more no longer are as listed: each is compiled when it is first called.")
        words.append("Done again after an update of pourwright, of numba or of Python.")
        output().print("\n".join(words), highlight=False, markup=False)
    return 0
