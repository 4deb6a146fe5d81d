"""What the commands that answer from a made plan have in common; no command itself."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pourwright.cli.codes import closed
from pourwright.cli.options import Debug, Json
from pourwright.cli.screen import output, say
from pourwright.errors import FileError

if TYPE_CHECKING:
    from PIL import Image

    from pourwright.answers.page import Page
    from pourwright.outcome import Piece, Surface

PlanFolder = Annotated[Path, typer.Argument(metavar="PLAN", help="Folder of a plan, or its plan.json.")]
OtherJob = Annotated[
    Path | None,
    typer.Option(
        "--job",
        metavar="FILE",
        help="Job file whose tables for items, anchors, slings, stand, move and boat replace the plan's.",
        show_default=False,
    ),
]
ShellFile = Annotated[
    Path | None,
    typer.Option("--shell", metavar="FILE", help="The shell file, where it has moved.", show_default=False),
]
Files = Annotated[bool, typer.Option("--files/--no-files", help="Whether to write into the plan's folder.")]
Pictures = Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")]


@contextlib.contextmanager
def answered_all_the_same(what: str = "nothing was written") -> Iterator[None]:
    """Files of an answer that cannot be written: said, and no reason not to answer."""
    try:
        yield
    except FileError as error:
        say(f"{what}: {error}")


def _weighed(piece: Piece, folder: Path, sha256: str) -> tuple[Piece, list[str]]:
    """The piece as the scales of its record know it, and what to say of that."""
    from pourwright.record import RECORD_FILE

    if not os.path.lexists(folder / RECORD_FILE):
        return piece, []
    from pourwright.record import read_record, weighings_of  # with the record's schema: slow to load

    record = read_record(folder)
    weighings = () if record is None or record.shell_sha256 != sha256 else weighings_of(record)
    if not weighings:
        return piece, []
    from pourwright.outcome import weighed_piece
    from pourwright.wording.weighed import weighed_note

    known, learnt = weighed_piece(piece, weighings)
    return known, [] if learnt is None else [weighed_note(learnt, known.lined)]


@dataclass(frozen=True)
class Options:
    """What every command that answers from a made plan takes; ``pictures`` only where it draws."""

    plan: PlanFolder
    job: OtherJob = None
    shell: ShellFile = None
    files: Files = True
    as_json: Json = False
    debug: Debug = False


@dataclass(frozen=True)
class DrawnOptions(Options):
    """The same for one that also draws."""

    pictures: Pictures = True


def answer(
    name: str,
    options: Options,
    solve: Callable[[Piece, Callable[[], Surface]], Any],
    page: Callable[[Piece, Any, str], Page],
    draw: Callable[[Piece, Any, Surface, str], Image.Image] | None,
    more: Callable[[Piece, Any, Surface, str], dict[str, bytes]] | None = None,
) -> int:
    """Read the plan, solve, say, write; the exit code is 1 where the answer is a refusal, 3 where not all is known."""
    from pourwright.answers.answer_files import result_json, write_answer, write_files
    from pourwright.answers.page import made_from, print_page
    from pourwright.document.made import read_made, surface_of_made
    from pourwright.outcome import refusals, unknowns

    folder = options.plan if options.plan.is_dir() else options.plan.parent
    site, shell = None, options.shell
    if options.job is not None:
        from pourwright.intake import read_job

        other = read_job(options.job)
        site, shell = other.site, shell or other.shell
    plan = read_made(options.plan, site)
    piece, note = _weighed(plan.piece, folder, plan.source.sha256)
    kept: list[Surface] = []

    def surface() -> Surface:
        if not kept:
            kept.append(surface_of_made(plan, options.plan, folder, shell))
        return kept[0]

    result = solve(piece, surface)
    made = page(piece, result, " ".join([made_from(plan.source), *note]))
    written: tuple[Path, ...] = ()
    if options.files:
        asked = isinstance(options, DrawnOptions) and options.pictures
        picture = None if draw is None or not asked else lambda: draw(piece, result, surface(), made.made_from)
        with answered_all_the_same():
            written = write_answer(folder, name, made, picture)
            if more is not None:
                written += write_files(folder, more(piece, result, surface(), made.made_from))
    refused, unknown = refusals(result), unknowns(result)
    if options.as_json:
        sys.stdout.write(result_json(name, result, made, refused, unknown))
    else:
        console = output()
        print_page(made, console)
        if written:
            console.print(f"\n{', '.join(file.name for file in written)} in {folder}", highlight=False, markup=False)
    return closed(refused, unknown)
