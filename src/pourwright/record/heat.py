"""Heat of lifts that stay as a searched day cut them: the sheet's waits, made longer where the foam now asks for it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pourwright.lifts import LiftPlan
from pourwright.plan import (
    Heating,
    HeatRules,
    History,
    Job,
    Step,
    heat_excess,
    heating_of,
    schedule_of,
    with_heat,
    with_waits,
)
from pourwright.progress import Progress, silent
from pourwright.record.ground import Ground, SheetPour
from pourwright.record.model import Entry

CELLS = 4
"""The heat cells of a plan over those of one at the bench, where somebody waits for it."""
LONGER, TURNS = 1.15, 6
"""What waits are lengthened by, and how often at most; our judgement."""


@dataclass(frozen=True, eq=False)
class HeatedRest:
    """What is left with its heat and its schedule. ``heating`` is None where none is computed."""

    left: LiftPlan
    heating: Heating | None
    steps: tuple[Step, ...]
    words: str


def sheet_waits(sheet: Sequence[SheetPour], entries: Sequence[Entry]) -> dict[int, float]:
    """Wait [s] of each lift from the start of its first mix, as the sheets had it; without lifts that had none."""
    waits: dict[int, float] = {}
    for planned in [*(pour.planned for pour in sheet), *(entry.planned for entry in entries)]:
        if planned.wait_s is not None:
            waits[planned.lift] = max(planned.wait_s, waits.get(planned.lift, 0.0))
    return waits


def heated_rest(
    job: Job,
    rules: HeatRules,
    ground: Ground,
    history: History,
    whole: LiftPlan,
    left: LiftPlan,
    waits: Mapping[int, float],
    progress: Progress = silent,
) -> HeatedRest | None:
    """The lifts that are left with the sheet's waits, longer where the time at temperature asks for it.

    Parameters
    ----------
    job : Job
        With the grade and the temperatures that hold now.
    rules : HeatRules
        Of the job as it was planned first.
    ground, history
        Of the piece and the foam.
    whole : LiftPlan
        Poured lifts and those that are left.
    left : LiftPlan
        Those that are left.
    waits : mapping
        Of each lift, see `sheet_waits`.
    progress : Progress

    Returns
    -------
    HeatedRest or None
        None where a wait is not known.
    """
    numbers = [lift.number for lift in whole.lifts]
    if not left.lifts or any(number not in waits for number in numbers):
        return None
    first = min(lift.number for lift in left.lifts)
    between = [waits[number] for number in numbers[:-1]]
    fixed = sum(number < first for number in numbers) - 1  # waits that are over
    told = ""
    heating = None
    if rules.computed:
        few = replace(rules, cells=max(2000, rules.cells // CELLS))
        shared = (ground.skin, ground.cavity, ground.graph, history.foam, history.heat, whole, job.limits, few)

        def with_its_heat(waits_s: list[float]) -> tuple[LiftPlan, Heating]:
            found = heating_of(*shared, progress, waits_s=tuple(waits_s))
            histories = {p.name: found.pours[p.name] for lift in left.lifts for p in lift.pours}
            return with_heat(left, histories, history.foam, ground.skin.material, job.limits, few), found

        heated, heating = with_its_heat(between)
        for _ in range(TURNS):
            over = heat_excess(heated, few)
            longer = [w if k < fixed else 60.0 * math.ceil(LONGER * w / 60.0) for k, w in enumerate(between)]
            if not over or longer == between:
                break
            trial, found = with_its_heat(longer)
            if heat_excess(trial, few) > over - 1e-6:  # it is over by itself: no wait helps
                break
            heated, heating, between = trial, found, longer
            told = "Waits were made longer than on the sheet, for the foam as it is now. "
        left = heated
    last = heating.lift_waits_s[-1] if heating is not None else waits[numbers[-1]]
    by_number = dict(zip(numbers, [*between, last], strict=True))
    left = with_waits(left, tuple(by_number[lift.number] for lift in left.lifts))
    steps = schedule_of(left, history.foam, job.limits, rules.between_s)
    before = [number for number in numbers if number < first]
    if before:
        wait = f"{by_number[before[-1]] / 60:.0f} min"
        told += f"Lift {first} is mixed no sooner than {wait} after the first mix of lift {before[-1]}."
    return HeatedRest(left, heating, steps, told)
