"""What ``pourwright record`` prints, and what its sheet says of a pour that is in."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from pourwright.cli.record_cup import cup_lines
from pourwright.cli.record_readings import heat_tree
from pourwright.cli.screen import output
from pourwright.plaintext import escaped_json

if TYPE_CHECKING:
    from pathlib import Path

    from pourwright.foam import Sides
    from pourwright.record import Entry, Record, Replanned


def done_lines(again: Replanned, sides: Sides) -> dict[str, tuple[str, ...]]:
    """Lines of each poured pour, by its name."""
    from pourwright import units

    lines = {}
    for name, mass in again.done.items():
        mine = [entry for entry in mass.entries if entry.pour == name]
        a, b = (sum(getattr(e, part) for e in mine) for part in ("part_a_kg", "part_b_kg"))
        top = units.tape(again.filled.spaces[name].top_m)
        read = any(e.reached_m is not None or (e.full and e.planned.closes) for e in mass.entries)
        up = f"up to {top} above the base{'' if read else ' by the sheet: not measured'}"
        said = [f"{sides.a} {units.mass(a)}, {sides.b} {units.mass(b)}, {up}"]
        if len(mass.pours) > 1:
            said.append(f"together with {', '.join(other for other in mass.pours if other != name)}")
        said += [f"topped up with {units.mass(e.kg)} of both parts" for e in mine if e.kind == "top-up"]
        said += [f"INSISTED ON: {words}" for e in mine for words in e.insisted]
        said += [": ".join(word for word in (e.at, e.note) if word) for e in mine if e.at or e.note]
        lines[name] = tuple(said)
    return lines


def tell(
    record: Record, again: Replanned | None, lines: list[str], folder: Path, sides: Sides, *, quiet: bool, as_json: bool
) -> None:
    """The record as a table and what has changed, or both as JSON."""
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
        last = [f"The sheet in {folder} is made again."] if again is not None else _as_it_was(record)
        print_record(
            [_row(entry) for entry in record.entries], [*cup_lines(record), *lines, *last], output(), sides.heads
        )


def _as_it_was(record: Record) -> list[str]:
    """What is told where nothing is planned again: the sheet does not say that a cup failed."""
    return [*stop_lines(record), "Recorded; the sheet is as it was."]


def stop_lines(record: Record | None) -> list[str]:
    """That nothing is poured, where a cup failed and none has passed since."""
    from pourwright.record import failed_cups

    found = () if record is None else failed_cups(record)
    return [f"A cup failed: pour no more until one passes; {check.remedy}." for check in found]


def _row(entry: Entry) -> tuple[str, ...]:
    from pourwright import units

    unread = "full" if entry.planned.closes else "not measured"
    reached = units.tape(entry.reached_m) if entry.reached_m is not None else unread if entry.full else ""
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
