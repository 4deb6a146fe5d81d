"""``pourwright record PLAN`` on a lining, with nothing more: the questions of each coat, with the sheet's answers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pourwright.cli.coats.said import bare_said, coat_said, planned_parts, thickness_said, up_said
from pourwright.cli.coats.sheet import filled, rolls_of_coat
from pourwright.cli.record_asking import Asker, reason_of
from pourwright.cli.record_said import amount
from pourwright.errors import UsageError
from pourwright.physics.constants import ZERO_CELSIUS_K

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument

Keep = Callable[[int, dict[str, Any], bool], None]
"""Keeps the entry of a coat; raises `UsageError` with what speaks against it unless it is insisted on."""


def walk_coats(document: PlanDocument, left: Callable[[], int | None], keep: Keep, ask: Asker) -> None:
    """Ask for one coat after another, in the order of the work, until somebody says that it is enough."""
    from pourwright.record import coat_name

    number = left()
    while number is not None:
        if not _one(document, number, keep, ask):
            return
        number = left()
        if number is not None and not ask.yes(f"Recorded. Is {coat_name(number)} in already?", False):
            return


def _one(document: PlanDocument, number: int, keep: Keep, ask: Asker) -> bool:
    """The questions of one coat, again where what was typed is refused."""
    from pourwright.record import coat_name

    ask.tell(f"{coat_name(number)[:1].upper()}{coat_name(number)[1:]}. Enter takes what stands in brackets.")
    while True:
        given = _answers(document, number, ask)
        try:
            keep(number, coat_said(document, number, given), False)
            return True
        except UsageError as error:
            ask.tell(f"NOT recorded: {reason_of(error)}.")
        if not ask.yes("Is that really so? No asks again.", False):
            continue
        try:
            keep(number, coat_said(document, number, given), True)
            return True
        except UsageError as error:
            ask.tell(f"NOT recorded: {reason_of(error)}. From the beginning:")


def _answers(document: PlanDocument, number: int, ask: Asker) -> dict[str, Any]:
    given = _weighed(document, number, ask)
    if number:
        given |= _turned(document, number, ask)
        given |= _pinned(document, ask)
    return {
        **given,
        **_warmth(document, ask),
        "at": ask.text("When did its first mix begin, by the clock?", "not noted", str) or None,
        "note": ask.text("Anything else?", "nothing", str) or None,
    }


def _weighed(document: PlanDocument, number: int, ask: Asker) -> dict[str, Any]:
    """Weights of both parts; Enter twice is what the sheet has."""
    from pourwright import units

    planned = planned_parts(document, number)
    values = document.foam.values
    cups = 1 if not number else next(coat.cups for coat in filled(document).coats if coat.number == number)
    every = "" if cups == 1 else f", all {cups} cups together"
    typed = []
    for side, part, kg in zip((document.foam.part_a, document.foam.part_b), "ab", planned, strict=True):
        unit, density = "kg" if kg >= 1.0 else "g", values[f"part_{part}_density_kg_m3"].value

        def weighs(text: str, density: float | None = density) -> float:
            return amount("--weight", text, density)

        typed.append(ask.text(f"{side} weighed{every}, in {unit}?", units.mass(kg), weighs, unit))
    if typed == [None, None]:
        return {"as_planned": True}
    a, b = (text or f"{kg:.9g} kg" for text, kg in zip(typed, planned, strict=True))
    return {"part_a": a, "part_b": b}


def _turned(document: PlanDocument, number: int, ask: Asker) -> dict[str, Any]:
    """How many rolls, and which way up it lies."""
    import numpy as np

    from pourwright.wording.lining import side_words

    fill, given = filled(document), dict[str, Any]()
    rolls = rolls_of_coat(fill, number)

    def counts(text: str) -> object:
        return coat_said(document, number, {"as_planned": True, "rolls": text})

    if any(one.turn_rad for one in rolls):
        given["rolls"] = ask.text("How many rolls were made before it gelled?", str(fill.rolls), counts)
    turn = np.array(document.frame.rotation)
    down = [one for one in rolls if not one.turn_rad]
    where = f", {side_words(turn @ np.array(down[-1].up))} up" if down else ", as the last roll left it"
    if not ask.yes(f"Does it lie as the sheet says{where}?", True):
        while "lies" not in given or given["lies"] is None:
            given["lies"] = ask.text(
                "Which side of the standing piece is up? (top, bottom, front, back, left, right, or two or three)",
                "say it", lambda text: up_said(document, text),
            )  # fmt: skip
    return given


def _pinned(document: PlanDocument, ask: Asker) -> dict[str, Any]:
    """What a pin found at the places of the sheet, and where foam is missing besides."""
    import numpy as np

    from pourwright.cavity import PourFrame
    from pourwright.wording.lifts import standing_place

    frame, pins, bare = document.frame, list[str](), list[str]()
    stand = PourFrame(np.array(frame.rotation), np.array(frame.offset_m), np.array(frame.size_m))
    if ask.yes("Is it set, and was a pin pushed in?", False):
        for pin in filled(document).pins:
            where = standing_place(stand.to_standing(np.array(pin.point_m)))
            found = ask.text(
                f"{pin.name}, {where}: foam there, in mm, 0 where it is bare?", "not measured",
                lambda text: thickness_said(document, text), "mm",
            )  # fmt: skip
            if found is not None:
                pins.append(f"{pin.name}={found}")
    words = (
        "Is foam missing somewhere else? Up from the base, from the left, from the front, like 410 mm, 412 mm, 631 mm"
    )
    while (found := ask.text(words, "no", lambda text: bare_said(document, text))) is not None:
        bare.append(found)
    return {"pin": pins, "bare": bare}


def _warmth(document: PlanDocument, ask: Asker) -> dict[str, Any]:
    """Temperatures of liquids, air and skin."""
    from pourwright import units
    from pourwright.cli.record_said import temperatures_said

    foam = document.foam
    day = {"parts": foam.parts_c, "air": foam.air_c, "skin": foam.skin_c}
    said = {name: units.temperature(value + ZERO_CELSIUS_K) for name, value in day.items()}
    given: dict[str, Any] = {}
    if ask.yes(f"Liquids {said['parts']}, air {said['air']}, skin {said['skin']}, as planned?", True):
        return given
    for name, what in (("parts", "Liquids"), ("air", "Air"), ("skin", "Skin")):

        def tried(text: str, name: str = name) -> object:
            return temperatures_said({"parts": None, "air": None, "skin": None, name: text})

        given[name] = ask.text(f"{what}, in °C?", said[name], tried, "degC")
    return given
