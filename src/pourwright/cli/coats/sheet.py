"""The sheet of a lining that is on the bench, as the record knows it: its coats, rolls and pins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.document.model_fill import CoatDoc, FillDoc, PositionDoc
    from pourwright.lining import Kept
    from pourwright.record import PlannedCoat, Record, RollMade, SheetLining


def filled(document: PlanDocument) -> FillDoc:
    """The block of a plan with a lining."""
    if document.fill is None or document.fill.style != "lining":
        raise UsageError("this plan has no coats")
    return document.fill


def rolls_of_coat(fill: FillDoc, number: int) -> list[PositionDoc]:
    """Rolls of a coat, in their order; of an older plan those of every coat."""
    return [one for one in fill.sequence if one.coat in (number, 0)]


def coat_left(document: PlanDocument, record: Record | None) -> int | None:
    """Number of the first coat of the sheet that is not recorded, 0 for the solid places; None: all are."""
    from pourwright.record import coats_counted

    done, fill = coats_counted(record), filled(document)
    due = [0] if fill.solid else []
    return next((number for number in [*due, *(coat.number for coat in fill.coats)] if number not in done), None)


def sheet_lining(document: PlanDocument, record: Record | None) -> SheetLining:
    """What the sheet says, coats that are in as they stood on the sheet they were poured from."""
    import numpy as np

    from pourwright.record import PlannedCoat, SheetLining, coats_counted

    fill, done = filled(document), coats_counted(record)
    planned = {coat.number: _planned(fill, coat) for coat in fill.coats if coat.number not in done}
    if fill.solid and 0 not in done:
        foam_m3 = sum(place.volume_m3 for place in fill.solid)
        planned[0] = PlannedCoat(part_a_kg=fill.solid_a_kg, part_b_kg=fill.solid_b_kg, foam_m3=foam_m3)
    struck = [entry for entry in record.coats if entry.struck] if record is not None else []
    planned |= {entry.coat: entry.planned for entry in struck if entry.coat in planned and _in(fill, entry.coat)}
    planned |= {number: entry.planned for number, entry in done.items()}
    left = [coat for coat in fill.coats if coat.number not in done]
    kept = _kept(document, left)
    room = fill.hollow_m3 + sum(coat.foam_m3 for coat in left)
    room += sum(place.volume_m3 for place in fill.solid) if fill.solid and 0 not in done else 0.0
    return SheetLining(planned, kept, tuple(np.array(pin.point_m) for pin in fill.pins), room)


def _in(fill: FillDoc, number: int) -> bool:
    """Whether the sheet has a coat as poured, so that its parts are what was weighed."""
    return number == 0 or any(coat.poured for coat in fill.coats if coat.number == number)


def _planned(fill: FillDoc, coat: CoatDoc) -> PlannedCoat:
    from pourwright.record import PlannedCoat

    if coat.film_m <= 0.0 or coat.followed_m3 <= 0.0:
        raise UsageError("this plan was made before coats could be recorded: plan the piece again")
    return PlannedCoat(
        part_a_kg=coat.part_a_kg, part_b_kg=coat.part_b_kg, foam_m3=coat.foam_m3, followed_m3=coat.followed_m3,
        film_m=coat.film_m, rolls=tuple(_roll(one) for one in rolls_of_coat(fill, coat.number)),
        aims=tuple(coat.aims),
    )  # fmt: skip


def _roll(one: PositionDoc) -> RollMade:
    from pourwright.record import RollMade

    return RollMade(up=one.up, axis=one.axis, turn_rad=one.turn_rad)


def _kept(document: PlanDocument, left: list[CoatDoc]) -> Kept | None:
    """Rolls and films of the coats that are left."""
    import numpy as np

    from pourwright.cavity import PourFrame
    from pourwright.lining import Kept
    from pourwright.record import roll_of

    frame = document.frame
    stand = PourFrame(np.array(frame.rotation), np.array(frame.offset_m), np.array(frame.size_m))
    fill = filled(document)
    rolls = tuple(tuple(roll_of(_roll(one), stand) for one in rolls_of_coat(fill, coat.number)) for coat in left)
    if not left or not all(rolls):
        return None
    return Kept(rolls, tuple(coat.film_m for coat in left), fill.coverage, tuple(tuple(coat.aims) for coat in left))
