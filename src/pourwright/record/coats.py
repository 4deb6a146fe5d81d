"""Coats of a lining as they were poured and turned, what speaks against an entry, and the plan for what is left."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.errors import ShellError
from pourwright.findings import Code, note
from pourwright.foam import Parts, at_conditions
from pourwright.lining import Begun, Kept, Pin, PouredCoat, Roll
from pourwright.plan import Case, Job, LinedPlan, Tried, history_of, lined_plan, space_of
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.record.cups import failed_cups
from pourwright.record.doubt import Doubt, ratio_doubts
from pourwright.record.fill import conditions_of
from pourwright.record.model import CoatEntry, PlannedCoat, Record, RollMade
from pourwright.record.yields import SCALE_SPREAD
from pourwright.sources import Cited, Standing

OFF_COAT = Cited(
    0.30, "-", Standing.JUDGEMENT, note="share by which a coat may weigh more or less than its sheet before it is asked"
)
THINNER = Cited(
    0.005, "m", Standing.JUDGEMENT, note="by which a pin may find less at a place than after an earlier coat"
)
SOLID = 0
"""The number that solid places have among coats: they are filled before the first."""


@dataclass(frozen=True)
class SheetLining:
    """What the sheet that holds now says of a lining."""

    planned: Mapping[int, PlannedCoat]  # by number; `SOLID`: the solid places
    kept: Kept | None  # of the coats that are left
    places_m: tuple[np.ndarray, ...]  # of its pins
    room_m3: float  # cavity that holds no foam yet


def roll_of(made: RollMade, frame: PourFrame) -> Roll:
    """A roll as it is followed."""
    up, axis = (np.asarray(frame.rotation @ np.array(way)) for way in (made.up, made.axis))
    if not np.any(axis):
        return Roll(up, 0.0, 0.0)
    tilt = math.acos(float(np.clip(axis @ up, -1.0, 1.0)))
    return Roll(axis, tilt, made.turn_rad, up)


def coats_counted(record: Record | None) -> dict[int, CoatEntry]:
    """Entries that were not struck, by the number of their coat."""
    return {} if record is None else {one.coat: one for one in record.coats if not one.struck}


def begun_of(job: Job, record: Record, sheet: SheetLining, frame: PourFrame) -> Begun:
    """What is in the piece, as a lining takes it."""
    found = coats_counted(record)
    solid = found.pop(SOLID, None)
    kg = None if solid is None else Range.about(solid.kg, SCALE_SPREAD)
    poured = tuple(_poured(job, found[number], frame) for number in sorted(found))
    return Begun(poured, sheet.kept if sheet.kept is not None and sheet.kept.rolls else None, kg, sheet.places_m)


def _poured(job: Job, entry: CoatEntry, frame: PourFrame) -> PouredCoat:
    planned, grade = entry.planned, job.grade
    rolls = [roll_of(one, frame) for one in planned.rolls]
    turning = [one for one in rolls if not one.still]
    made = [turning[k % len(turning)] for k in range(entry.rolls)] if turning else []
    down = [one for one in rolls if one.still]
    if entry.up is not None:
        down = [Roll(np.asarray(frame.rotation @ np.array(entry.up)), 0.0, 0.0)]
    parts = Parts(
        entry.part_a_kg, entry.part_b_kg, entry.part_a_kg / grade.part_a_density_kg_m3,
        entry.part_b_kg / grade.part_b_density_kg_m3,
    )  # fmt: skip
    return PouredCoat(
        entry.coat, parts, entry.kg / planned.kg, planned.foam_m3, planned.followed_m3, SCALE_SPREAD, planned.film_m,
        (*made, *down), tuple(Pin(np.array(pin.point_m), pin.foam_m) for pin in entry.pins), planned.aims,
        bool(down) and not turning,
    )  # fmt: skip


def replan_lining(job: Job, record: Record, sheet: SheetLining, progress: Progress = silent) -> LinedPlan:
    """Plan the coats that are left; those that are in stay as they were poured, turned and pinned.

    Raises
    ------
    ShellError
        The shell is not the one of the record.
    """
    space = space_of(job, progress)
    if space.skin.sha256 != record.shell_sha256:
        raise ShellError(f"{job.shell} is not the file this plan was made from: its content has changed; plan again.")
    day = job.conditions
    for entry in record.coats:
        if not entry.struck:
            day = conditions_of(day, entry)
    used = replace(job, conditions=day)
    begun = begun_of(used, record, sheet, space.frame)
    plan = lined_plan(Case(used, space, history_of(used)), progress, Tried(begun=begun))
    return replace(
        plan,
        checks=(*failed_cups(record), *plan.checks),
        warnings=(note(Code.COATS_AS_RECORDED), *plan.warnings),
        provenance={**plan.provenance, "issue": str(record.issue)},
    )


def coat_doubts(job: Job, record: Record, sheet: SheetLining, entry: CoatEntry) -> tuple[Doubt, ...]:
    """Everything that speaks against the entry of a coat, given what is recorded already."""
    return (
        *_order(record, sheet, entry),
        *ratio_doubts(job.grade.sides, entry),
        *_weight(job, sheet, entry),
        *_pins(record, entry),
    )


def coat_name(number: int) -> str:
    """As sheet and record name it.

    >>> coat_name(2), coat_name(SOLID)
    ('coat 2', 'solid')
    """
    return "solid" if number == SOLID else f"coat {number}"


def _order(record: Record, sheet: SheetLining, entry: CoatEntry) -> list[Doubt]:
    done = coats_counted(record)
    before = [number for number in sorted(sheet.planned) if number < entry.coat and number not in done]
    if not before:
        return []
    many = len(before) > 1
    return [
        Doubt(
            f"{coat_name(entry.coat)} comes after {', '.join(coat_name(one) for one in before)}, which "
            f"{'are' if many else 'is'} not recorded: record in the order of the work",
            firm=any(number != SOLID for number in before),
        )
    ]


def _weight(job: Job, sheet: SheetLining, entry: CoatEntry) -> list[Doubt]:
    """More than there is room for cannot be; much more or less than the sheet has is asked."""
    name, planned = coat_name(entry.coat), entry.planned
    foam = at_conditions(job.grade, job.conditions)
    most_kg = foam.open_density_kg_m3.high * sheet.room_m3  # of the densest foam that fills all of it
    said = f"{name}: {entry.kg:.3g} kg of both parts, and {planned.kg:.3g} kg is on the sheet"
    if entry.kg > most_kg * (1.0 + OFF_COAT.value):
        return [
            Doubt(f"{said}; {most_kg:.3g} kg would fill all that is hollow: that cannot be", firm=True),
        ]
    if abs(entry.kg / planned.kg - 1.0) <= OFF_COAT.value * (1.0 + 1e-9):
        return []
    return [Doubt(f"{said}, give or take {OFF_COAT.value:.0%}")]


def _pins(record: Record, entry: CoatEntry) -> list[Doubt]:
    """Foam does not go away: less at a place than after an earlier coat."""
    before = {}
    for number, one in sorted(coats_counted(record).items()):
        if number < entry.coat:
            before.update({pin.name: (pin.foam_m, number) for pin in one.pins if pin.name})
    out = []
    for pin in entry.pins:
        had, number = before.get(pin.name, (0.0, 0))
        if pin.foam_m < had - THINNER.value:
            out.append(
                Doubt(
                    f"pin {pin.name} finds {pin.foam_m * 1e3:.0f} mm, and it found {had * 1e3:.0f} mm after "
                    f"{coat_name(number)}: foam does not go away"
                )
            )
    return out


def strike_coat(entries: Sequence[CoatEntry], number: int) -> tuple[CoatEntry, ...]:
    """The entries with one counted no more."""
    return tuple(one.model_copy(update={"struck": True}) if one.number == number else one for one in entries)
