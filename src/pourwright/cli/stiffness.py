"""``pourwright stiffness``: does the skin bulge while the foam rises, and how much stiffer is the filled piece."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourwright.cli.answers import Files, OtherJob, Pictures, PlanFolder, ShellFile, answered_all_the_same
from pourwright.cli.codes import closed
from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output, progress_shown
from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.outcome import Site

NAME = "stiffness"
PARTLY = {"lining": "lined", "ribs": "filled in ribs only"}
"""Styles that leave a hollow, in words."""

Side = Annotated[
    str | None,
    typer.Option(
        "--side",
        metavar="PRESSURE",
        help='Pressure on its front, like wind: "500 Pa"; else as planned.',
        show_default=False,
    ),
]
Triangles = Annotated[
    int | None,
    typer.Option(
        "--triangles",
        min=1000,
        max=60_000,
        help="Triangles of the skin that are computed; else as planned.",
        show_default=False,
    ),
]
Rests = Annotated[
    str | None,
    typer.Option(
        "--rests",
        metavar="WHAT",
        show_default=False,
        help="What holds the finished piece: anchors, base, cradle, gunwale or auto (by the piece); else as planned.",
    ),
]
WallGiven = Annotated[
    str | None,
    typer.Option("--wall", help="Wall thickness, where the shell file draws both faces.", show_default=False),
]
Gains = Annotated[bool, typer.Option("--gains/--no-gains", help="Whether to compare the piece before and after.")]


@dataclass(frozen=True)
class Options:
    """What ``pourwright stiffness`` is asked: its argument and its options."""

    plan: PlanFolder
    job: OtherJob = None
    shell: ShellFile = None
    side: Side = None
    triangles: Triangles = None
    rests: Rests = None
    wall: WallGiven = None
    gains: Gains = True
    files: Files = True
    pictures: Pictures = True
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False


def run(options: Options) -> int:
    """Whether the skin bulges under each lift, where to prop it, and how much stiffer the foam makes the piece.

    Works from a plan that is already made, by finite elements; takes a minute or two. Writes stiffness.md and a picture
    into its folder, and the gain as a colour into its piece.html. Exit code 1: a lift bulges the skin too far; 3: it
    is not known whether one does.
    """
    from pourwright import units
    from pourwright.answers.answer_files import add_gain, result_json, write_answer
    from pourwright.answers.drawn.stiffness import draw_stiffness
    from pourwright.answers.page import made_from, print_page
    from pourwright.answers.structure_page import stiffness_page, stiffness_refusals, stiffness_unknowns
    from pourwright.document.made import source_of
    from pourwright.document.read_json import read_plan_json
    from pourwright.document.read_structure import Instead, closed_limits, structure_job_of
    from pourwright.structure import RESTS, solve_structure

    document = read_plan_json(options.plan)
    folder = options.plan if options.plan.is_dir() else options.plan.parent
    if document.fill is not None and document.fill.style in PARTLY:
        raise UsageError(
            f"this piece is {PARTLY[document.fill.style]}, and stiffness knows only foam that fills a piece: "
            "plan.md has the formulas, with the foam where it is"
        )
    site, shell = _instead(options)
    if options.rests is not None and options.rests not in RESTS:
        raise UsageError(f"--rests {options.rests!r}: say {', '.join(RESTS[:-1])} or {RESTS[-1]}")
    with progress_shown(not options.quiet) as progress:
        asked = structure_job_of(
            document,
            folder,
            shell=shell,
            site=site,
            asked=Instead(
                side_pa=None if options.side is None else units.read(options.side, units.PRESSURE),
                triangles=options.triangles,
                rests=options.rests,
                wall_m=None if options.wall is None else units.read(options.wall, units.LENGTH),
            ),
            progress=progress,
        )
        result = solve_structure(asked, gains=options.gains, progress=progress)
    made = stiffness_page(document.piece.name, document.piece.place, result, made_from(source_of(document)))
    written: tuple[Path, ...] = ()
    if options.files:
        name, place = document.piece.name, document.piece.place
        drawn = options.pictures and result.push is not None
        picture = (lambda: draw_stiffness(name, place, asked.frame, result, made.made_from)) if drawn else None
        with answered_all_the_same():
            written = write_answer(folder, NAME, made, picture)
        if drawn:
            with answered_all_the_same("piece.html shows no gain"):
                written += add_gain(folder, result)
    shored = [lift.number for lift in document.lifts if lift.bulge is not None and lift.bulge.shores]
    limits = closed_limits(document)
    refused, unknown = stiffness_refusals(result, shored, limits), stiffness_unknowns(result, limits)
    if options.as_json:
        sys.stdout.write(result_json(NAME, result, made, refused, unknown))
    elif not options.quiet:
        console = output()
        print_page(made, console)
        if written:
            console.print(f"\n{', '.join(file.name for file in written)} in {folder}", highlight=False, markup=False)
    return closed(refused, unknown)


def _instead(options: Options) -> tuple[Site | None, Path | None]:
    """The site and the shell of another job, where one is given."""
    if options.job is None:
        return None, options.shell
    from pourwright.intake import read_job

    other = read_job(options.job)
    return other.site, options.shell or other.shell
