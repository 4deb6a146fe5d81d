"""The card of one pour on the bench sheet: what is done, in the order of the work, with a box for what really was."""

from __future__ import annotations

import functools
import json
import math
from typing import Any

from pourwright import units
from pourwright.foam import Parts
from pourwright.lifts import (
    LEAST_HOLE,
    Landing,
    Lift,
    Pour,
    cup_empty_s,
    surface_under_limit_k,
)
from pourwright.outcome import one_cup_empty_s
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan import Plan
from pourwright.report.cups import (
    cup_words,
    cups_of,
    share_of_shared,
    share_words,
    shared_cup,
)
from pourwright.wording.closing import board_lines, closing_lines
from pourwright.wording.computed import heat_and_rise_lines, near_a_limit, nights, wall_clock
from pourwright.wording.lifts import way_down_words
from pourwright.wording.phrases import listing
from pourwright.wording.places.hard_points import in_the_stream
from pourwright.wording.rim import LEVEL_M, rim_of
from pourwright.wording.spoken import spoken
from pourwright.wording.status import bench_words, order_words, wait_words

TO_K = 5.0
"""A temperature that is only estimated is printed to this [K]: our judgement, no published source."""


def card(plan: Plan, lift: Lift, pour: Pour, last: bool) -> dict[str, Any]:
    """Everything that a card says of a pour that is still to be poured."""
    batch, sides, mates = first_cup(plan, pour), plan.job.grade.sides.heads, shared_cup(plan, pour)
    return {
        "when": "first of all" if lift is plan.lift_plan.lifts[0] else "when the lift below has cooled",
        "each": _each(plan, pour),
        "marks": [
            (sides[0], units.mass(batch.a_kg), units.liquid(batch.a_m3)),
            (sides[1], units.mass(batch.b_kg), units.liquid(batch.b_m3)),
        ]
        if pour in mates[:1] or not mates
        else [],
        "cup": mates[0].name if mates else pour.name,
        "clock_marks": json.dumps(_clock_marks(plan, pour)),
        "rows": _rows(plan, lift, pour, last),
        "alarms": _alarms(plan, pour),
        "boxes": _boxes(plan, pour, last),
    }


def first_cup(plan: Plan, pour: Pour) -> Parts:
    """What is weighed into a cup; of several, the first has what stays in a tube besides, which its row says."""
    if mates := shared_cup(plan, pour):
        return functools.reduce(Parts.plus, [mate.to_weigh for mate in mates])
    return pour.to_weigh if pour.batches == 1 else pour.batch


def _each(plan: Plan, pour: Pour) -> str:
    if plan.job.machine is not None:
        shots = "One shot" if pour.batches == 1 else f"{pour.batches} shots one after another, each of"
        return f"{shots} {units.mass(pour.batch.a_kg + pour.batch.b_kg)}, of which:"
    if mates := shared_cup(plan, pour):
        names = listing(tuple(mate.name for mate in mates))
        if pour is not mates[0]:
            return f"Out of the cup of {mates[0].name}, straight after it: nothing is weighed for this pour."
        return f"One cup for {names}, weighed and mixed once and poured into them straight after each other; in it:"
    if pour.batches == 1:
        cups = len(cups_of(pour, plan.job.limits))
        return f"{cups} cups, mixed and poured by {cups} people at the same time; in all of them:" if cups else ""
    people = min(pour.batches, plan.job.limits.hands)
    if people < 2:
        return f"{pour.batches} batches one after another, and in each:"
    how = f"mixed and poured by {people} people at the same time"
    return f"{pour.batches} batches, {how}{'' if people == pour.batches else ', then the others'}, and in each:"


def starts(plan: Plan, pour: Pour) -> str:
    """Start of its first mix on the clock of the day; empty where none is planned."""
    name = next((mate.name for mate in shared_cup(plan, pour)), pour.name)
    mine = [step.start_s for step in plan.computed.steps if step.pour == name and step.kind == "mix"]
    return wall_clock(plan, min(mine)) if mine else ""


def clock_of(plan: Plan) -> str:
    """By which clock `starts` counts."""
    return "on the day's clock" if plan.job.day.start_s is None else "by the wall"


def _rows(plan: Plan, lift: Lift, pour: Pour, last: bool) -> list[tuple[str, str]]:
    limits, foam = plan.job.limits, plan.foam
    night = any(number == lift.number for number, _ in nights(plan)) and pour is lift.pours[0]
    said = spoken(plan)
    closings = closing_lines(plan.lift_plan, pour, said)
    morning = (
        [("after the night", "clear loose or glossy foam, warm liquids and shell, pour a cup first")] if night else []
    )
    rows = [*morning, *order_words(pour, said), *board_lines(plan, pour)]
    rows += [row for row in closings if row[0] == "close first"]
    rows += [
        ("shoot in at" if said.machine else "pour in at", _way_in(plan, pour, landing)) for landing in pour.landings
    ]
    poured_s = _empty_s(plan, pour)
    rows.append(
        (
            "on the clock",
            f"{_shot_in(poured_s) if said.machine else _stirred(limits.mix_s, poured_s)}, "
            f"risen by {minutes(foam.rise_end_s)}",
        )
    )
    rows.append(("stop", _stop(plan, pour)))
    if pour.vents:
        rows.append(("air leaves at", ", ".join(vent.name for vent in pour.vents)))
    rows += [row for row in closings if row[0] != "close first"]
    rows.append(("leave it to cool" if last else "then wait", wait_words(lift, said)))
    cooler_k = surface_under_limit_k(foam, limits)
    if not last and math.isfinite(cooler_k) and _seen(plan, pour):
        cooler = units.temperature(_down(cooler_k))
        rows.append(("before the next", f"surface cooler than {cooler}, measured on the foam"))
    if near_a_limit(pour, plan) and math.isfinite(pour.peak_k.low) and math.isfinite(pour.peak_k.high):
        low, high = (units.temperature(_near(k)) for k in (pour.peak_k.low, pour.peak_k.high))
        rows.append(("probe in the middle", f"about {low} to {high} at its hottest"))
    return rows


def _seen(plan: Plan, pour: Pour) -> bool:
    """Whether somebody can hold a thermometer to its surface: down an open hole over it."""
    return not pour.closes and rim_of(pour, plan.lift_plan) is not None


def _clock_marks(plan: Plan, pour: Pour) -> list[tuple[str, int]]:
    """What the running clock on a phone counts towards."""
    machine = plan.job.machine is not None
    stirred = [] if machine else [("stirred by", plan.job.limits.mix_s)]
    marks = [
        *stirred,
        ("shot in by" if machine else "empty by", _empty_s(plan, pour)),
        ("risen by", plan.foam.rise_end_s),
    ]
    return [(words, round(at)) for words, at in marks if math.isfinite(at)]


def _empty_s(plan: Plan, pour: Pour) -> float:
    """When its cup is empty, of a cup that it shares when all of it is poured [s]."""
    mates = shared_cup(plan, pour)
    return one_cup_empty_s(mates, plan.job.limits) if mates else cup_empty_s(pour, plan.job.limits)


def _shot_in(in_s: float) -> str:
    return f"shot in after {units.time(in_s)}"


def _stirred(mixed_s: float, empty_s: float) -> str:
    mixed, empty = minutes(mixed_s), minutes(empty_s)
    return f"stirred and cup empty by {empty}" if mixed == empty else f"stirred by {mixed}, cup empty by {empty}"


def _way_in(plan: Plan, pour: Pour, landing: Landing) -> str:
    port, down = landing.port, way_down_words(pour, landing, plan.job.grade.sides.heads, pour.batches == 1)
    if landing.tube is None:  # how far it falls is checked in the plan; nobody measures it
        down = f"{_share(plan, pour, landing)}straight down"
        if under := in_the_stream(plan, pour, landing):
            down += f" close beside {listing(tuple(under))}, never on it"
    if port.way == "drilled":
        spout = ", in the side, by a bent spout" if port.sideways else ""
        if port.hole_m < LEAST_HOLE.value - 1e-6 and landing.tube is None:
            down += ", by a syringe: no funnel goes in"
        return f"{port.name}, {units.tape(port.measures.from_base_m)} up{spout}: {down}"
    where = f"through {port.opening}" if port.way == "opening" and port.opening else "over the open surface"
    at = landing.measures
    return (
        f"{port.name}, {where}, {units.tape(at.from_left_m)} from the left, {units.tape(at.from_front_m)} from the "
        f"front: {down}"
    )


def _share(plan: Plan, pour: Pour, landing: Landing) -> str:
    """How much of each cup goes in here: nobody weighs it while it creams."""
    if mates := shared_cup(plan, pour):
        return share_of_shared(mates, pour, landing)
    if len(pour.landings) < 2:
        return ""
    if plan.job.machine is not None:
        return f"{units.mass(landing.kg)} of it, "
    heads, cups = plan.job.grade.sides.heads, cups_of(pour, plan.job.limits)
    if cups:
        return cup_words(pour, cups, landing, heads)
    share = landing.kg / max(sum(one.kg for one in pour.landings), 1e-9)
    return f"{share_words(share, landing.kg, 'the cup' if pour.batches == 1 else 'each cup')}, "


def _stop(plan: Plan, pour: Pour) -> str:
    """Where the foam ends, as it is read from the rim of the hole; through no hole, from outside."""
    if pour.closes:
        return "it fills up to its cap: full when foam comes out of the vents"
    rim = rim_of(pour, plan.lift_plan)
    if rim is not None and rim.height_m - pour.top_m < LEVEL_M:
        return f"risen foam ends level with the rim of {rim.name}"
    if rim is not None:
        return f"risen foam ends {units.tape(rim.height_m - pour.top_m)} down from the rim of {rim.name}"
    ends = f"risen foam ends {units.tape(pour.top_m)} above the base"
    return ends if plan.job.limits.held else f"{ends}: up to there the skin gets warm, and sounds dull when tapped"


def _alarms(plan: Plan, pour: Pour) -> list[str]:
    lines = [] if pour.landings or pour.poured else ["NO port reaches this pour: find a way in before you start"]
    lines += [line for line in heat_and_rise_lines(pour, plan.lift_plan) if line.startswith("STAYS EMPTY")]
    lines += [f"{bench_words(check)}; {check.remedy}".rstrip("; ") for check in pour.checks if check.verdict != "ok"]
    return lines


def _boxes(plan: Plan, pour: Pour, last: bool) -> list[dict[str, str]]:
    """What is written in, on paper or on a phone: the words over the box, and what `record` calls it and its unit."""
    sides, rim = plan.job.grade.sides.heads, rim_of(pour, plan.lift_plan)
    machine = plan.job.machine is not None
    all_cups = "" if pour.batches == 1 else f", {pour.batches} {'shots' if machine else 'batches'}"
    all_cups = f", {len(cups)} cups" if (cups := cups_of(pour, plan.job.limits)) else all_cups
    boxes = [box("Shot began at" if machine else "Mixing began at", "at")]
    weighed, mates = pour.to_weigh, shared_cup(plan, pour)
    if mates:
        weighed = first_cup(plan, pour)
        all_cups = f", for {listing(tuple(mate.name for mate in mates))}"
    for side, key, kg in ((sides[0], "a", weighed.a_kg), (sides[1], "b", weighed.b_kg)):
        if pour not in mates[1:]:
            boxes.append(
                box(f"{side} {'metered' if machine else 'weighed'}{all_cups}", key, "kg" if kg >= 1.0 else "g")
            )
    if pour.closes:
        boxes.append(box("Full at the vents?", "full", hint="yes"))
    elif rim is not None:
        boxes.append(box(f"Down from the rim of {rim.name}", "dip", "mm"))
    else:
        boxes.append(box("Height reached", "reached", "mm"))
    boxes.append(box("Cool at" if last else "Next not before"))
    if _seen(plan, pour):
        boxes.append(box("Surface, hottest", "infrared", "degC"))
    return [*boxes, box("Probe, hottest", "probe", "degC")] if near_a_limit(pour, plan) else boxes


def box(word: str, key: str = "", unit: str = "", hint: str = "") -> dict[str, str]:
    """A box to write in: the words over it, what `record` calls it, its unit."""
    return {"word": word, "key": key, "unit": unit, "hint": hint or unit.replace("degC", "\u00b0C")}


def minutes(value: float) -> str:
    """Minutes and seconds on a clock, to five seconds.

    >>> minutes(22.0), minutes(190.4)
    ('0:20', '3:10')
    """
    whole = 5 * round(value / 5)
    return f"{whole // 60}:{whole % 60:02d}"


def _near(kelvin: float) -> float:
    return ZERO_CELSIUS_K + TO_K * round((kelvin - ZERO_CELSIUS_K) / TO_K)


def _down(kelvin: float) -> float:
    return ZERO_CELSIUS_K + TO_K * math.floor((kelvin - ZERO_CELSIUS_K) / TO_K)
