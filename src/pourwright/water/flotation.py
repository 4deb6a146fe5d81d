"""Flotation that 33 CFR 183 asks of a described boat, by the Boatbuilder's Handbook, and whether the foam gives it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.findings import Code, Finding, Verdict, finding
from pourwright.lifts import Check
from pourwright.outcome import Boat, Part, Piece
from pourwright.physics.buoyancy import (
    HANDBOOK_WATER,
    basic_flotation_load,
    level_flotation_load,
    level_persons_foam,
    submerged_factor,
)
from pourwright.physics.triangle_cut import share_below
from pourwright.ranges import Range
from pourwright.water.regions import Allowance, FoamRegion, allowance_of, regions_of

LONGEST_M = 6.096
EDITION = (
    "33 CFR 183.105 as quoted on the Coast Guard's boating pages and in public copies of the code (2/15, 25 %, 18 h, "
    "62.4 lb/ft³ read there); the method of the Boatbuilder's Handbook, flotation part, from the same pages, which "
    "give no edition number. The Handbook's worked example and its printed table of factors could not be read: "
    "factors are computed from specific gravity, with their sign."
)
NOT_CHECKED = (
    "Not checked here: which subpart applies (F: inboards, basic; G: outboards over 2 hp, level; H: rowed or up to 2 "
    "hp, modified level), the tests on the water, where the flotation must sit, and whether this foam passes the "
    "exposures of 183.114 where 183.112 asks for them (bilge, engine room)."
)


MODIFIED = (
    "Modified level flotation (subpart H) is level flotation with less for the persons (Boatbuilder's Handbook, "
    "definitions); how much less, 183.320, could not be read. What the level method asks for is therefore more than "
    "enough, and what the boat itself and its motor ask for is the least; foam between the two is told as not checked."
)
FLOTATIONS = {"basic": ("basic",), "level": ("level",), "modified": ("modified level",), "": ("basic", "level")}
"""What is checked for the rule a boat falls under."""


@dataclass(frozen=True, slots=True)
class SubmergedWeight:
    """A weight of the boat and what of it still pulls down when the boat is swamped."""

    name: str
    kg: float
    above: float  # share of it above the swamped waterline, counted whole
    factor: float  # (SG - 1) / SG for the rest; negative lifts; 1 where the material is not known
    counts_kg: float


@dataclass(frozen=True, slots=True)
class Asked:
    """Foam that a method asks for, known between two ends."""

    name: str  # "basic" | "level" | "modified level"
    least_m3: float
    most_m3: float

    def verdict(self, foam_m3: float) -> Verdict:
        """Whether so much foam is enough for it.

        >>> [Asked("modified level", 0.1, 0.2).verdict(foam).value for foam in (0.05, 0.15, 0.2)]
        ['over', 'unknown', 'ok']
        """
        if self.most_m3 <= foam_m3:
            return Verdict.OK
        return Verdict.OVER if self.least_m3 > foam_m3 else Verdict.UNKNOWN


@dataclass(frozen=True, eq=False)
class Flotation:
    """Foam that is asked for and foam that is there; the ends that make it hardest."""

    weights: tuple[SubmergedWeight, ...]
    structure_kg: float
    propulsion_kg: float
    basic_load_kg: float  # the regulation's: 2/15 persons + 1/4 dead weight + air chambers
    basic_alternative_kg: float  # the Handbook's shorter rule: 1/4 of the maximum weight capacity
    lift_kg_m3: float  # what a cubic metre of foam carries, at its densest
    basic_m3: float
    level_m3: float
    foam_m3: Range
    rule: str  # the boat's: "basic" | "level" | "modified"; "": not said
    asked: tuple[Asked, ...]  # by each method that is checked
    regions: tuple[FoamRegion, ...]  # chamber by chamber; empty: not known
    allowance: Allowance
    checks: tuple[Check, ...]
    warnings: tuple[Finding, ...]
    edition: str = EDITION
    not_checked: str = NOT_CHECKED


def swamped_loads(boat: Boat) -> tuple[tuple[str, float], ...]:
    """Submerged weights that the tests of its rule put into a swamped boat, motor included [kg].

    The last is the level test without the weights for persons (183.235, 183.335): those for what else the plate allows
    stay. Under the modified rule the first is at most what the level method hangs.

    >>> [(name, round(kg, 1)) for name, kg in swamped_loads(Boat(persons_kg=150.0, capacity_kg=190.0))]
    [('basic test load', 30.0), ('level test load', 85.0), ('level test load without persons', 10.0)]
    >>> [name for name, _ in swamped_loads(Boat(persons_kg=150.0, flotation="modified"))]
    ['level test load', 'level test load without persons']
    """
    capacity = boat.capacity_kg if boat.capacity_kg is not None else boat.persons_kg
    level_capacity = boat.level_capacity_kg if boat.level_capacity_kg is not None else capacity
    basic = basic_flotation_load(boat.persons_kg, capacity - boat.persons_kg, boat.air_chambers_m3)
    level = float(level_flotation_load(boat.persons_kg, level_capacity))
    unmanned = float(level_flotation_load(0.0, max(level_capacity - boat.persons_kg, 0.0)))
    loads = (
        ("basic test load", basic + boat.propulsion_kg),
        ("level test load", level + boat.propulsion_kg),
        ("level test load without persons", unmanned + boat.propulsion_kg),
    )
    return {"": loads, "basic": loads[:1]}.get(boat.flotation, loads[1:])


def flotation(
    piece: Piece,
    body: tuple[np.ndarray, np.ndarray],
    frame: PourFrame,
    boat: Boat,
    foam_m3: Range,
    plane: tuple[float, float, float, float] | None,
) -> Flotation:
    """Basic and level flotation for the boat, checked against the foam at its lowest yield.

    F = (sum of K W below the swamped waterline + W above + propulsion + persons' part) / B, B = 62.4 lb/ft3 - foam.
    Weights at their high end, foam at its densest in B.

    Parameters
    ----------
    body : tuple
        Standing corners (n, 3) and faces (m, 3) of the skin's outside, without caps over openings.
    plane : tuple or None
        Water of the swamped boat; None where it sinks: all of it is then below.
    """
    weights = tuple(_weight(part, piece, body, frame, plane) for part in piece.parts if part.kind in ("skin", "item"))
    structure = sum(weight.counts_kg for weight in weights)
    lift = (HANDBOOK_WATER - piece.foam.density_kg_m3.high) * (1.0 - (boat.uptake or 0.0))
    capacity = boat.capacity_kg if boat.capacity_kg is not None else boat.persons_kg
    basic = basic_flotation_load(boat.persons_kg, capacity - boat.persons_kg, boat.air_chambers_m3)
    alternative = 0.25 * capacity
    basic_m3 = max(structure + boat.propulsion_kg + max(basic, alternative), 0.0) / lift
    level_capacity = boat.level_capacity_kg if boat.level_capacity_kg is not None else capacity
    persons_m3 = float(level_persons_foam(boat.persons_kg, level_capacity, HANDBOOK_WATER - lift))
    level_m3 = max((structure + boat.propulsion_kg) / lift + persons_m3, 0.0)
    least_m3 = max(structure + boat.propulsion_kg, 0.0) / lift
    ends = {"basic": (basic_m3, basic_m3), "level": (level_m3, level_m3), "modified level": (least_m3, level_m3)}
    asked = tuple(Asked(name, *ends[name]) for name in FLOTATIONS[boat.flotation])
    return Flotation(
        weights,
        structure,
        boat.propulsion_kg,
        basic,
        alternative,
        lift,
        basic_m3,
        level_m3,
        foam_m3,
        boat.flotation,
        asked,
        regions_of(piece.foam, foam_m3.low, lift, frame),
        allowance_of(boat, basic_m3, level_m3, foam_m3.low),
        tuple(_check(one, foam_m3) for one in asked),
        _warnings(piece, boat, frame),
    )


def _weight(
    part: Part,
    piece: Piece,
    body: tuple[np.ndarray, np.ndarray],
    frame: PourFrame,
    plane: tuple[float, float, float, float] | None,
) -> SubmergedWeight:
    items = {item.name: item for item in piece.site.items}
    if part.kind == "skin":
        above = _share_above(body, plane)
        factor = submerged_factor(piece.skin_kg_m3 / HANDBOOK_WATER)
    else:
        item = items[part.name]
        if item.coating:
            above = _share_above(body, plane)
        else:
            at = frame.to_standing(part.centre_m)
            above = float(plane is not None and at @ np.array(plane[:3]) > plane[3])
        known = item.density_kg_m3
        factor = 1.0 if known is None else submerged_factor(known / HANDBOOK_WATER)
    # The end that counts most: the high weight where it pulls down, the low where it lifts.
    each = above + (1.0 - above) * factor
    kg = part.kg.high if each >= 0 else part.kg.low
    return SubmergedWeight(part.name, kg, above, factor, kg * each)


def _share_above(body: tuple[np.ndarray, np.ndarray], plane: tuple[float, float, float, float] | None) -> float:
    """Share of the skin's outside above the water, every triangle cut where the water stands."""
    if plane is None:
        return 0.0
    points, faces = body
    corner = points[faces]
    area = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
    height = corner @ np.array(plane[:3])
    below = share_below(height[:, 0], height[:, 1], height[:, 2], plane[3])
    return float(area @ (1.0 - below) / area.sum())


def _check(asked: Asked, foam_m3: Range) -> Check:
    """Foam that is there, at its lowest yield, against what is asked for."""
    source = "33 CFR 183 and the Boatbuilder's Handbook, see the edition; foam at its lowest yield"
    more = "more foam, or a smaller capacity on the plate"
    verdict = asked.verdict(foam_m3.low)
    needed = asked.least_m3 if verdict == Verdict.OVER else asked.most_m3
    remedy = {
        Verdict.OK: "",
        Verdict.OVER: more,
        Verdict.UNKNOWN: f"work the persons' part from 183.320 of the regulation in force; or {more}",
    }[verdict]
    return Check(f"foam asked for by {asked.name} flotation", needed, foam_m3.low, "m^3", verdict, source, remedy)


def _warnings(piece: Piece, boat: Boat, frame: PourFrame) -> tuple[Finding, ...]:
    lines = []
    length = float(max(frame.size_m[:2]))
    if length >= LONGEST_M:
        lines.append(finding(Code.BOAT_TOO_LONG, length_m=length))
    if boat.persons_kg == 0:
        lines.append(finding(Code.NO_PERSONS))
    unknown = [item.name for item in piece.site.items if item.density_kg_m3 is None]
    if unknown:
        lines.append(finding(Code.ITEM_WITHOUT_DENSITY, *unknown))
    if piece.skin_kg_m3 < HANDBOOK_WATER:
        lines.append(finding(Code.SKIN_LIGHTER_THAN_WATER))
    if boat.air_chambers_m3 > 0:
        lines.append(finding(Code.AIR_CHAMBERS))
    return tuple(lines)
