"""``pourwright record`` on a lining: coats as they were weighed, turned and pinned, and the sheet for those left."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pourwright.cli.coats.sheet import coat_left, sheet_lining
from pourwright.cli.codes import closed_plan
from pourwright.cli.record_cup import add_cup, cup_lines, strike_cup
from pourwright.cli.record_options import Options
from pourwright.cli.record_told import stop_lines
from pourwright.cli.record_work import Work, insisted, issue_number
from pourwright.cli.screen import output, progress_shown, say
from pourwright.errors import UsageError
from pourwright.plaintext import escaped_json

if TYPE_CHECKING:
    from pourwright.record import CoatEntry, Record, SheetLining

OF_LIFTS = ("dip", "reached", "full", "top_up", "probe", "probe_later", "infrared")
"""What is said of pours only."""
OF_A_COAT = (
    "part_a", "part_b", "both", "as_planned", "rolls", "lies", "pin", "bare", "at", "parts", "air", "skin", "note",
)  # fmt: skip
"""What is said of one."""
NOT_ASKED = ("cup", "strike_cup_no", "strike", "later", "again", "quiet", "as_json")
"""With these nothing is asked."""
Said = Mapping[str, Any]


def record_coats(options: Options, work: Work) -> int:
    """Record coats, strike, or ask; then plan what is left and make the sheet again."""
    from pourwright.record import read_record

    folder, asked = work.folder, options.pour is not None or options.file is not None
    _only_of_coats(options)
    if options.cup:
        add_cup(folder, work.document.shell.sha256, work.job, options.cup, options.at, options.note)
    if options.strike_cup_no is not None:
        strike_cup(folder, options.strike_cup_no)
    if options.strike is not None:
        _strike(folder, options.strike)
    if asked:
        _add(work, _entries(options, work), yes=options.yes)
    elif not any(getattr(options, name) for name in NOT_ASKED):
        _walked(work)
    record = read_record(folder)
    if record is None or not (record.coats or record.cups):
        raise UsageError(f'nothing is recorded of the plan in {folder} yet: give --pour "coat 1"')
    if options.later:
        _tell(record, None, [], work, options)
        return 0
    plan, lines = _again(work, record, options)
    _tell(record, plan, lines, work, options)
    return closed_plan(plan)


def _only_of_coats(options: Options) -> None:
    wrong = [name for name in OF_LIFTS if getattr(options, name)]
    if wrong:
        raise UsageError(
            f"--{wrong[0].replace('_', '-')} is of pours, and this plan has coats: say how thick one lies with "
            '--pin "P1=18 mm", and how it was turned with --rolls and --lies'
        )
    if options.pour is None and any(getattr(options, name) for name in OF_A_COAT if name not in ("at", "note")):
        raise UsageError('say which coat it was with --pour "coat 1"')


def _entries(options: Options, work: Work) -> list[tuple[int, dict[str, Any]]]:
    """Coats with what is said of them."""
    from pourwright.cli.coats.said import coat_number, coat_said
    from pourwright.cli.record_from import read_bench
    from pourwright.record import coat_name, coats_counted, read_record

    if options.pour is not None:
        number = coat_number(work.document, options.pour)
        given = {name: getattr(options, name) for name in OF_A_COAT}
        return [(number, coat_said(work.document, number, given))]
    done, out = coats_counted(read_record(work.folder)), list[tuple[int, dict[str, Any]]]()
    for one in read_bench(options.file or Path("-"), work.document.shell.sha256):
        number = coat_number(work.document, one.pour)
        if number in done:
            say(f"{coat_name(number)} is recorded already: left as it is")
            continue
        given = one.model_dump(exclude={"pour"})
        pins = [f"{name}={value}" for name, value in (one.pins or {}).items()]
        bare = [one.bare] if one.bare else []
        try:
            out.append((number, coat_said(work.document, number, {**given, "pin": pins, "bare": bare})))
        except UsageError as error:
            raise UsageError(f"{options.file}, {one.pour}: {error}; nothing was recorded") from None
    if not out:
        raise UsageError(f"{options.file}: every coat of it is recorded already; --again plans the rest once more")
    return out


def _add(work: Work, entries: Sequence[tuple[int, Said]], *, yes: bool) -> None:
    """Record coats, all of them or none, each seen against those before it."""
    from pourwright.record import SCHEMA, Record, update

    def change(old: Record | None) -> Record:
        record = old if old is not None else Record(schema=SCHEMA, shell_sha256=work.document.shell.sha256)
        for number, values in entries:
            made = _made(work, record, sheet_lining(work.document, record), number, values, yes=yes)
            record = record.model_copy(update={"coats": (*record.coats, made)})
        return record

    update(work.folder, change)


def _made(work: Work, record: Record, sheet: SheetLining, number: int, values: Said, *, yes: bool) -> CoatEntry:
    from pourwright.record import CoatEntry, coat_doubts, coat_name, coats_counted

    there = coats_counted(record).get(number)
    if there is not None:
        raise UsageError(f"{coat_name(number)} is entry {there.number} already: --strike it first")
    issue = issue_number(work.document)
    entry = CoatEntry(number=len(record.coats) + 1, issue=issue, coat=number, planned=sheet.planned[number], **values)
    return entry.model_copy(update={"insisted": insisted(coat_doubts(work.job, record, sheet, entry), yes=yes)})


def _strike(folder: Path, number: int) -> None:
    from pourwright.record import coat_name, coats_counted, strike_coat, update

    def change(record: Record | None) -> Record:
        gone = next((one for one in record.coats if one.number == number), None) if record is not None else None
        if record is None or gone is None:
            raise UsageError(f"--strike {number}: there is no such entry; pourwright record PLAN --later lists them")
        later = [one for one in coats_counted(record).values() if one.coat > gone.coat]
        if later and not gone.struck:
            raise UsageError(
                f"--strike {number}: {coat_name(later[-1].coat)} lies on it; strike that first, with --strike "
                f"{later[-1].number}"
            )
        return record.model_copy(update={"coats": strike_coat(record.coats, number)})

    update(folder, change)


def _walked(work: Work) -> None:
    """What is asked at the bench, each coat kept as soon as it is answered."""
    from pourwright.cli.coats.asking import walk_coats
    from pourwright.cli.record_asking import Asker, NobodyAnswersError
    from pourwright.record import read_record

    def left() -> int | None:
        return coat_left(work.document, read_record(work.folder))

    def keep(number: int, values: dict[str, Any], insist: bool) -> None:
        _add(work, [(number, values)], yes=insist)

    ask = Asker()
    for words in stop_lines(read_record(work.folder)):
        ask.tell(words)
    try:
        walk_coats(work.document, left, keep, ask)
    except NobodyAnswersError:
        return


def _again(work: Work, record: Record, options: Options) -> tuple[Any, list[str]]:
    """Plan the coats that are left and write the folder."""
    from pourwright.document.plan_json import plan_document
    from pourwright.record import SCHEMA, Record, replan_lining, update
    from pourwright.report.coat_changes import coat_changes, done_words
    from pourwright.report.folder import write_plan
    from pourwright.report.sheet import Issue

    document = work.document
    number = issue_number(document) + 1
    with progress_shown(not options.quiet) as progress:
        plan = replan_lining(
            work.job, record.model_copy(update={"issue": number}), sheet_lining(document, record), progress
        )
        lines = coat_changes(document, plan_document(plan), record)
        issue = Issue(number, tuple(lines), done_words(record, plan.job.grade.sides))
        write_plan(plan, work.folder, pictures=options.pictures, progress=progress, request=work.request, issue=issue)

    def change(now: Record | None) -> Record:
        now = now if now is not None else Record(schema=SCHEMA, shell_sha256=document.shell.sha256)
        return now.model_copy(update={"issue": number})

    update(work.folder, change)
    return plan, lines


def _tell(record: Record, plan: Any, lines: list[str], work: Work, options: Options) -> None:
    """The record as a table and what has changed, or both as JSON."""
    if options.as_json:
        tree = {"record": record.model_dump(mode="json", by_alias=True), "changes": lines}
        print(escaped_json(json.dumps(tree, indent=1, ensure_ascii=False)))
    elif not options.quiet:
        from pourwright.report.coat_changes import print_coats

        last = (
            [f"The sheet in {work.folder} is made again."]
            if plan is not None
            else [*stop_lines(record), "Recorded; the sheet is as it was."]
        )
        heads = (work.document.foam.part_a, work.document.foam.part_b)
        print_coats(record, [*cup_lines(record), *lines, *last], output(), heads)
