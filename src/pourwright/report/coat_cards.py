"""Cards of a lining: solid places and coats as they are laid, with clocks, rolls and boxes for what really was."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from pourwright import units
from pourwright.foam import Parts, parts_for
from pourwright.lining import Coat, Position
from pourwright.plan import LinedPlan
from pourwright.report.card import box, minutes
from pourwright.report.sheet import Issue
from pourwright.wording.coat_words import side_words
from pourwright.wording.cups_of_a_coat import cup_lines
from pourwright.wording.lifts import standing_place
from pourwright.wording.lining import axis_words, how_far, standing_words
from pourwright.wording.spreading import spread_card_rows

NO_LINES: Mapping[str, tuple[str, ...]] = {}


def coat_cards(plan: LinedPlan, pictures: Mapping[str, str], issue: Issue | None) -> list[dict[str, Any]]:
    """A card for the solid places, if there are some, and for each coat; ``pictures`` are addresses by file name."""
    done = issue.done if issue is not None else NO_LINES
    out, before = [], ""
    if plan.lining.places:
        out.append(_solid(plan, done.get("solid")))
        before = "solid"
    for coat in plan.lining.coats:
        name = f"coat {coat.number}"
        out.append(_card(plan, coat, before, pictures, done.get(name)))
        before = name
    return out


def _marks(plan: LinedPlan, parts: Parts, cups: int) -> list[tuple[str, str, str]]:
    each = [value / cups for value in (parts.a_kg, parts.a_m3, parts.b_kg, parts.b_m3)]
    heads = plan.job.grade.sides.heads
    return [
        (heads[0], units.mass(each[0]), units.liquid(each[1])),
        (heads[1], units.mass(each[2]), units.liquid(each[3])),
    ]


def _solid(plan: LinedPlan, done: Sequence[str] | None) -> dict[str, Any]:
    lining = plan.lining
    parts = parts_for(plan.foam, lining.solid_kg.nominal)
    places = [
        f"{units.volume(one.volume_m3)} at {standing_place(plan.frame.to_standing(one.point_m))}, from "
        f"{units.length(one.bottom_m)} to {units.length(one.top_m)} above the base{standing_words(one)}"
        for one in lining.places
    ]
    return {
        "name": "solid", "title": "Solid places, first", "done": done, "when": "before the first coat",
        "clock_marks": json.dumps(
            [("stirred by", round(plan.job.limits.mix_s)), ("risen by", round(plan.foam.rise_end_s))]
        ),
        "wait_s": round(plan.foam.tack_free_s), "wait_from": "solid",
        "each": "For all places together, in steps no taller than the grade's lift, each place through its own hole:",
        "marks": _marks(plan, parts, 1), "rows": [], "lines": places, "rolls": [],
        "boxes": [box("Mixing began at", "at"), *_weighed(plan, parts, ", all of it"), box("First coat not before")],
    }  # fmt: skip


def _card(
    plan: LinedPlan, coat: Coat, before: str, pictures: Mapping[str, str], done: Sequence[str] | None
) -> dict[str, Any]:
    lining, foam = plan.lining, plan.foam
    rolls = rolls_made(plan, coat.number)
    if lining.spread:
        return _spread_card(plan, coat, before, pictures, done)
    begins = _begins(plan, rolls)
    people = (
        "" if coat.cups == 1 else f"{coat.cups} cups, mixed at the same time and let go one after another; in each:"
    )
    marks = [("stirred by", plan.job.limits.mix_s)]
    marks += [(f"roll {k} until", end) for k, (_, end) in enumerate(begins, start=1)]
    marks += [("gels at", foam.gel_s), ("tack-free at", foam.tack_free_s)]
    last, rolling = coat is lining.coats[-1], sum(not one.roll.still for one in rolls)
    return {
        "name": f"coat {coat.number}", "title": f"Coat {coat.number} of {len(lining.coats)}", "done": done,
        "when": "first of all" if not before else "when the foam in it is set and cool: hold a thermometer to it",
        "clock_marks": json.dumps([(words, round(at)) for words, at in marks]),
        "wait_s": round(coat.wait_s), "wait_from": f"coat {coat.number}", "each": people,
        "marks": _marks(plan, coat.parts, coat.cups),
        "rows": [
            ("Lays", f"{units.length(coat.thickness_m)} of foam, {units.volume(coat.foam_m3)}"),
            ("Mix", f"until {minutes(plan.job.limits.mix_s)}; let it go by the hose in the middle, close the hole"),
            ("Roll", f"steadily until it gels at {minutes(foam.gel_s)}, none left out: {rolling}"),
            ("Then", f"still, on blocks with air under it, to {minutes(foam.tack_free_s)}; look in, push the pin in"),
        ],
        "lines": [],
        "rolls": [
            _roll(plan, one, k, begins[k - 1], pictures) for k, one in enumerate(rolls, start=1)
        ],
        "boxes": _boxes(plan, coat, rolls, last),
    }  # fmt: skip


def _spread_card(
    plan: LinedPlan, coat: Coat, before: str, pictures: Mapping[str, str], done: Sequence[str] | None
) -> dict[str, Any]:
    lining, foam = plan.lining, plan.foam
    one = next(one for one in lining.sequence if one.coat == coat.number)
    marks = [("stirred by", plan.job.limits.mix_s), ("creams at", foam.cream_s), ("tack-free at", foam.tack_free_s)]
    people = "" if coat.cups == 1 else f"{coat.cups} cups, one after the other, each for its own part; in each:"
    up = side_words(one.up @ plan.frame.rotation.T)
    return {
        "name": f"coat {coat.number}", "title": f"Coat {coat.number} of {len(lining.coats)}", "done": done,
        "when": "first of all" if not before else "when the foam in it is set and cool: hold a thermometer to it",
        "clock_marks": json.dumps([(words, round(at)) for words, at in marks]),
        "wait_s": round(coat.wait_s), "wait_from": f"coat {coat.number}", "each": people,
        "marks": _marks(plan, coat.parts, coat.cups), "rows": spread_card_rows(plan, coat, one),
        "lines": cup_lines(plan, coat, one),
        "rolls": [
            {
                "number": coat.number, "begin": f"{up[0].upper()}{up[1:]} up", "about": "",
                "how": "stays so until it is set", "clock": "",
                "picture": pictures.get(f"roll_{coat.number}_1.png", ""), "step": coat.number,
            }
        ],
        "boxes": _boxes(plan, coat, [one], coat is lining.coats[-1]),
    }  # fmt: skip


def rolls_made(plan: LinedPlan, coat: int) -> list[Position]:
    """Every roll of a coat as it is made: over again where there are fewer than the mix lasts; set down last."""
    mine = [one for one in plan.lining.sequence if one.coat == coat]
    rolling = [one for one in mine if not one.roll.still]
    if plan.lining.coats[coat - 1].poured or not rolling:
        return mine
    made = [rolling[k % len(rolling)] for k in range(plan.lining.rolls)]
    return [*made, *(one for one in mine if one.roll.still)]


def _begins(plan: LinedPlan, rolls: Sequence[Position]) -> list[tuple[float, float]]:
    """Seconds from the start of mixing at which each begins and ends."""
    out, at = [], plan.job.limits.mix_s
    for one in rolls:
        out.append((at, at + one.seconds))
        at += one.seconds
    return out


def _roll(
    plan: LinedPlan, one: Position, number: int, span: tuple[float, float], pictures: Mapping[str, str]
) -> dict[str, Any]:
    up = side_words(one.up @ plan.frame.rotation.T)
    still = one.roll.still
    begin = f"Set it down, {up} up" if still else f"Begin with {up} up"
    step = 1 + next(k for k, other in enumerate(plan.lining.sequence) if other is one)
    return {
        "number": number,
        "begin": begin,
        "about": "" if still else f"about {axis_words(one)}",
        "how": how_far(one),
        "clock": f"{minutes(span[0])} to {minutes(span[1])}",
        "picture": pictures.get(f"roll_{one.coat}_{one.number}.png", ""),
        "step": step,
    }


def _weighed(plan: LinedPlan, parts: Parts, every: str) -> list[dict[str, str]]:
    heads = plan.job.grade.sides.heads
    pairs = ((heads[0], "a", parts.a_kg), (heads[1], "b", parts.b_kg))
    return [box(f"{side} weighed{every}", key, "kg" if kg >= 1.0 else "g") for side, key, kg in pairs]


def _boxes(plan: LinedPlan, coat: Coat, rolls: Sequence[Position], last: bool) -> list[dict[str, str]]:
    every = "" if coat.cups == 1 else f", {coat.cups} cups"
    rolling = sum(not one.roll.still for one in rolls)
    return [
        box("Mixing began at", "at"),
        *_weighed(plan, coat.parts, every),
        *([] if plan.lining.spread else [box("Rolls made", "rolls", hint=str(rolling))]),
        box("Other side up than told", "lies", hint="top front"),
        box("Cool at" if last else "Next coat not before"),
        *(box(f"Pin P{k}", f"pin P{k}", "mm") for k, _ in enumerate(plan.lining.pins, start=1)),
    ]


def pin_lines(plan: LinedPlan) -> list[str]:
    """Where a pin is pushed in, and what it should find at last."""
    out = []
    for k, pin in enumerate(plan.lining.pins, start=1):
        found = units.length(pin.thickness_m) if pin.thickness_m > 0.0 else "none: bare by the model"
        out.append(f"P{k}: {standing_place(plan.frame.to_standing(pin.point_m))}; foam after the last coat {found}")
    return out
