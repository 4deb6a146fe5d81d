"""``pourwright ways``: ways of filling a piece, side by side."""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from pourwright.cli.codes import REFUSED, closed_plan
from pourwright.cli.options import Debug, Json, PieceOptions, job_of
from pourwright.cli.screen import output, progress_shown, say
from pourwright.errors import UsageError

NAME = "ways"


@dataclass(frozen=True)
class Options(PieceOptions):
    """What ``pourwright ways`` takes besides."""

    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="DIR", help="Folder for ways.json and ways.png.", show_default=False),
    ] = None
    stiffness: Annotated[
        float | None,
        typer.Option(
            "--stiffness",
            metavar="TIMES",
            help="Only ask: least weight at this gain of the flattest panel.",
            show_default=False,
        ),
    ] = None
    weight: Annotated[
        str | None,
        typer.Option(
            "--weight",
            metavar="MASS",
            help='Only ask: stiffest whose weight is no more, like "40 kg".',
            show_default=False,
        ),
    ] = None
    price_kg: Annotated[
        float | None, typer.Option("--price-kg", help="Price of a kilogram of liquids.", show_default=False)
    ] = None
    price_hour: Annotated[
        float | None, typer.Option("--price-hour", help="Price of an hour of work.", show_default=False)
    ] = None
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")] = True
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False


def run(options: Options) -> int:
    """Compare filling a piece solid, with ribs or with a lining, by weight, stiffness, hours, heat and what is bought.

    A row that no other beats in weight, stiffness and hours is marked. Ways are worked out on coarse cells with a quick
    plan's formulas; plan the one you choose. Exit code 1: nothing does what was asked, or the answer is over a limit,
    which is named; 3: not all is known.
    """
    from pourwright import units
    from pourwright.answers.ways_page import print_answer, print_ways, ways_json, write_ways
    from pourwright.ways import compare_ways, least_weight, stiffest

    if options.stiffness is not None and not 1.0 <= options.stiffness <= 1e6:
        raise UsageError(f"--stiffness {options.stiffness:g}: give how many times as stiff as the bare skin, 1 or more")
    for name, price in (("--price-kg", options.price_kg), ("--price-hour", options.price_hour)):
        if price is not None and not 0.0 <= price < 1e9:
            raise UsageError(f"{name} {price:g}: give a price of zero or more")
    if options.stiffness is not None and options.weight is not None:
        raise UsageError("--stiffness and --weight are two questions: ask one at a time")
    most_kg = _mass(options.weight) if options.weight is not None else math.nan
    job = job_of(options.piece, options.overrides())
    console = output()
    if options.stiffness is not None or options.weight is not None:
        with progress_shown(not options.quiet) as progress:
            answer = (
                least_weight(job, options.stiffness, progress)
                if options.stiffness is not None
                else stiffest(job, most_kg, progress)
            )
        if not options.quiet:
            print_answer(answer, console)
        if answer.plan is None:
            say(units.in_both(f"{answer.question}: {answer.words}"))
            return REFUSED
        return closed_plan(answer.plan)
    with progress_shown(not options.quiet) as progress:
        found = compare_ways(
            job, price_kg=math.nan if options.price_kg is None else options.price_kg,
            price_h=math.nan if options.price_hour is None else options.price_hour, progress=progress,
        )  # fmt: skip
        files = write_ways(found, options.out, pictures=options.pictures) if options.out is not None else ()
    if options.as_json:
        sys.stdout.write(ways_json(found))
    elif not options.quiet:
        print_ways(found, console)
        if files:
            console.print(f"\n{', '.join(file.name for file in files)} in {options.out}", highlight=False, markup=False)
    return 0


def _mass(text: str) -> float:
    from pourwright import units

    try:
        found = units.read(text, units.MASS)
    except ValueError as error:
        raise UsageError(f"--weight {text}: {error}") from None
    if not 0.0 < found < 1e6:
        raise UsageError(f"--weight {text}: give a weight above zero, like 40 kg")
    return float(found)
