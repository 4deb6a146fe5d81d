"""[holes], [[port]] and [[keep_out]]: where holes may be, where one must be, and where none may be."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from pydantic import Field

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake.fields import Due, DueChoice, Flag, Table, key, needed, taken
from pourwright.intake.shop import JUDGED
from pourwright.lifts import HoleRules, KeepOut
from pourwright.units import show

Place = Annotated[float, key(Due(units.LENGTH, show.length, -100.0, 100.0))]
Height = Annotated[float | None, key(Due(units.LENGTH, show.length, -0.001, 100.0))]


class HolesTable(Table):
    """Which side holes are drilled on."""

    face: Annotated[str, key(DueChoice(("not front", "hidden", "any")))] = taken(
        "not front",
        "not front: none on the front where another place will do; hidden: on the back or the underside where it will "
        "do; any",
        f"no hole on the front where another will do: {JUDGED}",
    )

    side: Flag = taken(
        True,
        "whether a hole may be cut in the side of a limb that only a long tube or hose would reach from above; it is "
        "closed over in the skin's own kind afterwards",
    )


class PortTable(Table):
    """A port that is to be where the job says."""

    at: Annotated[list[Place], Field(min_length=3, max_length=3)] = needed(
        "three lengths in a list in the shell file's axes, on the skin or near it"
    )


class KeepOutTable(Table):
    """A region where no port may be: where all that is given holds."""

    low: list[Place] | None = taken(
        None, "low corner of a box in the shell file's axes; needs high", min_length=3, max_length=3
    )
    high: list[Place] | None = taken(None, "its high corner", min_length=3, max_length=3)
    from_base: Height = taken(None, "from this height above the base of the standing piece")
    to_base: Height = taken(None, "up to this height")
    face: Annotated[str | None, key(DueChoice(("front", "hidden", "other")))] = taken(
        None, "skin that shows on this side"
    )


def hole_rules(holes: HolesTable, ports: list[PortTable], keep_out: list[KeepOutTable]) -> HoleRules:
    """The rules in SI.

    Raises
    ------
    JobError
        A region says nothing, or half a box.
    """
    return HoleRules(
        prefer=holes.face,
        side=holes.side,
        keep_out=tuple(_region(number, one) for number, one in enumerate(keep_out, 1)),
        at_m=tuple((one.at[0], one.at[1], one.at[2]) for one in ports),
    )


def _region(number: int, one: KeepOutTable) -> KeepOut:
    if not one.model_fields_set:
        raise JobError(
            f"keep_out[{number}]", None, "give a box (low and high), a height (from_base, to_base) or a face"
        )
    if (one.low is None) != (one.high is None):
        raise JobError(f"keep_out[{number}].{'low' if one.low is None else 'high'}", None, "a box needs both corners")
    box = None
    if one.low is not None and one.high is not None:
        box = (_corner(min, one.low, one.high), _corner(max, one.low, one.high))
    return KeepOut(
        box_m=box,
        from_base_m=-float("inf") if one.from_base is None else one.from_base,
        to_base_m=float("inf") if one.to_base is None else one.to_base,
        face=one.face or "",
    )


def _corner(end: Callable[[float, float], float], a: list[float], b: list[float]) -> tuple[float, float, float]:
    return (end(a[0], b[0]), end(a[1], b[1]), end(a[2], b[2]))
