"""``pourwright record``: what was really poured, and the sheet for what is left."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pourwright.cli.codes import closed_plan
from pourwright.cli.record_options import Options
from pourwright.cli.record_readings import add_readings, heat_lines, readings_said
from pourwright.cli.record_said import FLAGS, TEXTS, anything_said, entry_said, readings_only, said_of
from pourwright.cli.record_told import done_lines, stop_lines, tell
from pourwright.cli.record_weighed import ScaleSaid, scale_asked, weigh_in
from pourwright.cli.record_work import Work, insisted, issue_number, work_of
from pourwright.cli.screen import progress_shown, say
from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.cavity import Space
    from pourwright.document.model import PlanDocument
    from pourwright.record import Entry, Record, Replanned

NAME = "record"
Said = Mapping[str, Any]


def run(options: Options) -> int:
    """Record a pour or a coat, plan what is left from what is really there, and make the sheet again.

    With the plan's folder alone it asks, pour by pour, with what the sheet has as the answer to Enter. Readings of a
    pour's heat may come later: --pour NAME with --probe, --probe-later or --infrared alone adds them. The record is
    safe on the disk before anything is planned.
    """
    from pourwright.document.read_json import read_plan_json
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
    if document.lined:
        from pourwright.cli.coats.bench import record_coats

        return record_coats(options, work_of(folder, document, options.job))
    _no_coats(options)
    cups = bool(cup) or strike_cup is not None
    entries = _entries(document, pour, given, file)
    asks = not (entries or pour or cups or strike is not None or later or options.again or quiet or as_json)
    if not entries and pour is None and strike is None and not asks and not cups:
        _something(folder, read_record(folder))
    if cups:
        _cups(work_of(folder, document, options.job), cup, strike_cup, options.at, note)
    work = None if later and not asks else work_of(folder, document, options.job)
    ground = None
    if asks and work is not None:
        ground = _walked(work, progress_wanted=not quiet)
    elif pour is not None and not entries:
        held = work or work_of(folder, document, options.job)
        add_readings(folder, held.job, pour, readings_said(given, held.job.conditions.parts_k), yes=yes)
    elif entries:
        ground = _add(work or work_of(folder, document, options.job), entries, yes=yes, quiet=quiet)
    if strike is not None:
        _strike(folder, strike)
    record = _something(folder, read_record(folder))
    if work is None:
        tell(record, None, [], folder, sides, quiet=quiet, as_json=as_json)
        return 0
    planned, lines = _again(work, ground, record, pictures=options.pictures, quiet=quiet)
    tell(record, planned, lines, folder, sides, quiet=quiet, as_json=as_json)
    return closed_plan(planned.plan)


def _no_coats(options: Options) -> None:
    wrong = [name for name in ("rolls", "lies", "pin", "bare") if getattr(options, name)]
    if wrong:
        raise UsageError(f"--{wrong[0]} is of a coat, and this plan has pours: give --dip, --reached or --full")


def _cups(work: Work, said: Sequence[str], strike: int | None, at: str | None, note: str | None) -> None:
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


def _walked(work: Work, *, progress_wanted: bool) -> Space | None:
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


def _add(
    work: Work, entries: Sequence[tuple[str, Said]], *, yes: bool, quiet: bool, ground: Space | None = None
) -> Space:
    """Record pours, all of them or none, each seen against those before it."""
    from pourwright.record import add_entries, ground_of

    if ground is None:
        with progress_shown(not quiet) as progress:
            ground = ground_of(work.job, work.document.shell.sha256, progress)
    makes = [_maker(work, ground, pour, values, yes=yes) for pour, values in entries]
    add_entries(work.folder, work.document.shell.sha256, makes)
    return ground


def _maker(work: Work, ground: Space, pour: str, values: Said, *, yes: bool) -> Callable[[int, Record], Entry]:
    """What makes the entry of a pour, or refuses it."""
    from pourwright.record import Entry, doubts_of

    planned = next(one.planned for one in work.sheet if one.name == pour)

    def make(number: int, record: Record) -> Entry:
        mine = [entry for entry in record.counted if entry.pour == pour and entry.kind == "pour"]
        if values["kind"] == "pour" and mine:
            raise UsageError(f"pour {pour} is entry {mine[0].number} already: --strike it first, or use --top-up")
        if values["kind"] == "top-up" and not mine:
            raise UsageError(f"pour {pour} is not recorded yet: record it before its top-up")
        block = mine[0].planned if mine else planned
        entry = Entry(number=number, issue=issue_number(work.document), pour=pour, planned=block, **values)
        doubts = doubts_of(work.job, ground, record, work.sheet, entry)
        said = insisted(doubts, yes=yes)
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
    work: Work, ground: Space | None, record: Record, *, pictures: bool, quiet: bool
) -> tuple[Replanned, list[str]]:
    """Plan the rest, write the folder, and keep the names of its holes and pours."""
    from pourwright import units
    from pourwright.cli.sheet_pours import sheet_holes
    from pourwright.record import SCHEMA, Record, replan, update
    from pourwright.report.folder import write_plan
    from pourwright.report.record_words import issue_of, yield_words

    document = work.document
    number = issue_number(document) + 1
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
