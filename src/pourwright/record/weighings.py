"""Readings of scales in the record, and as the answers take them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourwright.errors import UsageError
from pourwright.outcome import Cell, Weighing
from pourwright.record.model import SCHEMA, Record, WeighedEntry
from pourwright.record.store import update


def weighings_of(record: Record | None) -> tuple[Weighing, ...]:
    """The weighings that count, in the order in which they were recorded."""
    counted = [one for one in record.weighings if not one.struck] if record is not None else []
    return tuple(weighing_of(one) for one in counted)


def weighing_of(entry: WeighedEntry) -> Weighing:
    """An entry as the answers take it."""
    cells = tuple(Cell(cell.kg, cell.at_m) for cell in entry.cells)
    return Weighing(entry.stage, cells, entry.error_kg, entry.tare_kg)


def add_weighing(folder: Path, shell_sha256: str, make: Callable[[int, Record], WeighedEntry]) -> Record:
    """Add one; ``make`` gets its number and the record as it is, and may refuse by raising."""

    def change(old: Record | None) -> Record:
        record = old if old is not None else Record(schema=SCHEMA, shell_sha256=shell_sha256)
        made = make(len(record.weighings) + 1, record)
        return record.model_copy(update={"weighings": (*record.weighings, made)})

    return update(folder, change)


def strike_weighing(folder: Path, number: int) -> Record:
    """A weighing that was a mistake counts no more.

    Raises
    ------
    UsageError
        There is none of this number.
    """

    def change(record: Record | None) -> Record:
        if record is None or not any(one.number == number for one in record.weighings):
            raise UsageError(f"--strike-weighing {number}: there is no such weighing")
        kept = tuple(
            one.model_copy(update={"struck": True}) if one.number == number else one for one in record.weighings
        )
        return record.model_copy(update={"weighings": kept})

    return update(folder, change)
