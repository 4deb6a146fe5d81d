"""``pourwright record PLAN`` on a lining, with nothing more: the questions of each coat, with the sheet's answers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from pourwright.cli.coats.said import bare_said, coat_of, coat_said, planned_parts, thickness_said, up_said
from pourwright.cli.coats.sheet import filled, rolls_of_coat
from pourwright.cli.record_asking import Asker, Given, shop_answers, until_kept, weighed_answers
from pourwright.cli.record_said import temperatures_said

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument

Keep = Callable[[int, Given, bool], None]
"""Keeps the entry of a coat; raises `UsageError` with what speaks against it unless it is insisted on."""


def walk_coats(document: PlanDocument, left: Callable[[], int | None], keep: Keep, ask: Asker) -> None:
    """Ask for one coat after another, in the order of the work, until somebody says that it is enough."""
    from pourwright.record import coat_name

    def one(number: int) -> None:
        name = coat_name(number)
        ask.tell(f"{name[:1].upper()}{name[1:]}. Enter takes what stands in brackets.")
        until_kept(
            lambda: _answers(document, number, ask),
            lambda given, insist: keep(number, coat_said(document, number, given), insist),
            ask,
        )

    number = left()
    while number is not None:
        one(number)
        number = left()
        if number is not None and not ask.yes(f"Recorded. Is {coat_name(number)} in already?", False):
            return


def _answers(document: PlanDocument, number: int, ask: Asker) -> Given:
    given = _weighed(document, number, ask)
    if number:
        given |= _turned(document, number, ask)
        given |= _pinned(document, ask)
    return {
        **given,
        **shop_answers(document, _tried, ask),
        "at": ask.text("When did its first mix begin, by the clock?", "not noted", str) or None,
        "note": ask.text("Anything else?", "nothing", str) or None,
    }


def _weighed(document: PlanDocument, number: int, ask: Asker) -> Given:
    cups = 1 if not number else coat_of(document, number).cups
    every = "" if cups == 1 else f", all {cups} cups together"
    return weighed_answers(document, planned_parts(document, number), every, ask)


def _turned(document: PlanDocument, number: int, ask: Asker) -> Given:
    """How many rolls, and which way up it lies."""
    import numpy as np

    from pourwright.wording.coat_words import side_words

    fill, given = filled(document), Given()
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


def _pinned(document: PlanDocument, ask: Asker) -> Given:
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


def _tried(name: str) -> Callable[[str], object]:
    return lambda text: temperatures_said({"parts": None, "air": None, "skin": None, name: text})
