"""From tables to spots, and to the form of what stands inside the piece."""

from __future__ import annotations

from collections.abc import Iterable

from pourwright.errors import JobError
from pourwright.intake.site_tables import ItemTable, SpotTable
from pourwright.outcome import Shape, Spot

PAIRS = (("from_left", "from_right"), ("from_front", "from_back"), ("from_base", "from_top"))
FORM = ("start", "end", "diameter", "section")


def spot_of(table: SpotTable, key: str, needed: Iterable[tuple[str, str]]) -> Spot:
    """Where a table says that something is; measures of the pairs ``needed`` may not be missing."""
    measured = [name for pair in PAIRS for name in pair if getattr(table, name) is not None]
    if table.at is not None:
        if measured:
            raise JobError(f"{key}.{measured[0]}", getattr(table, measured[0]), "give either at or measures, not both")
        return Spot(at_m=table.at)
    for near, far in PAIRS:
        if getattr(table, near) is not None and getattr(table, far) is not None:
            raise JobError(f"{key}.{far}", getattr(table, far), f"{near} is given already: give one of the two")
    for near, far in needed:
        if getattr(table, near) is None and getattr(table, far) is None:
            raise JobError(f"{key}.at", None, f"give at, or measures: {near} or {far} is missing")
    return Spot(**{f"{name}_m": getattr(table, name) for name in measured})


def shape_of(table: ItemTable, key: str) -> Shape | None:
    """The form of an item; None where it has none."""
    given = [name for name in FORM if getattr(table, name) not in (None, [])]
    if table.shape is None:
        if given:
            raise JobError(f"{key}.{given[0]}", None, 'needs shape = "rod", "bar" or "box"')
        return None
    if table.when != "before":
        raise JobError(f"{key}.shape", table.shape, 'needs when = "before": what is put on afterwards takes no room')
    if table.per_area is not None:
        raise JobError(f"{key}.shape", table.shape, "is of hardware: a coating with per_area has none")
    if table.start is None or table.end is None:
        raise JobError(f"{key}.start", None, "give start and end, each a table of a spot")
    if (table.diameter is None) == (table.shape == "rod"):
        raise JobError(f"{key}.diameter", table.diameter, "is what a rod needs, and no other form takes")
    if (len(table.section) != 2) == (table.shape == "bar") or (table.section and table.shape != "bar"):
        raise JobError(
            f"{key}.section", table.section or None, "is two lengths, which a bar needs and no other form takes"
        )
    start, end = (spot_of(spot, f"{key}.{name}", PAIRS) for name, spot in (("start", table.start), ("end", table.end)))
    if start == end:
        raise JobError(f"{key}.end", None, "is where it starts: give the other end")
    wide, deep = (table.diameter, table.diameter) if table.shape == "rod" else (*table.section, 0.0, 0.0)[:2]
    return Shape(table.shape, start, end, wide or 0.0, deep or 0.0)
