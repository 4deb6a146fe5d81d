"""What an entry of a coat says, in options, answers or a phone's file; refused where it is wrong."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pourwright.cli.coats.sheet import filled, rolls_of_coat
from pourwright.cli.record_said import quantity, temperatures_said, text_of, weighed_said
from pourwright.errors import UsageError

if TYPE_CHECKING:
    from pourwright.document.model import PlanDocument
    from pourwright.document.model_fill import CoatDoc
    from pourwright.record import CoatPin

Said = Mapping[str, Any]
TWICE = 2.0
"""Rolls that somebody makes of a coat are at most so many times those that its sheet has; our judgement."""


def coat_number(document: PlanDocument, said: str) -> int:
    """The number of a coat by its name: "coat 2" or "2"; "solid" is 0."""
    from pourwright.record import SOLID, coat_name

    fill = filled(document)
    names = {coat_name(coat.number): coat.number for coat in fill.coats}
    if fill.solid:
        names = {coat_name(SOLID): SOLID, **names}
    word = " ".join(said.split()).lower()
    found = names.get(word, names.get(f"coat {word}"))
    if found is None:
        raise UsageError(f"--pour {said!r}: the sheet names {', '.join(names)}")
    return found


def coat_said(document: PlanDocument, number: int, given: Said) -> dict[str, Any]:
    """The entry's own values, SI; refuses what is missing."""
    a_kg, b_kg = weighed_said(document, planned_parts(document, number), given)
    if a_kg + b_kg <= 0.0:
        raise UsageError("nothing went in: there is nothing to record")
    rolls = made = _rolls(document, number)
    if given.get("rolls") is not None:
        if not re.fullmatch(r"\d{1,3}", str(given["rolls"]).strip()) or int(given["rolls"]) > TWICE * max(made, 1):
            raise UsageError(f"--rolls {given['rolls']!r}: how many were made before it gelled, of {made} on the sheet")
        rolls = int(given["rolls"])
    pins = [pin_said(document, one) for one in given.get("pin") or []]
    pins += [bare_said(document, one) for one in given.get("bare") or []]
    if number == 0 and (pins or given.get("rolls") is not None or given.get("lies")):
        raise UsageError("solid places are not turned and not pinned: give what went in")
    return {
        "part_a_kg": a_kg,
        "part_b_kg": b_kg,
        "rolls": rolls,
        "up": None if not given.get("lies") else up_said(document, str(given["lies"])),
        "pins": tuple(pins),
        "at": text_of(given.get("at"))[:100],
        "note": text_of(given.get("note"))[:500],
        **temperatures_said({name: given.get(name) for name in ("parts", "air", "skin")}),
    }


def planned_parts(document: PlanDocument, number: int) -> tuple[float, float]:
    """Parts of the sheet [kg]."""
    fill = filled(document)
    if number == 0:
        return fill.solid_a_kg, fill.solid_b_kg
    coat = coat_of(document, number)
    return coat.part_a_kg, coat.part_b_kg


def coat_of(document: PlanDocument, number: int) -> CoatDoc:
    """A coat of the sheet."""
    return next(coat for coat in filled(document).coats if coat.number == number)


def _rolls(document: PlanDocument, number: int) -> int:
    """Rolls that the sheet has before a mix gels."""
    fill = filled(document)
    return fill.rolls if number and any(one.turn_rad for one in rolls_of_coat(fill, number)) else 0


def pin_said(document: PlanDocument, said: str) -> CoatPin:
    """What a pin found: "P1=18 mm"; "P1=0" or "P1=bare" where there is no foam."""
    from pourwright.record import CoatPin

    name, _, value = (part.strip() for part in said.partition("="))
    place = next((pin for pin in filled(document).pins if pin.name.lower() == name.lower()), None)
    if place is None or not value:
        names = ", ".join(pin.name for pin in filled(document).pins)
        raise UsageError(f'--pin {said!r}: give a place of the sheet and what the pin found, like "P1=18 mm": {names}')
    return CoatPin(name=place.name, point_m=place.point_m, foam_m=thickness_said(document, value))


def thickness_said(document: PlanDocument, said: str) -> float:
    """Foam that a pin found [m]; 0 for bare."""
    from pourwright import units

    if said.strip().lower() in ("0", "bare", "none"):
        return 0.0
    found = quantity("--pin", said, units.LENGTH)
    most = min(document.frame.size_m)
    if not 0.0 <= found < most:
        raise UsageError(f"--pin {said!r}: the piece is {units.length(most)} across: that cannot be foam in it")
    return found


def bare_said(document: PlanDocument, said: str) -> CoatPin:
    """A place without foam, as the sheet measures: up from the base, from the left, from the front."""
    import numpy as np

    from pourwright import units
    from pourwright.cavity import PourFrame
    from pourwright.record import CoatPin

    parts = [part.strip() for part in said.split(",")]
    if len(parts) != 3:
        raise UsageError(
            f'--bare {said!r}: give its place up from the base, from the left, from the front, like "410 mm, 412 mm, '
            '631 mm"'
        )
    up, left, front = (quantity("--bare", part, units.LENGTH) for part in parts)
    frame = document.frame
    size = frame.size_m
    if not (0.0 <= up <= size[2] and 0.0 <= left <= size[0] and 0.0 <= front <= size[1]):
        raise UsageError(
            f"--bare {said!r}: the piece is {units.length(size[2])} high, {units.length(size[0])} wide and "
            f"{units.length(size[1])} deep: measure on it as it stands"
        )
    stand = PourFrame(np.array(frame.rotation), np.array(frame.offset_m), np.array(size))
    x, y, z = (float(value) for value in stand.to_shell(np.array([left, front, up])))
    return CoatPin(point_m=(x, y, z), foam_m=0.0)


def up_said(document: PlanDocument, said: str) -> tuple[float, float, float]:
    """Which way is up, shell axes: one to three of the sides of the piece as it stands, like "top front"."""
    import numpy as np

    from pourwright.wording.coat_words import SIDES

    ways = {name: (axis, sign) for axis, pair in enumerate(SIDES) for name, sign in zip(pair, (-1, 1), strict=True)}
    words = re.split(r"[\s,]+", said.strip().lower())
    axes = [ways[word][0] for word in words if word in ways]
    if not words or len(axes) != len(words) or len(set(axes)) != len(axes):
        raise UsageError(
            f"--lies {said!r}: say which side of the standing piece is up, one to three of {', '.join(ways)}, like "
            '"top front"'
        )
    way = np.zeros(3)
    for word in words:
        axis, sign = ways[word]
        way[axis] = sign
    way = np.array(document.frame.rotation).T @ (way / np.linalg.norm(way))
    return float(way[0]), float(way[1]), float(way[2])
