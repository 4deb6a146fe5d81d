"""What a record of coats says, and what the sheet made from it has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.foam import Sides
from pourwright.record import CoatEntry, Record, coat_name, coats_counted

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.document.model_fill import CoatDoc, FillDoc

HEADS = ("Rolls", "Pins", "When", "Note")


def done_words(record: Record, sides: Sides) -> Mapping[str, tuple[str, ...]]:
    """Lines for each coat that is in, by its name."""
    return {coat_name(number): tuple(_done(entry, sides)) for number, entry in sorted(coats_counted(record).items())}


def _done(entry: CoatEntry, sides: Sides) -> list[str]:
    out = [f"{sides.a} {units.mass(entry.part_a_kg)}, {sides.b} {units.mass(entry.part_b_kg)}"]
    if entry.coat:
        out[0] += f"; {entry.rolls} roll{'' if entry.rolls == 1 else 's'} before it gelled"
    out += [f"pinned: {pin_words(entry)}"] if entry.pins else []
    out += [f"INSISTED ON: {words}" for words in entry.insisted]
    out += [": ".join(word for word in (entry.at, entry.note) if word)] if entry.at or entry.note else []
    return out


def pin_words(entry: CoatEntry) -> str:
    """What its pins found."""
    named = [
        f"{pin.name or 'a place of its own'} {units.tape(pin.foam_m) if pin.foam_m > 0 else 'bare'}"
        for pin in entry.pins
    ]
    return ", ".join(named)


def coat_changes(before: PlanDocument, after: PlanDocument, record: Record) -> list[str]:
    """What was short or over, what the coats that are left make of it, and how much of the inside is covered now."""
    lines, sides = list[str](), Sides(after.foam.part_a, after.foam.part_b)
    if before.fill is None or after.fill is None:
        return lines
    done = coats_counted(record)
    for number, entry in sorted(done.items()):
        off = entry.kg / entry.planned.kg - 1.0
        if abs(off) >= 0.005:
            lines.append(
                f"{_head(number)} took {units.mass(entry.kg)} of both parts, {abs(off):.0%} "
                f"{'less' if off < 0 else 'more'} than its sheet had."
            )
    old = {coat.number: coat for coat in before.fill.coats}
    for coat in after.fill.coats:
        if not coat.poured:
            lines += _coat(old.get(coat.number), coat, sides)
            if coat.number in old and not _same_rolls(before.fill, after.fill, coat.number):
                lines.append(f"Coat {coat.number} is turned otherwise than on the sheet before: follow its new card.")
    gone = [one for one in old if one not in {coat.number for coat in after.fill.coats} and one not in done]
    if gone:
        lines.append(f"No longer needed: {', '.join(coat_name(one) for one in gone)}: enough foam is in.")
    lines += _differs("The coats cover", f"{after.fill.coverage:.1%}", f"{before.fill.coverage:.1%}", " of the inside")
    thin = [units.length(fill.thinnest_m or 0.0) for fill in (after.fill, before.fill)]
    lines += _differs("The thinnest place is", thin[0], thin[1], "")
    if before.status != after.status:
        lines.append(f"The plan is now: {after.status}. It was: {before.status}.")
    return lines or ["Nothing that is left has changed."]


def _same_rolls(was: FillDoc, now: FillDoc, number: int) -> bool:
    rolls = [[(*one.up, *one.axis, one.turn_rad) for one in fill.sequence if one.coat == number] for fill in (was, now)]
    return len(rolls[0]) == len(rolls[1]) and bool(np.allclose(rolls[0], rolls[1], atol=1e-6))


def _head(number: int) -> str:
    name = coat_name(number)
    return "The solid places" if number == 0 else f"{name[:1].upper()}{name[1:]}"


def _differs(what: str, now: str, was: str, tail: str) -> list[str]:
    return [] if now == was else [f"{what} {now}{tail}; the sheet before said {was}."]


def _coat(was: CoatDoc | None, now: CoatDoc, sides: Sides) -> list[str]:
    parts = f"{sides.a} {units.mass(now.part_a_kg)}, {sides.b} {units.mass(now.part_b_kg)}"
    if was is None or was.poured:
        return [f"Coat {now.number} is new: {units.length(now.thickness_m)}, {parts}."]
    out = _differs("is", units.length(now.thickness_m), units.length(was.thickness_m), " thick")
    old = f"{sides.a} {units.mass(was.part_a_kg)}, {sides.b} {units.mass(was.part_b_kg)}"
    out += _differs("takes", parts, old, "")
    return [f"Coat {now.number} {words}" for words in out]


def print_coats(record: Record, lines: Sequence[str], console: Console, heads: tuple[str, str]) -> None:
    """Entries as a table, the liquids headed ``heads``, then sentences. Texts of the record are no markup."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for head in ("No", "Coat", *heads, *HEADS):
        table.add_column(head)
    for one in record.coats:
        table.add_row(*(Text(cell) for cell in _row(one)))
    console.print(table)
    for line in lines:
        console.print(line, highlight=False, markup=False)


def _row(one: CoatEntry) -> tuple[str, ...]:
    marks = (", insisted on" if one.insisted else "") + (", struck" if one.struck else "")
    return (
        str(one.number), coat_name(one.coat) + marks, units.mass(one.part_a_kg), units.mass(one.part_b_kg),
        str(one.rolls) if one.coat else "", pin_words(one), one.at, one.note,
    )  # fmt: skip
