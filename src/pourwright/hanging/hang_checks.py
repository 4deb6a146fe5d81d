"""Whether an anchor may carry its loads: its own rating, and the foam round an insert; and what is not checked."""

from __future__ import annotations

import math

import numpy as np

from pourwright.hanging.rule import SUSTAINED, Rule, unknown_rule
from pourwright.hanging.skin_joint import skin_rules
from pourwright.hanging.traced import Traced
from pourwright.outcome import Anchor, FoamSolid, Insert, Piece, Rod
from pourwright.physics.wall_anchors import (
    head_crush_pull,
    insert_bearing,
    insert_shear_pull,
    plate_pull,
    rod_push,
    rod_stress,
)
from pourwright.sources import Cited, Standing

EULER = Cited(3.0, "-", Standing.JUDGEMENT, note="design factor on Euler's load of a rod that is pushed")
BESIDE = Cited(
    1.5,
    "-",
    Standing.JUDGEMENT,
    note="diameters from an insert's middle to the outside of the piece below which its foam is not known to bear or "
    "to hold it",
)
APART = Cited(
    2.0,
    "-",
    Standing.JUDGEMENT,
    note="diameters of the head between two inserts from which neither takes from the other; less in proportion",
)
OF_INSERTS = ("foam bearing round the insert", "insert pulled out of the foam", "insert pushed into the foam")
STRONGER = "a stronger anchor, or more of them"
LONGER = "a longer or wider insert, more anchors, or carry the anchor to the skin"
HOLLOW = (
    "the piece is not solid, and an insert that ends in its hollow, or is not known to end in foam, is not computed"
)
SOLID = (
    "fill its part of the piece solid (fill.part), make the lining there thicker than the insert is deep, or put it in "
    "a rib"
)


def room_m(insert: Insert) -> float:
    """What an insert needs beside its middle all along, so that its foam is known to hold it and its head is inside.

    >>> room_m(Insert(0.02, 0.1)), room_m(Insert(0.02, 0.1, head_m=0.08))
    (0.03, 0.04)
    """
    return max(BESIDE.value * insert.diameter_m, 0.5 * _wide(insert))


def _wide(insert: Insert) -> float:
    return insert.diameter_m if insert.head_m is None else insert.head_m


def anchor_rules(anchor: Anchor, piece: Piece, factor: Cited | None, traced: Traced) -> tuple[Rule, ...]:
    """Everything that one anchor is checked against."""
    ratings = _rating_rules(anchor, factor)
    joint: tuple[Rule, ...] = ()
    if anchor.insert is not None:
        skin = None if piece.skin is None else piece.skin.at(traced.skin_m)
        joint = skin_rules(anchor.insert, skin, piece.foam, traced, len(piece.site.anchors) - 1)
    return (*ratings, *_insert_rules(anchor, piece.foam, traced), *joint, *_rod_rules(anchor, traced, ratings))


def _rating_rules(anchor: Anchor, factor: Cited | None) -> tuple[Rule, ...]:
    """Shear, pull and both together against the anchor's rating over the design factor.

    Shear and pull together by the straight line V/V0 + N/N0, which is on the safe side of every curved rule.
    """
    if anchor.shear_n is None and anchor.pull_n is None:
        return (unknown_rule("rating", "no rating given", "give anchor.shear and anchor.pull"),)
    if anchor.breaking and factor is None:
        words = "the rating is a breaking load and the job names no design factor"
        return (
            unknown_rule(
                "rating", words, "give hang.factor_value with its reference, or a working load with rating = 'working'"
            ),
        )
    share, source = 1.0, "rating given in the job as a working load"
    if anchor.breaking and factor is not None:
        share, source = factor.value, f"rating given in the job, design factor {factor.value:g} ({factor.words()})"
    rules = []
    for what, value, rating in (("shear", _shear, anchor.shear_n), ("pull", _pull, anchor.pull_n)):
        if rating is None:
            rules.append(Rule(what, "N", math.nan, "no rating given", f"give anchor.{what}", value))
        else:
            rules.append(Rule(what, "N", rating / share, source, STRONGER, value))
    v0, n0 = (rule.limit for rule in rules)
    both = f"{source}; straight line V/V0 + N/N0"
    known = not math.isnan(v0 + n0)
    rules.append(
        Rule(
            "shear and pull together",
            "",
            1.0 if known else math.nan,
            both if known else "a rating is missing",
            STRONGER if known else "give anchor.shear and anchor.pull",
            lambda shear, out: shear / v0 + _pull(shear, out) / n0,
        )
    )
    return tuple(rules)


def _insert_rules(anchor: Anchor, foam: FoamSolid, traced: Traced) -> tuple[Rule, ...]:
    """Foam round an insert, pressed and pulled, against a share of its strength at its lowest density."""
    insert = anchor.insert
    if insert is None:
        words = "the job does not say what holds this anchor inside the piece"
        remedy = "give anchor.insert, or have the joint between anchor and skin designed"
        return (unknown_rule("hold in the piece", words, remedy),)
    if not foam.held:
        return tuple(unknown_rule(name, HOLLOW, SOLID) for name in OF_INSERTS)
    crush = SUSTAINED.value * foam.crushing_pa
    shear = SUSTAINED.value * foam.shearing_pa
    source = f"{foam.grade} at its lowest density, {SUSTAINED.value:g} of its strength for good ({SUSTAINED.words()})"
    wide = _wide(insert)
    holds, how = insert_shear_pull(shear, wide, insert.depth_m), "a cylinder of foam shears off"
    if insert.head_m is not None:
        crushed = head_crush_pull(crush, insert.head_m, insert.diameter_m)
        if crushed < holds:
            holds, how = crushed, "the foam before the head is crushed"
    shaft = insert_shear_pull(shear, insert.diameter_m, insert.depth_m)
    pressure = insert_bearing(1.0, insert.diameter_m, insert.depth_m, traced.arm_m)
    bed = f"rigid insert on an even elastic bed, shear {1e3 * traced.arm_m:.0f} mm before the foam; {source}"
    if not traced.edge_m >= BESIDE.value * insert.diameter_m:
        why = f"the outside of the piece is {1e3 * traced.edge_m:.0f} mm beside the middle of the insert"
        crush, bed = math.nan, f"{why}: too near for its foam to be known to bear ({BESIDE.words()})"
        shaft = math.nan
    if not traced.narrowest_m >= room_m(insert):
        beside = f"the outside of the piece is {1e3 * traced.narrowest_m:.0f} mm beside the insert"
        holds, how = math.nan, f"{beside}, {1e3 * room_m(insert):.0f} mm are needed for its foam to be known to hold it"
    near = min(1.0, traced.neighbour_m / (APART.value * wide))
    if near < 1.0:
        holds *= near
        how += f", times {near:.2f} as another anchor is {1e3 * traced.neighbour_m:.0f} mm away ({APART.words()})"
    return (
        Rule(OF_INSERTS[0], "Pa", crush, bed, LONGER, lambda v, _: pressure * v),
        Rule(OF_INSERTS[1], "N", holds, f"{how}; {source}", LONGER, _pull),
        Rule(OF_INSERTS[2], "N", shaft, f"foam shears along the shaft; {source}", LONGER, _push),
    )


def _rod_rules(anchor: Anchor, traced: Traced, ratings: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """The rod across the gap: bent, pushed, and prising its plate off the wall."""
    rod, arm = anchor.rod, traced.arm_m
    if rod is None:
        why = (
            "the job does not give the rod: how it bends across a gap, and buckles where it is pushed, is not computed"
        )
        remedy = f"give anchor.rod, or have it designed; it is free over {1e3 * arm:.0f} mm"
        return (unknown_rule("rod between insert and wall", why, remedy),)
    thicker = "a thicker rod, or less gap"
    given = f"stress given in the job; rod free over {1e3 * arm:.0f} mm, held at one end"
    pushed = rod_push(rod.stress_pa, rod.modulus_pa, rod.diameter_m, arm, EULER.value)
    return (
        Rule(
            "rod bent and pulled",
            "Pa",
            rod.stress_pa,
            given,
            thicker,
            lambda v, out: rod_stress(v, out, rod.diameter_m, arm),
        ),
        Rule(
            "rod pushed", "N", pushed, f"{given}; Rankine, {EULER.value:g} on Euler ({EULER.words()})", thicker, _push
        ),
        _plate_rule(rod, arm, ratings),
    )


def _plate_rule(rod: Rod, arm: float, ratings: tuple[Rule, ...]) -> Rule:
    name = "pull with the plate prised off the wall"
    limit = next((rule.limit for rule in ratings if rule.name == "pull"), math.nan)
    side = rod.plate_m
    if side is None or math.isnan(limit):
        missing = (
            "rod.plate, the side of the plate on the wall" if side is None else "anchor.pull, and hang.factor_value"
        )
        return unknown_rule(name, f"the shear stands {1e3 * arm:.0f} mm off the wall and may prise", f"give {missing}")
    source = "plate stiff, turning about its edge, one fixing in its middle; rating as for pull"
    return Rule(
        name, "N", limit, source, "a wider plate, or less gap", lambda v, out: plate_pull(v, _pull(v, out), arm, side)
    )


def _shear(shear: np.ndarray, _: np.ndarray) -> np.ndarray:
    return shear


def _pull(_: np.ndarray, out: np.ndarray) -> np.ndarray:
    return np.maximum(out, 0.0)


def _push(_: np.ndarray, out: np.ndarray) -> np.ndarray:
    return np.maximum(-out, 0.0)
