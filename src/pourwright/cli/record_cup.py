"""``pourwright record --cup``: a cup test that was repeated on the day, or that failed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pourwright.cli.record_said import text_of
from pourwright.errors import JobError, UsageError

if TYPE_CHECKING:
    from pourwright.plan import Job
    from pourwright.record import Record

FAILED_WORD = "failed"
_NOT_HERE = ("reference", "peaks")
_EXAMPLE = '--cup "cream=38 s" --cup "rise_end=5 min", or --cup failed'


def with_cups(job: Job, record: Record | None) -> Job:
    """The job with the cup tests that passed, one after another, in its grade."""
    for cup in record.cups if record is not None else ():
        if not (cup.struck or cup.failed):
            job = _with_cup(job, cup.values, f"cup {cup.number} of the record{f', {cup.at}' if cup.at else ''}")
    return job


def _with_cup(job: Job, values: dict[str, str], reference: str) -> Job:
    from pourwright.foam import refit_from_cup
    from pourwright.intake import said_cup

    day = job.conditions
    try:
        test = said_cup(values, day.parts_k, day.pressure_pa, reference)
        return replace(job, grade=refit_from_cup(job.grade, test), cup=test)
    except JobError as error:
        raise UsageError(f"--cup {error.key.removeprefix('cup.')}={error.given!r}: {error.allowed}") from None


def add_cup(folder: Path, shell_sha256: str, job: Job, said: Sequence[str], at: str | None, note: str | None) -> None:
    """Put a cup test into the record; refused where it cannot be one. ``job`` holds those before it."""
    from pourwright.record import SCHEMA, Cup, Record, update

    failed, values = _parted(said)
    if values or not failed:
        _with_cup(job, values, "the cup that is recorded")

    def change(old: Record | None) -> Record:
        record = old if old is not None else Record(schema=SCHEMA, shell_sha256=shell_sha256)
        made = Cup(
            number=len(record.cups) + 1,
            values=values,
            failed=failed,
            at=text_of(at)[:100],
            note=text_of(note)[:500],
        )
        return record.model_copy(update={"cups": (*record.cups, made)})

    update(folder, change)


def _parted(said: Sequence[str]) -> tuple[bool, dict[str, str]]:
    """Whether it failed, and its values by key."""
    values: dict[str, str] = {}
    for one in said:
        key, sign, value = (part.strip() for part in one.partition("="))
        if one.strip() == FAILED_WORD:
            continue
        if not sign or not key or not value or key in _NOT_HERE:
            raise UsageError(f"--cup {one!r}: write a key of [cup] and its value, like {_EXAMPLE}")
        values[key] = text_of(value)[:100]
    return len(values) < len({one.strip() for one in said}), values


def strike_cup(folder: Path, number: int) -> None:
    """A cup that was entered by mistake counts no more."""
    from pourwright.record import update

    def change(record: Record | None) -> Record:
        if record is None or not any(cup.number == number for cup in record.cups):
            raise UsageError(f"--strike-cup {number}: there is no such cup; pourwright record PLAN --later lists them")
        cups = tuple(c.model_copy(update={"struck": True}) if c.number == number else c for c in record.cups)
        return record.model_copy(update={"cups": cups})

    update(folder, change)


def cup_lines(record: Record) -> list[str]:
    """Every cup of the record, in a line each."""
    lines = []
    for cup in record.cups:
        marks = [word for word, on in ((FAILED_WORD, cup.failed), ("struck", cup.struck)) if on]
        values = ", ".join(f"{key} {value}" for key, value in cup.values.items())
        parts = [values, ", ".join(marks), cup.at, cup.note]
        lines.append(f"Cup {cup.number}: {'; '.join(part for part in parts if part)}.")
    return lines
