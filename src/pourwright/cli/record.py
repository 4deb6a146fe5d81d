"""``pourwright record``: what was really poured, and the sheet for what is left."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pourwright.cli.answers import PlanFolder
from pourwright.cli.codes import closed_plan
from pourwright.cli.options import Debug, Json, job_of
from pourwright.cli.record_readings import add_readings, heat_lines, readings_said
from pourwright.cli.record_said import FLAGS, TEXTS, anything_said, entry_said, readings_only, said_of
from pourwright.cli.record_told import done_lines, stop_lines, tell
from pourwright.cli.record_weighed import ScaleSaid, scale_asked, weigh_in
from pourwright.cli.screen import progress_shown, say
from pourwright.errors import UsageError
from pourwright.plainfile import read_file

if TYPE_CHECKING:
    from pourwright.cavity import Space
    from pourwright.document.model import PlanDocument
    from pourwright.plan import Job
    from pourwright.record import Entry, Record, Replanned, SheetPour

NAME = "record"
Said = Mapping[str, Any]


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
    from pourwright.cli.plan import request_of
    from pourwright.cli.record_cup import with_cups
    from pourwright.cli.sheet_pours import sheet_pours
    from pourwright.record import read_record

    piece, settings = _asked(folder, job)
    asked = with_cups(job_of(piece, settings), read_record(folder))
    return _Work(folder, document, asked, request_of(piece, settings, folder), sheet_pours(document))


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


def run(options: Options) -> int:
    """Record a pour or a coat, plan what is left from what is really there, and make the sheet again.

    With the plan's folder alone it asks, pour by pour, with what the sheet has as the answer to Enter. Readings of a
    pour's heat may come later: --pour NAME with --probe, --probe-later or --infrared alone adds them. The record is
    safe on the disk before anything is planned.
    """
    from pourwright.document.plan_json import read_plan_json
    from pourwright.foam import Sides
    from pourwright.record import read_record
    from pourwright.report.folder import check_folder

    plan, pour, file, strike, quiet = options.plan, options.pour, options.file, options.strike, options.quiet
    cup, weighed, strike_cup, note = options.cup or [], options.weighed or [], options.strike_cup_no, options.note
    yes, later, as_json = options.yes, options.later, options.as_json
    folder = plan if plan.is_dir() else plan.parent
    if folder.is_dir():
        check_folder(folder)
    document = read_plan_json(plan)
    sides = Sides(document.foam.part_a, document.foam.part_b)
    given = said_of(**{name: getattr(options, name) for name in (*TEXTS, *FLAGS)})
    lone = {**given, **dict.fromkeys(("at", "note") if cup or weighed else ())}
    if pour is None and anything_said(lone):
        raise UsageError("say which pour it was with --pour NAME")
    if sum((file is not None, pour is not None, bool(cup), bool(weighed))) > 1:
        raise UsageError("one at a time: --pour with its figures, --from FILE, --cup, or --weighed")
    scale = ScaleSaid(weighed, options.weighed_when, options.scale_error, options.tare, options.at, note)
    others = {
        "--pour": pour is not None, "--from": file is not None, "--cup": bool(cup), "--strike": strike is not None,
        "--strike-cup": strike_cup is not None, "--again": options.again,
    }  # fmt: skip
    if scale_asked(scale, options.strike_weighing, [name for name, is_given in others.items() if is_given]):
        return weigh_in(folder, document, scale, options.strike_weighing, yes=yes, quiet=quiet, as_json=as_json)
    if document.fill is not None and document.fill.style == "lining":
        return _of_a_lining(options, folder, document)
    _no_coats(options)
    cups = bool(cup) or strike_cup is not None
    entries = _entries(document, pour, given, file)
    asks = not (entries or pour or cups or strike is not None or later or options.again or quiet or as_json)
    if not entries and pour is None and strike is None and not asks and not cups:
        _something(folder, read_record(folder))
    if cups:
        _cups(_work(folder, document, options.job), cup, strike_cup, options.at, note)
    work = None if later and not asks else _work(folder, document, options.job)
    ground = None
    if asks and work is not None:
        ground = _walked(work, progress_wanted=not quiet)
    elif pour is not None and not entries:
        held = work or _work(folder, document, options.job)
        add_readings(folder, held.job, pour, readings_said(given, held.job.conditions.parts_k), yes=yes)
    elif entries:
        ground = _add(work or _work(folder, document, options.job), entries, yes=yes, quiet=quiet)
    if strike is not None:
        _strike(folder, strike)
    record = _something(folder, read_record(folder))
    if work is None:
        tell(record, None, [], folder, sides, quiet=quiet, as_json=as_json)
        return 0
    planned, lines = _again(work, ground, record, pictures=options.pictures, quiet=quiet)
    tell(record, planned, lines, folder, sides, quiet=quiet, as_json=as_json)
    return closed_plan(planned.plan)


def _of_a_lining(options: Options, folder: Path, document: PlanDocument) -> int:
    from pourwright.cli.coats.bench import CoatWork, record_coats

    work = _work(folder, document, options.job)
    return record_coats(options, CoatWork(work.folder, document, work.job, work.request))


def _no_coats(options: Options) -> None:
    wrong = [name for name in ("rolls", "lies", "pin", "bare") if getattr(options, name)]
    if wrong:
        raise UsageError(f"--{wrong[0]} is of a coat, and this plan has pours: give --dip, --reached or --full")


def _cups(work: _Work, said: Sequence[str], strike: int | None, at: str | None, note: str | None) -> None:
    from pourwright.cli.record_cup import add_cup, strike_cup

    if said:
        add_cup(work.folder, work.document.shell.sha256, work.job, said, at, note)
    if strike is not None:
        strike_cup(work.folder, strike)


def _entries(document: PlanDocument, pour: str | None, given: Said, file: Path | None) -> list[tuple[str, Said]]:
    """Pours with their values, SI; none where only readings are added."""
    if pour is not None:
        return [] if readings_only(document, pour, given) else [(pour, entry_said(document, pour, given))]
    if file is None:
        return []
    from pourwright.cli.record_from import OF_COATS, read_bench
    from pourwright.cli.record_said import pours_of

    sheet, entries = pours_of(document), list[tuple[str, Said]]()
    for one in read_bench(file, document.shell.sha256):
        if one.pour in sheet and sheet[one.pour].poured:
            say(f"pour {one.pour} is recorded already: left as it is")
            continue
        try:
            entries.append(
                (one.pour, entry_said(document, one.pour, said_of(**one.model_dump(exclude={"pour", *OF_COATS}))))
            )
        except UsageError as error:
            raise UsageError(f"{file}, pour {one.pour}: {error}; nothing was recorded") from None
    if not entries:
        raise UsageError(f"{file}: every pour of it is recorded already; --again plans the rest once more")
    return entries


def _walked(work: _Work, *, progress_wanted: bool) -> Space | None:
    """What is asked at the bench, each pour kept as soon as it is answered; where nobody answers nothing is added."""
    from pourwright.cli.record_asking import Asker, NobodyAnswersError, left_to_pour, walk
    from pourwright.record import read_record

    ground: Space | None = None
    if not left_to_pour(work.document):
        return None

    def record(name: str, values: dict[str, Any], insist: bool) -> None:
        nonlocal ground
        ground = _add(work, [(name, values)], yes=insist, quiet=not progress_wanted, ground=ground)

    ask = Asker()
    for words in stop_lines(read_record(work.folder)):
        ask.tell(words)
    try:
        walk(work.document, record, ask)
    except NobodyAnswersError:
        return None
    return ground


def _issue(document: PlanDocument) -> int:
    said = document.provenance.get("issue", "1")
    return int(said) if said.isdigit() else 1


def _add(
    work: _Work, entries: Sequence[tuple[str, Said]], *, yes: bool, quiet: bool, ground: Space | None = None
) -> Space:
    """Record pours, all of them or none, each seen against those before it."""
    from pourwright.record import add_entries, ground_of

    if ground is None:
        with progress_shown(not quiet) as progress:
            ground = ground_of(work.job, work.document.shell.sha256, progress)
    makes = [_maker(work, ground, pour, values, yes=yes) for pour, values in entries]
    add_entries(work.folder, work.document.shell.sha256, makes)
    return ground


def _maker(work: _Work, ground: Space, pour: str, values: Said, *, yes: bool) -> Callable[[int, Record], Entry]:
    """What makes the entry of a pour, or refuses it."""
    from pourwright import units
    from pourwright.record import Entry, doubts_of

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

    return make


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
    if record is None or not (record.entries or record.cups):
        raise UsageError(f"nothing is recorded of the plan in {folder} yet: give --pour")
    return record


def _again(
    work: _Work, ground: Space | None, record: Record, *, pictures: bool, quiet: bool
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
        issue = issue_of(number, document, again.plan, lines, done_lines(again, work.job.grade.sides))
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
