"""``pourwright compare``: one job planned several ways, side by side."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from pourwright.cli.codes import REFUSED, closed
from pourwright.cli.options import Debug, Json, job_of, overrides_of
from pourwright.cli.screen import output, progress_shown, say
from pourwright.errors import FileError, PourwrightError, UsageError

NAME = "compare"
AS_IT_IS = "as it is"


def _several(name: str, words: str, metavar: str) -> Any:
    return typer.Option(name, help=f"{words}; may be given again.", metavar=metavar, show_default=False)


@dataclass(frozen=True)
class Options:
    """What ``pourwright compare`` is asked: its argument and its options."""

    piece: Annotated[Path, typer.Argument(metavar="JOB.toml|SHELL", help="A job file, or a shell file.")]
    grade: Annotated[list[str] | None, _several("--grade", "Another foam grade", "GRADE")] = None
    packing: Annotated[list[str] | None, _several("--packing", "Another packing under a cap", "RATIO")] = None
    lift: Annotated[list[str] | None, _several("--lift", "Another largest lift", "LENGTH")] = None
    parts: Annotated[list[str] | None, _several("--parts", "Another temperature of the liquids", "TEMP")] = None
    up: Annotated[list[str] | None, _several("--up", "Another way up, like -y", "AXIS")] = None
    also: Annotated[
        list[str] | None, _several("--also", 'Several keys at once, like "foam.grade=rigid-2; shop.hands=2"', "KEYS")
    ] = None
    settings: Annotated[list[str] | None, _several("--set", "A key for all of them", "KEY=VALUE")] = None
    quick: Annotated[bool, typer.Option("--quick", help="Formulas and a short search: rough limits.")] = False
    price_kg: Annotated[
        float | None, typer.Option("--price-kg", min=0, help="Of a kilogram of liquids, any money.", show_default=False)
    ] = None
    price_hour: Annotated[
        float | None, typer.Option("--price-hour", min=0, help="Of an hour of one person.", show_default=False)
    ] = None
    chart: Annotated[
        Path | None, typer.Option("--chart", metavar="FILE.png", help="Draw the chart.", show_default=False)
    ] = None
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False


def run(options: Options) -> int:
    """Plan a piece as the job says and in other ways, and show weight, stiffness, pours, hours, dose and cost.

    Each alternative changes one thing of the job and is computed as plan computes it, so it takes as long as that many
    plans; --quick takes formulas, and with a searched day its short search. Best is the soonest at the last pour, with
    the price of each pour, of those that keep every limit; one over a limit is red and never best, one that another
    beats in everything is grey. Exit code 1: all are over a limit; 3: of one that is not, not all is known.
    """
    from pourwright.plan import alternative_of, make_plan, with_beaten
    from pourwright.report.compare_page import compare_json, draw_compare, print_compare

    if options.chart is not None and (options.chart.suffix.lower() != ".png" or not options.chart.parent.is_dir()):
        raise FileError(f"{options.chart} cannot be written: name a .png file in a folder that is there.")
    base = overrides_of({}, options.settings or [])
    if options.quick:
        base["heat.computed"] = False
    jobs = [(AS_IT_IS, job_of(options.piece, base))]
    for name, changes in _alternatives(options):
        jobs.append((name, job_of(options.piece, {**base, **changes})))
    if len(jobs) == 1:
        raise UsageError("nothing to compare with: give --grade, --packing, --lift, --parts, --up or --also")
    found = []
    with progress_shown(not options.quiet) as progress:
        for name, job in jobs:
            try:
                found.append(alternative_of(name, make_plan(job, progress), options.price_kg, options.price_hour))
            except PourwrightError as error:
                raise UsageError(f"{name}: {error}") from None
    alternatives = with_beaten(found)
    if options.chart is not None:
        draw_compare(alternatives, jobs[0][1].name, options.chart)
    if options.as_json:
        sys.stdout.write(compare_json(alternatives))
    elif not options.quiet:
        print_compare(alternatives, output())
    if all(one.over for one in alternatives):
        say("every way is over a limit: do not pour")
        return REFUSED
    unknown = [f"{one.name} ({', '.join(one.unknown)})" for one in alternatives if one.unknown and not one.over]
    return closed((), unknown)


def _alternatives(options: Options) -> list[tuple[str, dict[str, object]]]:
    """Name and changed keys of each alternative."""
    out: list[tuple[str, dict[str, object]]] = []
    named = {
        "foam.grade": options.grade,
        "foam.packing": options.packing,
        "shop.parts": options.parts,
        "piece.up": options.up,
    }
    for key, values in named.items():
        for value in values or []:
            changes = overrides_of({}, [f"{key}={value}"])
            if key == "piece.up" and value.lstrip("+-") in ("y",):
                changes["piece.front"] = "-z"  # the usual front is along it
            out.append((f"{key.split('.')[1]} {value}", changes))
    for value in options.lift or []:
        out.append((f"lift {value}", {"limits.lift": value, "limits.lift_reference": "asked for to compare"}))
    for value in options.also or []:
        out.append((value, overrides_of({}, [part.strip() for part in value.split(";") if part.strip()])))
    return out
