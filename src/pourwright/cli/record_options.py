"""The options of ``pourwright record``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from pourwright.cli.answers import PlanFolder
from pourwright.cli.options import Debug, Json


def _option(name: str, words: str, metavar: str = "VALUE") -> Any:
    return typer.Option(name, help=words, metavar=metavar, show_default=False)


@dataclass(frozen=True)
class Options:
    """What ``pourwright record`` is asked: its argument and its options."""

    plan: PlanFolder
    pour: Annotated[str | None, _option("--pour", "The pour, as the sheet names it.", "NAME")] = None
    part_a: Annotated[
        str | None, _option("--a", 'Part A (the isocyanate side) that went in, like "1.2 kg" or "1 L".')
    ] = None
    part_b: Annotated[str | None, _option("--b", "Part B (the resin side) that went in.")] = None
    both: Annotated[str | None, _option("--both", "One weight of both parts, mixed as the sheet has it.")] = None
    as_planned: Annotated[bool, typer.Option("--as-planned", help="The amounts of the sheet went in.")] = False
    dip: Annotated[
        str | None, _option("--dip", 'Down from the rim that the sheet names to the foam, like "130 mm".')
    ] = None
    reached: Annotated[str | None, _option("--reached", "Height of the foam above the base, like 412 mm.")] = None
    full: Annotated[bool, typer.Option("--full", help="Full up to its cap, or to the height of the sheet.")] = False
    top_up: Annotated[bool, typer.Option("--top-up", help="Foam put into a void of a pour recorded before.")] = False
    rolls: Annotated[str | None, _option("--rolls", "Of a coat: rolls made before it gelled.", "COUNT")] = None
    lies: Annotated[
        str | None, _option("--lies", 'Of a coat: the side that was up while it set, like "top front".', "SIDE")
    ] = None
    pin: Annotated[
        list[str] | None,
        _option("--pin", 'Of a coat: foam at a place of the sheet, "P1=18 mm"; 0: bare. Again for more.', "PLACE=FOAM"),
    ] = None
    bare: Annotated[
        list[str] | None,
        _option("--bare", 'Foam is missing there: up, from left, from front, "41 cm, 10 cm, 6 cm".', "PLACE"),
    ] = None
    at: Annotated[str | None, _option("--at", "When, in your own words.", "TIME")] = None
    parts: Annotated[str | None, _option("--parts", "Temperature of the liquids.")] = None
    air: Annotated[str | None, _option("--air", "Temperature of the air.")] = None
    skin: Annotated[str | None, _option("--skin", "Temperature of the skin.")] = None
    probe: Annotated[
        str | None, _option("--probe", 'Hottest reading of a probe in the middle of the pour, like "141 degC".')
    ] = None
    probe_later: Annotated[str | None, _option("--probe-later", "The same probe an hour after that.")] = None
    infrared: Annotated[
        str | None, _option("--infrared", "Hottest infrared reading of its open top; counts for less.")
    ] = None
    note: Annotated[str | None, _option("--note", "Anything else.", "TEXT")] = None
    file: Annotated[
        Path | None, _option("--from", "What was typed into the sheet's boxes on a phone; - reads it pasted.", "FILE")
    ] = None
    cup: Annotated[
        list[str] | None,
        _option("--cup", 'A cup test: a key of [cup] like "cream=38 s", given again for more; or failed.', "KEY=VALUE"),
    ] = None
    weighed: Annotated[
        list[str] | None,
        _option("--weighed", 'The piece on a scale: "46.2 kg"; of several scales each "12 kg at 10 cm, 25 cm".'),
    ] = None
    weighed_when: Annotated[
        str | None, _option("--weighed-when", 'empty, finished, or "lift 2"; else by what is recorded.', "STAGE")
    ] = None
    scale_error: Annotated[
        str | None, _option("--scale-error", "What each scale may be out by, either way; 1 % if left out.")
    ] = None
    tare: Annotated[str | None, _option("--tare", "Slings or a pallet that were on the scale too.")] = None
    strike_weighing: Annotated[
        int | None, _option("--strike-weighing", "Weighing that was a mistake: counted no more.", "NO")
    ] = None
    yes: Annotated[
        bool, typer.Option("--yes", help="Insist on figures that are refused as unlikely; the entry is marked.")
    ] = False
    strike: Annotated[int | None, _option("--strike", "Entry that was a mistake: counted no more.", "NO")] = None
    strike_cup_no: Annotated[
        int | None, _option("--strike-cup", "Cup that was entered by mistake: counted no more.", "NO")
    ] = None
    later: Annotated[bool, typer.Option("--later", help="Only record; plan the rest again another time.")] = False
    again: Annotated[
        bool, typer.Option("--again", help="Ask nothing: only plan the rest again from what is recorded.")
    ] = False
    job: Annotated[Path | None, _option("--job", "The job file, where it has moved.", "FILE")] = None
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")] = True
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False
    as_json: Json = False
    debug: Debug = False
