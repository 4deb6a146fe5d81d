"""[[item]], [hang], [[anchor]], [hook], [[sling]], [stand] and [boat]: the piece's later life."""

from __future__ import annotations

import math
from typing import Annotated

from pourwright import units
from pourwright.hanging import set_names
from pourwright.intake.fields import (
    Direction,
    Due,
    DueChoice,
    DueNumber,
    DueShare,
    Name,
    Reference,
    Table,
    key,
    lengths,
    needed,
    taken,
)
from pourwright.outcome import factor_names
from pourwright.units import Kind, show

FORCE = Kind("a force", "newton", '"8 kN" or "1800 lbf"')
AREAL = Kind("a weight per area", "kilogram/meter**2", '"1.2 kg/m^2" or "0.25 lb/ft^2"')
FARTHEST_M = 200.0


def force_words(value_n: float) -> str:
    """A force in both systems."""
    pounds = units.digits(value_n / 4.4482216152605)
    return f"{units.digits(value_n / 1e3)} kN ({pounds} lbf)" if value_n >= 1e3 else f"{value_n:g} N ({pounds} lbf)"


def areal_words(value: float) -> str:
    """A weight per area in both systems."""
    return f"{value:g} kg/m² ({units.digits(value * 0.20481614)} lb/ft²)"


class DuePoint:
    """A point of the shell file's axes: three lengths with units."""

    def __call__(self, value: object) -> tuple[float, float, float]:
        """SI coordinates, or ``ValueError`` with what is allowed."""
        if not isinstance(value, (list, tuple)) or len(value) != 3:
            raise ValueError(f"must be {self.words()}")
        x, y, z = (units.read(part, units.LENGTH) for part in value)
        if max(abs(x), abs(y), abs(z)) > FARTHEST_M:
            raise ValueError(f"must lie within {show.length(FARTHEST_M)} of the file's origin")
        return x, y, z

    def words(self) -> str:
        """What may be written, for the documentation."""
        return 'three lengths with units like ["120 mm", "0 mm", "4 in"]'


Spot = Annotated[tuple[float, float, float] | None, key(DuePoint())]
Measure = Annotated[float | None, lengths(-FARTHEST_M, FARTHEST_M)]
Weight = Due(units.MASS, show.mass, 0.0, 1e5)
Load = Annotated[float | None, key(Due(FORCE, force_words, 1.0, 1e8))]
FactorName = Annotated[str | None, key(DueChoice(factor_names()))]
FactorValue = Annotated[float | None, key(DueNumber(1.0, 20.0))]


class SpotTable(Table):
    """A spot: ``at``, or one measure of each pair."""

    at: Spot = taken(None, "the point in the shell file's axes; or measure it, below")
    from_left: Measure = taken(None, "from the left-most extent, as the reader sees it")
    from_right: Measure = taken(None, "from the right-most extent")
    from_front: Measure = taken(None, "from the front-most extent")
    from_back: Measure = taken(None, "from the rear-most extent")
    from_base: Measure = taken(None, "up from the lowest extent")
    from_top: Measure = taken(None, "down from the highest extent")


Side = Annotated[float, lengths(0.002, 5.0)]


class ItemTable(SpotTable):
    """Hardware or a coating, which the piece carries beside its skin and foam; measured as it stands to be poured.

    What is inside before the first pour can have a form: a rod or bar from `start` to `end`, or a box between them,
    each a table of a spot. Then it needs no spot of its own, takes its room from the foam and stops what falls on it.
    """

    name: Name = needed("what it is")
    weight: Annotated[float | None, key(Weight)] = taken(None, "its weight; hardware needs it")
    per_area: Annotated[float | None, key(Due(AREAL, areal_words, 0.0, 200.0))] = taken(
        None, "weight of a coating by area of the outside, instead of weight and spot"
    )
    spread: Annotated[float, key(DueShare(0.0, 0.9))] = taken(0.0, "plus or minus share of the weight")
    when: Annotated[str, key(DueChoice(("before", "finished")))] = taken(
        "finished", "before: it is there before the first pour; finished: it is put on at the end"
    )
    density: Annotated[float | None, key(Due(units.DENSITY, show.density, 1.0, 25000.0))] = taken(
        None, "of its material, for what it displaces under water; nothing is counted if left out"
    )
    shape: Annotated[str | None, key(DueChoice(("rod", "bar", "box")))] = taken(
        None,
        'its form, of what is there before: a round rod, a bar of rectangular section, a box; needs when = "before"',
    )
    start: SpotTable | None = taken(None, "one end of the rod or bar, one corner of the box: a table of a spot")
    end: SpotTable | None = taken(None, "the other end, or the opposite corner")
    diameter: Side | None = taken(None, "of a rod")
    section: list[Side] = taken(
        [],
        "of a bar: its level side and its other side, of an upright one from left to right and from front to back",
        max_length=2,
    )


class HangTable(Table):
    """How the piece hangs on its wall, and the design factor for its anchors."""

    out: Direction = needed("from the wall into the room, in the shell file's axes")
    up: Direction = needed("upwards as it hangs, in the shell file's axes")
    standoff: Annotated[float, lengths(0.0, 5.0)] = taken(
        0.0, "gap between the wall and the back of the piece; 0: it bears on the wall"
    )
    factor: FactorName = taken(None, "refused here: these factors are for lifting, not for what hangs for good")
    factor_value: FactorValue = taken(None, "design factor on breaking loads; needs factor_reference")
    factor_reference: Reference | None = taken(None, "where that factor stands: code, clause, engineer")
    combinations: Annotated[str | None, key(DueChoice(set_names()))] = taken(
        None, "combinations of the loads by name, quoted from memory of the standard; or give [[combination]]"
    )


class SlingTable(SpotTable):
    """One leg of the sling; measured as the piece stands to be poured."""

    name: Name = needed("what it is called, like front left")
    length: Annotated[float | None, lengths(0.05, 100.0)] = taken(None, "length from the piece to the hook")
    load: Load = taken(None, "what the leg and its fitting hold along the leg")
    rating: Annotated[str, key(DueChoice(("breaking", "working")))] = taken(
        "working",
        "working: the design factor is in the figure already; breaking: it is still to be taken off",
    )


class HookTable(Table):
    """The hook. Without ``at`` and without lengths of all legs it stands over the finished piece's centre of mass."""

    at: Spot = taken(None, "where the hook is while the piece still stands, in the shell file's axes")
    above: Annotated[float | None, lengths(0.05, 100.0)] = taken(None, "height over the highest sling point")
    dynamic: Annotated[float, key(DueNumber(1.0, 5.0))] = taken(
        1.3,
        "factor for jerks of the hoist; for a motor hoist or a crane what its maker or the lifting plan says",
        "hoisting factor taken as 1.3 (1.1 to 1.3 is common practice, no source)",
    )
    factor: FactorName = taken(None, "a design factor by name")
    factor_value: FactorValue = taken(None, "or a design factor of one's own; needs factor_reference")
    factor_reference: Reference | None = taken(None, "where that factor stands")


class StandTable(Table):
    """How the finished piece stands at its place."""

    up: Direction | None = taken(None, "upwards as it stands; as it is poured if left out")
    contact: Annotated[float, lengths(0.0, 0.1)] = taken(
        0.002,
        "what is no higher than this above the lowest point touches the ground",
        "touching the ground: what is within 2 mm of the lowest point (our judgement, no published source)",
    )
    slope: Annotated[float, key(DueNumber(0.0, 45.0))] = taken(0.0, "slope of the ground in degrees")
    pads: list[Annotated[tuple[float, float, float], key(DuePoint())]] = taken(
        [], "corners of a base plate or feet that the finished piece has and the mesh has not", max_length=60
    )


class BoatTable(Table):
    """A boat as its capacity plate and its builder describe it."""

    up: Direction | None = taken(None, "upwards afloat; as it is poured if left out")
    bow: Direction | None = taken(None, "towards the bow; along the longer side if left out")
    persons: Annotated[float, key(Weight)] = taken(0.0, "persons capacity by weight")
    capacity: Annotated[float | None, key(Weight)] = taken(
        None, "maximum weight capacity: persons, motor and gear; the persons' if left out"
    )
    level_capacity: Annotated[float | None, key(Weight)] = taken(
        None, "the C of the level method; the maximum weight capacity if left out"
    )
    propulsion: Annotated[float, key(Weight)] = taken(0.0, "motor and battery as they weigh under water")
    air_chambers: Annotated[float, key(Due(units.VOLUME, show.volume, 0.0, 100.0))] = taken(
        0.0, "the two largest air chambers, where air chambers that are not part of the hull carry"
    )
    uptake: Annotated[float | None, key(DueShare(0.0, 0.9))] = taken(
        None, "share of the foam's buoyancy lost to water taken up over the years; not known, and said so, if left out"
    )
    uptake_reference: Reference | None = taken(None, "where that stands: test, data sheet, date")
    flotation: Annotated[str | None, key(DueChoice(("basic", "level", "modified")))] = taken(
        None,
        "rule of 33 CFR 183 it falls under: basic (F, inboards), level (G, outboards over 2 hp), modified (H, rowed or "
        "up to 2 hp); basic and level are told if left out",
    )
    load_at: Spot = taken(None, "where persons and gear act, for the loaded attitude, in the shell file's axes")


def radians(degrees: float) -> float:
    """Degrees to radians."""
    return math.radians(degrees)
