"""``pourwright record``: what was really poured, and the sheet for what is left."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pourwright.cli.answers import PlanFolder
from pourwright.cli.codes import closed_plan
from pourwright.cli.options import Debug, Json
from pourwright.cli.record_readings import NAMES, add_readings, check_cooling, heat_lines, heat_tree, readings_said
from pourwright.cli.screen import output, progress_shown
from pourwright.errors import UsageError
from pourwright.plainfile import read_file
from pourwright.plaintext import escaped_json

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.foam import Sides
    from pourwright.plan import Job
    from pourwright.record import Entry, Ground, Record, Replanned, SheetPour

NAME = "record"


def _option(name: str, words: str, metavar: str = "VALUE") -> Any:
    return typer.Option(name, help=words, metavar=metavar, show_default=False)


@dataclass(frozen=True)
class _Work:
    """The sheet that is on the bench, and what it was made from."""

    folder: Path
    document: PlanDocument
    job: Job
    request: dict[str, object]
    sheet: Sequence[SheetPour]


def _work(folder: Path, document: PlanDocument, job: Path | None) -> _Work:
    from pourwright.cli.plan import job_of, request_of
    from pourwright.cli.sheet_pours import sheet_pours

    piece, settings = _asked(folder, job)
    return _Work(folder, document, job_of(piece, settings), request_of(piece, settings, folder), sheet_pours(document))


def run(
    plan: PlanFolder,
    pour: Annotated[str | None, _option("--pour", "The pour, as the sheet names it.", "NAME")] = None,
    part_a: Annotated[
        str | None, _option("--a", 'Part A (the isocyanate side) that went in, like "1.2 kg" or "1 L".')
    ] = None,
    part_b: Annotated[str | None, _option("--b", "Part B (the resin side) that went in.")] = None,
    as_planned: Annotated[bool, typer.Option("--as-planned", help="The amounts of the sheet went in.")] = False,
    reached: Annotated[str | None, _option("--reached", "Height of the foam above the base, like 412 mm.")] = None,
    full: Annotated[bool, typer.Option("--full", help="Full up to its cap, or to the height of the sheet.")] = False,
    top_up: Annotated[bool, typer.Option("--top-up", help="Foam put into a void of a pour recorded before.")] = False,
    at: Annotated[str, _option("--at", "When, in your own words.", "TIME")] = "",
    parts: Annotated[str | None, _option("--parts", "Temperature of the liquids.")] = None,
    air: Annotated[str | None, _option("--air", "Temperature of the air.")] = None,
    skin: Annotated[str | None, _option("--skin", "Temperature of the skin.")] = None,
    probe: Annotated[
        str | None, _option("--probe", 'Hottest reading of a probe in the middle of the pour, like "141 degC".')
    ] = None,
    probe_later: Annotated[str | None, _option("--probe-later", "The same probe an hour after that.")] = None,
    infrared: Annotated[
        str | None, _option("--infrared", "Hottest infrared reading of its open top; counts for less.")
    ] = None,
    note: Annotated[str, _option("--note", "Anything else.", "TEXT")] = "",
    yes: Annotated[
        bool, typer.Option("--yes", help="Insist on figures that are refused as unlikely; the entry is marked.")
    ] = False,
    strike: Annotated[int | None, _option("--strike", "Entry that was a mistake: counted no more.", "NO")] = None,
    later: Annotated[bool, typer.Option("--later", help="Only record; plan the rest again another time.")] = False,
    job: Annotated[Path | None, _option("--job", "The job file, where it has moved.", "FILE")] = None,
    pictures: Annotated[bool, typer.Option("--pictures/--no-pictures", help="Whether to draw.")] = True,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but errors.")] = False,
    as_json: Json = False,
    debug: Debug = False,
) -> int:
    """Record a pour, plan what is left from the real height, yield and heat, and make the sheet again.

    Readings of its heat may come later: --pour NAME with --probe, --probe-later or --infrared alone adds them. Without
    --pour and --strike nothing is added; the rest is planned again from what is recorded. The record is safe
    on the disk before anything is planned.
    """
    from pourwright.document.plan_json import read_plan_json
    from pourwright.foam import Sides
    from pourwright.record import ground_of, read_record
    from pourwright.report.folder import check_folder

    folder = plan if plan.is_dir() else plan.parent
    if folder.is_dir():
        check_folder(folder)
    document = read_plan_json(plan)
    sides = Sides(document.foam.part_a, document.foam.part_b)
    said = (part_a, part_b, reached, parts, air, skin, probe, probe_later, infrared, at or None, note or None)
    if pour is None and (top_up or full or as_planned or any(word is not None for word in said)):
        raise UsageError("say which pour it was with --pour NAME")
    given = locals()
    only = pour is not None and _readings_only(document, pour, given)
    values = _said(document, pour, given) if pour is not None and not only else {}
    if pour is None and strike is None:
        _something(folder, read_record(folder))
    work = None if pour is None and later else _work(folder, document, job)
    ground = None
    if pour is not None and work is not None and only:
        add_readings(folder, work.job, pour, readings_said(given, work.job.conditions.parts_k), yes=yes)
    elif pour is not None and work is not None:
        with progress_shown(not quiet) as progress:
            ground = ground_of(work.job, document.shell.sha256, progress)
        _add(work, ground, pour, values, yes=yes)
    if strike is not None:
        _strike(folder, strike)
    record = _something(folder, read_record(folder))
    if later or work is None:
        _tell(record, None, [], folder, sides, quiet=quiet, as_json=as_json)
        return 0
    again, lines = _again(work, ground, record, pictures=pictures, quiet=quiet)
    _tell(record, again, lines, folder, sides, quiet=quiet, as_json=as_json)
    return closed_plan(again.plan)


def _readings_only(document: PlanDocument, pour: str, given: dict[str, Any]) -> bool:
    """Whether a recorded pour is named with readings of its heat and nothing that makes an entry."""
    poured = any(p.poured for lift in document.lifts for p in lift.pours if p.name == pour)
    entry = ("part_a", "part_b", "as_planned", "reached", "full", "top_up", "parts", "air", "skin", "at", "note")
    return poured and any(given[name.removesuffix("_k")] for name in NAMES) and not any(given[name] for name in entry)


def _said(document: PlanDocument, pour: str, given: dict[str, Any]) -> dict[str, Any]:
    """The entry's own values, SI; refuses what is missing."""
    from pourwright import units

    found = {p.name: p for lift in document.lifts for p in lift.pours}
    if pour not in found:
        raise UsageError(f"--pour {pour!r}: the sheet names {', '.join(found)}")
    planned = found[pour]
    if planned.poured and not given["top_up"]:
        raise UsageError(f"pour {pour} is recorded already: use --top-up for foam put in later, or --strike its entry")
    if given["as_planned"] and (given["part_a"] or given["part_b"]):
        raise UsageError("give either --as-planned, or --a and --b")
    if given["as_planned"]:
        a_kg, b_kg = planned.part_a_kg, planned.part_b_kg
    elif given["part_a"] is None or given["part_b"] is None:
        raise UsageError("say what went in: --a and --b with their units, or --as-planned")
    else:
        a_kg = _amount("--a", given["part_a"], document.foam.values["part_a_density_kg_m3"].value)
        b_kg = _amount("--b", given["part_b"], document.foam.values["part_b_density_kg_m3"].value)
    if given["reached"] is None and not given["full"] and not given["top_up"]:
        raise UsageError('say how high it came with --reached "412 mm", or --full')
    height = None if given["reached"] is None else _read("--reached", given["reached"], units.LENGTH)
    if height is not None and not 0 < height <= document.frame.size_m[2]:
        raise UsageError(
            f"--reached {given['reached']!r}: the piece is {units.length(document.frame.size_m[2])} high; measure from "
            "its base"
        )
    temperatures = {
        f"{name}_k": None if given[name] is None else _read(f"--{name}", given[name], units.TEMPERATURE)
        for name in ("parts", "air", "skin")
    }
    for name, value in temperatures.items():
        if value is not None and not 243.0 <= value <= 353.0:
            raise UsageError(f"--{name[:-2]} {given[name[:-2]]!r}: no shop is that cold or hot; give it with its unit")
    if a_kg + b_kg <= 0:
        raise UsageError("nothing went in: there is nothing to record")
    parts_k, air_k = temperatures["parts_k"], temperatures["air_k"]
    readings = readings_said(given, document.foam.parts_c + 273.15 if parts_k is None else parts_k)
    check_cooling(readings, document.foam.air_c + 273.15 if air_k is None else air_k)
    if readings and given["top_up"]:
        raise UsageError("a reading belongs to the pour itself, not to its top-up")
    return {
        "kind": "top-up" if given["top_up"] else "pour",
        "part_a_kg": a_kg,
        "part_b_kg": b_kg,
        "reached_m": height,
        "full": given["full"],
        "at": _text(given["at"])[:100],
        "note": _text(given["note"])[:500],
        **temperatures,
        **readings,
    }


def _text(given: str) -> str:
    """What was typed; bytes that are no text as "?"."""
    return given.encode("utf-8", "replace").decode()


def _read(name: str, text: str, kind: Any) -> float:
    from pourwright import units

    try:
        return units.read(text, kind)
    except units.QuantityError as error:
        raise UsageError(f"{name} {text!r}: {error}") from None


def _amount(name: str, text: str, density_kg_m3: float | None) -> float:
    """A weight, or a volume at the part's density."""
    from pourwright import units

    try:
        return units.read(text, units.MASS)
    except units.QuantityError:
        volume = _read(name, text, units.VOLUME)
    if density_kg_m3 is None:
        raise UsageError(f"{name} {text!r}: the plan does not know its density; give a weight")
    return volume * density_kg_m3


def _issue(document: PlanDocument) -> int:
    said = document.provenance.get("issue", "1")
    return int(said) if said.isdigit() else 1


def _add(work: _Work, ground: Ground, pour: str, values: dict[str, Any], *, yes: bool) -> None:
    from pourwright import units
    from pourwright.record import Entry, add_entry, doubts_of

    planned = next(one.planned for one in work.sheet if one.name == pour)

    def make(number: int, record: Record) -> Entry:
        mine = [entry for entry in record.counted if entry.pour == pour and entry.kind == "pour"]
        if values["kind"] == "pour" and mine:
            raise UsageError(f"pour {pour} is entry {mine[0].number} already: --strike it first, or use --top-up")
        if values["kind"] == "top-up" and not mine:
            raise UsageError(f"pour {pour} is not recorded yet: record it before its top-up")
        block = mine[0].planned if mine else planned
        entry = Entry(number=number, issue=_issue(work.document), pour=pour, planned=block, **values)
        doubts = doubts_of(work.job, ground, record, work.sheet, entry)
        said = tuple(units.in_both(doubt.words) for doubt in doubts)
        if any(doubt.firm for doubt in doubts):
            raise UsageError("; ".join([*said, "put it right; nothing was recorded"]))
        if doubts and not yes:
            raise UsageError("; ".join([*said, "put it right, or give --yes to insist; nothing was recorded"]))
        off = any(doubt.off_ratio for doubt in doubts)
        return entry.model_copy(update={"insisted": said, "off_ratio": off})

    add_entry(work.folder, work.document.shell.sha256, make)


def _strike(folder: Path, number: int) -> None:
    from pourwright.record import update

    def change(record: Record | None) -> Record:
        entries = record.entries if record is not None else ()
        gone = next((entry for entry in entries if entry.number == number), None)
        if record is None or gone is None:
            raise UsageError(f"--strike {number}: there is no such entry; pourwright record PLAN --later lists them")
        extra = [e.number for e in record.counted if e.kind == "top-up" and e.pour == gone.pour]
        if gone.kind == "pour" and extra:
            raise UsageError(f"--strike {number}: strike its top-up first, with --strike {extra[-1]}")
        struck = tuple(e.model_copy(update={"struck": True}) if e.number == number else e for e in entries)
        return record.model_copy(update={"entries": struck})

    update(folder, change)


def _something(folder: Path, record: Record | None) -> Record:
    if record is None or not record.entries:
        raise UsageError(f"nothing is recorded of the plan in {folder} yet: give --pour")
    return record


def _again(
    work: _Work, ground: Ground | None, record: Record, *, pictures: bool, quiet: bool
) -> tuple[Replanned, list[str]]:
    """Plan the rest, write the folder, and keep the names of its holes and pours."""
    from pourwright import units
    from pourwright.cli.sheet_pours import sheet_holes
    from pourwright.record import SCHEMA, Record, replan, update
    from pourwright.report.folder import write_plan
    from pourwright.report.record_words import issue_of, yield_words

    document = work.document
    number = _issue(document) + 1
    record = record.model_copy(update={"holes": sheet_holes(document, record.holes), "issue": number})
    with progress_shown(not quiet) as progress:
        again = replan(work.job, record, progress, work.sheet, ground)
        lines = [yield_words(again.found.factor, again.found.readings), *heat_lines(work.job, again, record)]
        shop = again.plan.job.conditions
        if shop != work.job.conditions:
            lines.append(
                f"Taken from here on: air {units.temperature(shop.air_k)}, liquids {units.temperature(shop.parts_k)}, "
                f"skin {units.temperature(shop.skin_k)}."
            )
        issue = issue_of(number, document, again.plan, lines, _done(again, work.job.grade.sides))
        write_plan(
            again.plan,
            work.folder,
            pictures=pictures and bool(again.plan.lift_plan.lifts),
            progress=progress,
            request=work.request,
            issue=issue,
        )
    kept = {"issue": number, "holes": again.holes, "names": again.names}

    def change(now: Record | None) -> Record:
        now = now if now is not None else Record(schema=SCHEMA, shell_sha256=document.shell.sha256)
        return now.model_copy(update=kept)

    update(work.folder, change)
    return again, list(issue.lines)


def _asked(folder: Path, job: Path | None) -> tuple[Path, dict[str, object]]:
    """The job file or shell of the plan, and what was set besides."""
    try:
        request = json.loads(read_file(folder / "request.json"))
        piece, settings = folder / str(request["piece"]), dict(request["settings"])
    except (OSError, ValueError, KeyError, TypeError):
        if job is None:
            raise UsageError("this plan does not say which job file it was made from: give --job FILE") from None
        piece, settings = job, {}
    if job is not None:
        return job, settings
    if not piece.is_file():
        raise UsageError(f"{piece} is no longer there: give --job FILE")
    return piece, settings


def _done(again: Replanned, sides: Sides) -> dict[str, tuple[str, ...]]:
    from pourwright import units

    lines = {}
    for name, mass in again.done.items():
        mine = [entry for entry in mass.entries if entry.pour == name]
        a, b = (sum(getattr(e, part) for e in mine) for part in ("part_a_kg", "part_b_kg"))
        top = units.tape(again.filled.spaces[name].top_m)
        said = [f"{sides.a} {units.mass(a)}, {sides.b} {units.mass(b)}, up to {top} above the base"]
        if len(mass.pours) > 1:
            said.append(f"together with {', '.join(other for other in mass.pours if other != name)}")
        said += [f"topped up with {units.mass(e.kg)} of both parts" for e in mine if e.kind == "top-up"]
        said += [f"INSISTED ON: {words}" for e in mine for words in e.insisted]
        said += [": ".join(word for word in (e.at, e.note) if word) for e in mine if e.at or e.note]
        lines[name] = tuple(said)
    return lines


def _tell(
    record: Record, again: Replanned | None, lines: list[str], folder: Path, sides: Sides, *, quiet: bool, as_json: bool
) -> None:
    from pourwright.report.record_words import print_record

    if as_json:
        tree: dict[str, Any] = {"record": record.model_dump(mode="json", by_alias=True), "changes": lines}
        if again is not None:
            found = again.found
            tree["yield"] = {
                "low": found.factor.low,
                "nominal": found.factor.nominal,
                "high": found.factor.high,
                "readings": found.readings,
                "scatter": found.scatter,
            }
            tree |= {**heat_tree(again), "left_m3": again.left_m3}
        print(escaped_json(json.dumps(tree, indent=1, ensure_ascii=False)))
    elif not quiet:
        last = [f"The sheet in {folder} is made again."] if again is not None else ["Recorded; the sheet is as it was."]
        print_record([_row(entry) for entry in record.entries], [*lines, *last], output(), sides.heads)


def _row(entry: Entry) -> tuple[str, ...]:
    from pourwright import units

    reached = units.tape(entry.reached_m) if entry.reached_m is not None else "full" if entry.full else ""
    return (
        str(entry.number),
        entry.pour,
        entry.kind + (", insisted on" if entry.insisted else "") + (", struck" if entry.struck else ""),
        units.mass(entry.part_a_kg),
        units.mass(entry.part_b_kg),
        reached,
        entry.at,
        entry.note,
    )
