"""``pourwright plan``: from a job file or a shell file to a plan."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourwright.cli.codes import closed_plan
from pourwright.cli.options import Debug, Json, PieceOptions, job_of
from pourwright.cli.screen import output, progress_shown, watched
from pourwright.errors import FileError, UsageError
from pourwright.plainfile import real

if TYPE_CHECKING:
    from pourwright.plan import Job, Plan
    from pourwright.progress import Progress
    from pourwright.record import CoatEntry, Entry

NAME = "plan"


@dataclass(frozen=True)
class Options(PieceOptions):
    """What ``pourwright plan`` takes besides."""

    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            metavar="DIR",
            help="Folder for the plan; new, empty, or with an earlier plan.",
            show_default=False,
        ),
    ] = None
    quick: Annotated[
        bool,
        typer.Option(
            "--quick",
            help="A short search and formulas: no heat and rise in the real shape, no pictures unless asked for.",
        ),
    ] = False
    turned: Annotated[
        bool, typer.Option("--turned", help="Pour with the best way up that pourwright turn finds, not the job's.")
    ] = False
    take: Annotated[
        int | None,
        typer.Option(
            "--take", metavar="POURS", help="Search the day; take the one of so many pours.", show_default=False
        ),
    ] = None
    way: Annotated[
        str | None,
        typer.Option(
            "--way",
            metavar="DIR:NUMBER",
            help="Fill it as that row of the ways that pourwright ways wrote there has it.",
            show_default=False,
        ),
    ] = None
    pictures: Annotated[
        bool | None,
        typer.Option(
            "--pictures/--no-pictures", help="Whether to draw; left out, all but a --quick plan is.", show_default=False
        ),
    ] = None
    drawings: Annotated[
        bool, typer.Option("--drawings", help="Also write outlines (SVG, DXF) and dipsticks at true scale.")
    ] = False
    film: Annotated[bool, typer.Option("--film", help="Also write fill.gif, a film of the fill.")] = False
    start_over: Annotated[
        bool,
        typer.Option("--start-over", help="Plan an empty shell though the folder has a record of pours; it is kept."),
    ] = False
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False


def run(options: Options) -> int:
    """Plan the pours of one piece.

    JOB.toml is a job file, SHELL a shell file (.stl, .obj, .ply, .glb, .3mf, .off). With a shell file everything that
    is not given is taken by default, and the plan lists what was taken. Exit code 1 means: over a limit, do not pour;
    3: not all is known, and that is not to be taken as safe.
    """
    from pourwright.plan import make_plan
    from pourwright.warm import at_first_use

    overrides = options.overrides()
    if options.take is not None:
        overrides["day.search"], overrides["day.pours"] = True, options.take
    if options.quick:
        overrides["heat.computed"] = False
    job = _job(options, overrides)
    if options.out is None and (options.drawings or options.film):
        raise UsageError("--drawings and --film go into the plan's folder: name it with --out DIR")
    if options.start_over and options.out is None:
        raise UsageError("--start-over is about a folder: name it with --out DIR")
    if options.out is not None:
        from pourwright.report.folder import check_folder

        check_folder(options.out)
        if not options.start_over:
            _refuse_poured(options.out)
    with progress_shown(not options.quiet) as progress:
        if not options.quiet and watched():
            at_first_use(progress)
        if options.turned:
            job = _turned(job, progress)
            overrides["piece.up"] = list(job.up)  # a record of this plan must pour the same way
        made = _with_lining(make_plan(job, progress), progress)
        kept = None
        files: tuple[Path, ...] = ()
        if options.out is not None:
            from pourwright.report.folder import write_plan

            with _set_aside(options.out) as kept:
                files = write_plan(
                    made,
                    options.out,
                    pictures=not options.quick if options.pictures is None else options.pictures,
                    progress=progress,
                    request=request_of(options.piece, overrides, options.out),
                    drawings=options.drawings,
                    film=options.film,
                )
    if options.as_json:
        from pourwright.document.plan_json import plan_json

        sys.stdout.write(plan_json(made, sorted(file.name for file in files[:-1]), options.out))
    elif not options.quiet:
        from pourwright.report.tables import print_plan

        console = output()
        print_plan(made, console)
        if options.out is not None:
            console.print(f"\n{len(files)} files in {options.out}", highlight=False, markup=False)
        if kept is not None:
            console.print(f"The record that was there is now {kept}.", highlight=False, markup=False)
    return closed_plan(made)


def _job(options: Options, overrides: dict[str, object]) -> Job:
    """The job, filled as a row of its ways has it where that is asked; ``overrides`` learns of it."""
    if options.way is None:
        return job_of(options.piece, overrides)
    from pourwright.cli.way_taken import of_this_shell, way_taken

    fill, digest = way_taken(options.way)
    said = {key: value for key, value in overrides.items() if key.startswith("fill.")}  # counts after the row
    for key in said:
        del overrides[key]
    overrides.update({"fill": fill, **said})
    job = job_of(options.piece, overrides)
    of_this_shell(options.way, digest, job.shell)
    return job


def _refuse_poured(folder: Path) -> None:
    """Refuse to plan an empty shell into the folder of one that has foam in it: someone would pour it twice."""
    from pourwright.document.read_json import read_plan_json
    from pourwright.record import read_record

    names: list[str] = []
    with contextlib.suppress(FileError):  # no plan there yet, or none of ours to read: then it says nothing
        names = [pour.name for lift in read_plan_json(folder).lifts for pour in lift.pours if pour.poured]
    record = read_record(folder)
    entries: tuple[Entry | CoatEntry, ...] = (*record.entries, *record.coats) if record is not None else ()
    names = list(dict.fromkeys([*names, *(_name_of(entry) for entry in entries if not entry.struck)]))
    if entries or names:
        coats = record is not None and record.coats
        said = f"{'' if coats else 'pours ' if len(names) > 1 else 'pour '}{', '.join(names)}"
        said = said if names else "entries that were struck"
        raise UsageError(
            f"{folder} holds a record of what is poured ({said}), and this plan would be for an empty shell: plan what "
            f"is left with pourwright record {folder}, or give --start-over, which keeps the old record beside"
        )


def _name_of(entry: Entry | CoatEntry) -> str:
    from pourwright.record import CoatEntry, coat_name

    return coat_name(entry.coat) if isinstance(entry, CoatEntry) else entry.pour


@contextlib.contextmanager
def _set_aside(folder: Path) -> Iterator[Path | None]:
    """The folder without its record, which gets another name; it gets its own back where the plan is not written."""
    from pourwright.record import set_aside, take_back

    kept = set_aside(folder) if folder.is_dir() else None
    try:
        yield kept
    except BaseException:
        if kept is not None:
            take_back(folder, kept)
        raise


def request_of(piece: Path, overrides: dict[str, object], folder: Path) -> dict[str, object]:
    """What was asked for, with the path from the plan's folder, so that both can be moved together."""
    try:
        place = Path(os.path.relpath(real(piece), real(folder))).as_posix()
    except ValueError:  # another drive
        place = real(piece).as_posix()
    return {"piece": place, "settings": overrides}


def _with_lining(made: Plan, progress: Progress) -> Plan:
    """The plan with what a lining would make of it, where its day keeps not all limits."""
    from pourwright.lifts import EvenBands

    day = made.lift_plan.day
    if isinstance(day, EvenBands) or day.day.keeps:
        return made
    from pourwright.ways import with_lining

    return with_lining(made, progress)


def _turned(job: Job, progress: Progress) -> Job:
    """The job with the best way up found; the plan lists it among what was assumed."""
    from pourwright.intake import UP_TAKEN
    from pourwright.turn import direction_line, find_ways, near_signs

    best = find_ways(job, progress=progress).best[0].way
    up = (float(best.up[0]), float(best.up[1]), float(best.up[2]))
    kept = tuple(words for words in job.assumed if words != UP_TAKEN)
    words = f"{direction_line(best.up)}, the best way up of the directions searched: {near_signs(best.up)}"
    return replace(job, up=up, assumed=(*kept, words))
