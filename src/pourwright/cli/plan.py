"""``pourwright plan``: from a job file or a shell file to a plan."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourwright.cli.options import Debug, Json, Kind, Unit, overrides_of
from pourwright.cli.screen import output, progress_shown
from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.plan import Job
    from pourwright.progress import Progress

NAME = "plan"
REFUSED = 1


def run(
    piece: Annotated[Path, typer.Argument(metavar="JOB.toml|SHELL", help="A job file, or a shell file.")],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            metavar="DIR",
            help="Folder for the plan; new, empty, or with an earlier plan.",
            show_default=False,
        ),
    ] = None,
    unit: Unit = None,
    wall: Annotated[
        str | None, typer.Option("--wall", help='Wall thickness with its unit, like "5 mm".', show_default=False)
    ] = None,
    foam: Annotated[
        str | None, typer.Option("--foam", help="Foam grade; pourwright grades lists them.", show_default=False)
    ] = None,
    material: Annotated[
        str | None,
        typer.Option("--material", help="Skin material; pourwright materials lists them.", show_default=False),
    ] = None,
    kind: Kind = None,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="Any other key of a job file; may be given again.", show_default=False
        ),
    ] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="Closed forms only: no heat and rise in the real shape.")
    ] = False,
    turned: Annotated[
        bool, typer.Option("--turned", help="Pour with the best way up that pourwright turn finds, not the job's.")
    ] = False,
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")] = True,
    drawings: Annotated[
        bool, typer.Option("--drawings", help="Also write outlines (SVG, DXF) and dipsticks at true scale.")
    ] = False,
    film: Annotated[bool, typer.Option("--film", help="Also write fill.gif, a film of the fill.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Plan the pours of one piece.

    PIECE is a job file (.toml) or a shell file (.stl, .obj, .ply, .glb, .3mf, .off). With a shell file everything that
    is not given is taken by default, and the plan lists what was taken. Exit code 1 means: over a limit, do not pour.
    """
    from pourwright.paper import check_folder, plan_json, print_plan, write_plan
    from pourwright.plan import make_plan

    named = {
        "piece.unit": unit,
        "piece.kind": kind,
        "piece.material": material,
        "wall.thickness": wall,
        "foam.grade": foam,
    }
    overrides = overrides_of(named, settings or [])
    if quick:
        overrides["heat.computed"] = False
    job = job_of(piece, overrides)
    if out is None and (drawings or film):
        raise UsageError("--drawings and --film go into the plan's folder: name it with --out DIR")
    if out is not None:
        check_folder(out)
    with progress_shown(not quiet) as progress:
        if turned:
            job = _turned(job, progress)
            overrides["piece.up"] = list(job.up)  # a record of this plan must pour the same way
        made = make_plan(job, progress)
        files = (
            write_plan(
                made,
                out,
                pictures=pictures,
                progress=progress,
                request=request_of(piece, overrides, out),
                drawings=drawings,
                film=film,
            )
            if out is not None
            else ()
        )
    if as_json:
        sys.stdout.write(plan_json(made, sorted(file.name for file in files[:-1]), out))
    elif not quiet:
        console = output()
        print_plan(made, console)
        if out is not None:
            console.print(f"\n{len(files)} files in {out}", highlight=False, markup=False)
    if made.over_limit:
        from pourwright.paper import status_words

        print(f"pourwright: {status_words(made)}", file=sys.stderr)
        return REFUSED
    return 0


def request_of(piece: Path, overrides: dict[str, object], folder: Path) -> dict[str, object]:
    """What was asked for, with the path from the plan's folder, so that both can be moved together."""
    try:
        place = Path(os.path.relpath(piece.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        place = piece.resolve().as_posix()
    return {"piece": place, "settings": overrides}


def job_of(piece: Path, overrides: dict[str, object]) -> Job:
    """The job in a job file, or for a shell file."""
    from pourwright.intake import job_from_shell, read_job

    if piece.suffix.lower() == ".toml":
        return read_job(piece, overrides)
    return job_from_shell(piece, overrides)


def _turned(job: Job, progress: Progress) -> Job:
    """The job with the best way up found; the plan lists it among what was assumed."""
    from pourwright.turn import direction_line, find_ways, near_signs

    best = find_ways(job, progress=progress).best[0].way
    up = (float(best.up[0]), float(best.up[1]), float(best.up[2]))
    kept = tuple(words for words in job.assumed if not words.startswith("up taken as"))
    words = f"{direction_line(best.up)}, the best way up of the directions searched: {near_signs(best.up)}"
    return replace(job, up=up, assumed=(*kept, words))
