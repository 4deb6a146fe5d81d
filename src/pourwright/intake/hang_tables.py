"""[[anchor]], [[load]] and [[combination]]: what a hanging piece hangs from, and what acts on it."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.errors import JobError
from pourwright.intake.fields import (
    Due,
    DueChoice,
    DueNumber,
    Name,
    Reference,
    Table,
    key,
    lengths,
    needed,
    setting,
    taken,
)
from pourwright.intake.site_tables import AREAL, FORCE, SpotTable, Weight, areal_words, force_words
from pourwright.outcome import Box, Combination, Insert, Load, Places, Rod, Spot
from pourwright.units import show

KINDS = ("wind", "snow", "ice", "earthquake", "water", "person", "handling", "other")
WAYS = ("left", "right", "in", "out", "up", "down")
SIZES = ("pressure", "acceleration", "per_area", "weight", "force")
Factor = Annotated[float, key(DueNumber(-10.0, 10.0))]
Force = Annotated[float | None, key(Due(FORCE, force_words, 1.0, 1e8))]


class LoadTable(SpotTable):
    """A load on the hanging piece; measured facing the wall, as it hangs. Give one size, from pressure to force."""

    name: Name = needed("what it is called, like wind from the left")
    kind: Annotated[str, key(DueChoice(KINDS))] = needed("what kind of load; of one kind one acts at a time in a set")
    way: Annotated[str | None, key(DueChoice(WAYS))] = taken(
        None, "where it pushes, facing the wall: out is away from the wall; a weight pushes down"
    )
    pressure: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, -1e5, 1e5))] = taken(
        None, "on the outline of the piece as seen that way; no pressure of a code is computed; needs reference"
    )
    acceleration: Annotated[float | None, key(DueNumber(-5.0, 5.0))] = taken(
        None, "share of gravity on every mass; needs reference"
    )
    per_area: Annotated[float | None, key(Due(AREAL, areal_words, 0.0, 500.0))] = taken(
        None, "weight on each area of the outside, like ice; snow on top is a pressure with way down"
    )
    weight: Annotated[float | None, key(Weight)] = taken(None, "a weight at the spot, like water that stands in it")
    force: Force = taken(None, "a force at the spot, like a person who leans")
    reference: Reference | None = taken(None, "where its size stands: code, clause, engineer")


class BoxTable(Table):
    """A part of the wall where no anchor may be; measured facing the wall, as the piece hangs."""

    left: Annotated[float, lengths(-200.0, 200.0)] = needed("its left edge, from the left-most extent of the piece")
    right: Annotated[float, lengths(-200.0, 200.0)] = needed("its right edge, from the left-most extent of the piece")
    base: Annotated[float, lengths(-200.0, 200.0)] = needed("its lower edge, up from the lowest extent")
    top: Annotated[float, lengths(-200.0, 200.0)] = needed("its upper edge, up from the lowest extent")


class PlacesTable(Table):
    """Where anchors may be, for `hang --suggest`: on studs and joints of the wall, or on a grid."""

    studs: list[Annotated[float, lengths(-200.0, 200.0)]] = taken(
        [], "upright lines that anchors must be on, from the left-most extent", max_length=60
    )
    joints: list[Annotated[float, lengths(-200.0, 200.0)]] = taken(
        [], "level lines that anchors must be on, up from the lowest extent", max_length=60
    )
    spacing: Annotated[float | None, lengths(0.01, 5.0)] = taken(
        None, "of the grid that is searched first; as fine as can be compared if left out"
    )
    keep_out: list[BoxTable] = taken([], "where no anchor may be", max_length=30)


class CombinationTable(Table):
    """Loads that act together, each times its factor."""

    name: Name = needed("what it is called")
    weight: Factor = setting(1.0, "factor on the weight of the piece", "1")
    loads: list[Name] = taken([], "names of loads", max_length=20)
    factors: list[Factor] = taken([], "a factor for each of them", max_length=20)
    reference: Reference | None = taken(None, "where the factors stand")


class RodTable(Table):
    """The round rod between an anchor's insert and the wall."""

    diameter: Annotated[float, lengths(0.002, 0.2)] = needed("least diameter, of the core of a thread")
    stress: Annotated[float, key(Due(units.PRESSURE, show.pressure, 1e6, 2e9))] = needed(
        "stress that it may be given for good, by whoever designs it"
    )
    modulus: Annotated[float, key(Due(units.PRESSURE, show.pressure, 1e8, 5e11))] = taken(
        210e9, "its Young's modulus", "rods taken as steel, 210 GPa (common practice, no source)"
    )
    plate: Annotated[float | None, lengths(0.01, 2.0)] = taken(
        None, "side of its plate on the wall, held by one fixing in its middle"
    )


class InsertTable(Table):
    """A round insert bonded into the foam behind an anchor."""

    diameter: Annotated[float, lengths(0.002, 1.0)] = needed("diameter in the foam")
    depth: Annotated[float, lengths(0.005, 2.0)] = needed("depth of foam along it")
    head: Annotated[float | None, lengths(0.002, 2.0)] = taken(None, "diameter of a plate or head at its inner end")
    skin_plate: Annotated[float | None, lengths(0.01, 2.0)] = taken(
        None, "diameter of a stiff plate or washer bonded to the skin where the insert goes through it"
    )
    skin_bond: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 1e3, 1e8))] = taken(
        None, "stress that its bond to the skin may be given for good, by whoever designs it"
    )


class AnchorTable(SpotTable):
    """A wall anchor; measured facing the wall, as the piece hangs."""

    name: Name = needed("what it is called, like A1")
    stiffness: Annotated[float, key(DueNumber(0.001, 1000.0))] = setting(
        1.0, "stiffness relative to the other anchors", "1: all alike"
    )
    shear: Force = taken(None, "what it holds along the wall")
    pull: Force = taken(None, "what it holds out of the wall")
    rating: Annotated[str, key(DueChoice(("breaking", "working")))] = taken(
        "breaking",
        "breaking: the design factor is still to be taken off; working: it is in the figures already",
    )
    insert: InsertTable | None = taken(None, "what holds the anchor inside the piece, if it sits in the foam")
    rod: RodTable | None = taken(None, "the rod across the gap between insert and wall")


def places_of(table: PlacesTable | None) -> Places:
    """Where anchors may be.

    Raises
    ------
    JobError
        A part of the wall whose edges are the wrong way round.
    """
    if table is None:
        return Places()
    for k, box in enumerate(table.keep_out, 1):
        for low, high in (("left", "right"), ("base", "top")):
            if getattr(box, low) >= getattr(box, high):
                raise JobError(f"places.keep_out[{k}].{high}", getattr(box, high), f"must be beyond {low}")
    boxes = tuple(Box(box.left, box.right, box.base, box.top) for box in table.keep_out)
    return Places(tuple(table.studs), tuple(table.joints), table.spacing, boxes)


def insert_of(table: InsertTable | None, at: str) -> Insert | None:
    """An anchor's insert; ``at`` is the key of its anchor.

    Raises
    ------
    JobError
        A head or a plate that is no wider than the insert, a bond of no plate.
    """
    if table is None:
        return None
    for name in ("head", "skin_plate"):
        wide = getattr(table, name)
        if wide is not None and wide <= table.diameter:
            raise JobError(f"{at}.insert.{name}", wide, "must be wider than the insert's diameter")
    if table.skin_bond is not None and table.skin_plate is None:
        raise JobError(f"{at}.insert.skin_bond", table.skin_bond, "is the bond of insert.skin_plate: give that too")
    return Insert(table.diameter, table.depth, table.head, table.skin_plate, table.skin_bond)


def rod_of(table: RodTable | None) -> Rod | None:
    """An anchor's rod."""
    return None if table is None else Rod(table.diameter, table.stress, table.modulus, table.plate)


def load_of(table: LoadTable, spot: Spot | None, at: str) -> Load:
    """A load; ``at`` is its key.

    Raises
    ------
    JobError
        Not one size, no way, no reference where one is due, a spot where there is none or none where one is needed.
    """
    given = [name for name in SIZES if getattr(table, name) is not None]
    if len(given) != 1:
        raise JobError(f"{at}.{given[1] if given else SIZES[0]}", None, f"give one of {', '.join(SIZES)}")
    (size,) = given
    if size in ("pressure", "acceleration", "force") and table.way is None:
        raise JobError(f"{at}.way", None, f"say where it pushes: {', '.join(WAYS)}")
    if size in ("per_area", "weight") and table.way not in (None, "down"):
        raise JobError(f"{at}.way", table.way, "a weight pushes down: leave it out")
    if size in ("pressure", "acceleration") and table.reference is None:
        raise JobError(f"{at}.reference", None, "say where this figure stands: it is taken only with its source")
    if (size in ("weight", "force")) != (spot is not None):
        words = "say where it acts" if spot is None else f"{size} has no spot: it acts on all of the piece"
        raise JobError(f"{at}.at", None, words)
    return Load(
        table.name,
        table.kind,
        table.way or "down",
        table.pressure,
        None if table.acceleration is None else float(table.acceleration),
        table.per_area,
        table.weight,
        table.force,
        spot,
        table.reference or "",
    )


def combination_of(table: CombinationTable, loads: tuple[Load, ...], at: str) -> Combination:
    """A combination of loads.

    Raises
    ------
    JobError
        A load that is not there, or not a factor for each.
    """
    names = [load.name for load in loads]
    strange = next((name for name in table.loads if name not in names), None)
    if strange is not None:
        raise JobError(f"{at}.loads", strange, f"is no [[load]]; there are: {', '.join(names) or 'none'}")
    if len(table.factors) != len(table.loads):
        raise JobError(f"{at}.factors", list(table.factors), f"give one for each of {len(table.loads)} loads")
    pairs = tuple((name, float(factor)) for name, factor in zip(table.loads, table.factors, strict=True))
    return Combination(table.name, float(table.weight), pairs, table.reference or "")
