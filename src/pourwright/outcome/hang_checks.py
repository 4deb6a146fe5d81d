"""Whether an anchor may carry its load: its own rating, and the foam round an insert."""

from __future__ import annotations

import math

from pourwright.lifts import Check
from pourwright.outcome.hang_model import AnchorLoad
from pourwright.outcome.piece import FoamSolid
from pourwright.outcome.site import Anchor
from pourwright.physics.wall_anchors import head_crush_pull, insert_bearing, insert_shear_pull
from pourwright.sources import Cited, Standing

SUSTAINED = Cited(
    0.25,
    "-",
    Standing.JUDGEMENT,
    note="share of short-term strength that foam bears for good; creep tests of insulation give 0.20 to 0.25",
)
COLLAPSE_POWER, SHEAR_POWER = 1.5, 1.098  # how compressive and shear strength follow density (physics.foam_strength)


def capacity_checks(anchor: Anchor, load: AnchorLoad, factor: Cited | None) -> tuple[Check, ...]:
    """Shear, pull and both together against the anchor's rating over the design factor; the high load counts.

    Shear and pull together by the straight line V/V0 + N/N0, which is on the safe side of every curved rule.
    """
    if anchor.shear_n is None and anchor.pull_n is None:
        return ()
    if anchor.breaking and factor is None:
        words = "the rating is a breaking load and the job names no design factor"
        remedy = "give hang.factor, or a working load with rating = 'working'"
        return (Check(f"{anchor.name}: rating", math.nan, 1.0, "", "unknown", words, remedy),)
    share = factor.value if anchor.breaking and factor is not None else 1.0
    source = "rating given in the job"
    if anchor.breaking and factor is not None:
        source += f", design factor {factor.value:g} ({factor.words()})"
    else:
        source += " as a working load"
    checks, shares = [], []
    pull = math.nan if load.pull_n is None else load.pull_n.high
    for what, value, rating in (("shear", load.shear_n.high, anchor.shear_n), ("pull", pull, anchor.pull_n)):
        if rating is None:
            remedy = f"give anchor.{what}"
            checks.append(Check(f"{anchor.name}: {what}", value, math.nan, "N", "unknown", "no rating given", remedy))
            shares.append(math.nan if value > 0 or math.isnan(value) else 0.0)
            continue
        limit = rating / share
        verdict = "unknown" if math.isnan(value) else "ok" if value <= limit else "over"
        remedy = "a stronger anchor, or more of them" if verdict == "over" else ""
        checks.append(Check(f"{anchor.name}: {what}", value, limit, "N", verdict, source, remedy))
        shares.append(value / limit)
    both = sum(shares)
    verdict = "unknown" if math.isnan(both) else "ok" if both <= 1.0 else "over"
    remedy = "a stronger anchor, or more of them" if verdict == "over" else ""
    name = f"{anchor.name}: shear and pull together"
    return (*checks, Check(name, both, 1.0, "", verdict, f"{source}; straight line V/V0 + N/N0", remedy))


def insert_checks(anchor: Anchor, load: AnchorLoad, foam: FoamSolid, standoff_m: float) -> tuple[Check, ...]:
    """Foam round an insert: bearing and pull-out against a share of its strength at its lowest density.

    An anchor whose hold inside the piece the job does not describe gets a check that says so, never a pass; the skin
    round the hole is not computed.
    """
    insert = anchor.insert
    if insert is None:
        words = "the job does not say what holds this anchor inside the piece"
        remedy = "give anchor.insert, or have the joint between anchor and skin designed"
        return (Check(f"{anchor.name}: hold in the piece", math.nan, math.nan, "N", "unknown", words, remedy),)
    thin = min(1.0, foam.density_kg_m3.low / foam.grade_density_kg_m3)
    crush = SUSTAINED.value * foam.compressive_pa * thin**COLLAPSE_POWER
    shear = SUSTAINED.value * foam.shear_pa * thin**SHEAR_POWER
    source = f"{foam.grade} at its lowest density, {SUSTAINED.value:g} of its strength for good ({SUSTAINED.words()})"
    press = insert_bearing(load.shear_n.high, insert.diameter_m, insert.depth_m, standoff_m)
    wide = insert.head_m if insert.head_m is not None else insert.diameter_m
    holds, how = insert_shear_pull(shear, wide, insert.depth_m), "a cylinder of foam shears off"
    if insert.head_m is not None:
        crushed = head_crush_pull(crush, insert.head_m, insert.diameter_m)
        if crushed < holds:
            holds, how = crushed, "the foam before the head is crushed"
    pull = math.nan if load.pull_n is None else load.pull_n.high
    rows = [
        ("foam bearing round the insert", press, crush, "Pa", f"rigid insert on an even elastic bed; {source}"),
        ("insert pulled out of the foam", pull, holds, "N", f"{how}; {source}"),
    ]
    checks = []
    for name, value, limit, unit, words in rows:
        verdict = "unknown" if math.isnan(value) else "ok" if value <= limit else "over"
        remedy = "a longer or wider insert, or carry the anchor to the skin" if verdict == "over" else ""
        checks.append(Check(f"{anchor.name}: {name}", value, limit, unit, verdict, words, remedy))
    words = "no long-term bearing strength of the skin is known here"
    remedy = "have the joint between insert and skin designed"
    checks.append(Check(f"{anchor.name}: skin round the insert", math.nan, math.nan, "Pa", "unknown", words, remedy))
    return tuple(checks)
