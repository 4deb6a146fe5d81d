"""Ribs told of the whole piece, when their pours are known: dams, ways in, hollows, checks."""

from __future__ import annotations

import math

import numpy as np

from pourwright.banded.space import RibSpace
from pourwright.cavity import PourFrame, straight_up
from pourwright.findings import Verdict
from pourwright.lifts import Check, Division, judged, verdict
from pourwright.outcome import Item, Site, board_item, within_a_band
from pourwright.ranges import Range
from pourwright.ribs import (
    LEAST_STRIP,
    REACH,
    Dam,
    Push,
    Ribbed,
    RibRules,
    dam_of,
    hollows_of,
    mouths_of,
    way_in_of,
)
from pourwright.sources import Standing

LEAST_BATTENS_M = 0.10
"""Battens nearer together than this are a plank: a thicker board is due; our judgement."""


def ribbed_of(rules: RibRules, found: RibSpace, division: Division, up: np.ndarray, hollow: np.ndarray) -> Ribbed:
    """Dams, ways in and hollows.

    Parameters
    ----------
    up : ndarray (3,)
        Which way is up when the piece hangs or stands at last, shell axes.
    hollow : ndarray (nx, ny, nz) uint8
        What `hollow_of` makes of ``found``.
    """
    whole, cavity = found.whole, found.cavity
    columns = straight_up(whole.cavity, whole.graph)
    tops = [cut for cut in found.ribs.cuts if cut.top]
    return Ribbed(
        rules=rules, dams=_dams(rules, found, division),
        ways_in=tuple(way_in_of(cut, n, whole, columns, rules) for n, cut in enumerate(tops, start=1)),
        hollows=hollows_of(whole.skin, whole.cavity, hollow, up),
        foam_m3=cavity.volume_m3, hollow_m3=cavity.spared.volume_m3 if cavity.spared is not None else 0.0,
        coverage=found.ribs.coverage,
    )  # fmt: skip


def _checked(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)


def board_of(dam: Dam, rules: RibRules) -> Item:
    """The board of a dam as a thing inside."""
    middle = dam.shape.representative_point()
    return board_item(
        f"board of {dam.name}", (middle.x, middle.y, dam.height_m - 0.5 * rules.board_m), dam.kg, rules.board_kg_m3
    )


def _dams(rules: RibRules, found: RibSpace, lift_plan: Division) -> tuple[Dam, ...]:
    whole, pours = found.whole, [pour for lift in lift_plan.lifts for pour in lift.pours]
    cell, mouths = whole.cavity.grid.cell_m, mouths_of(whole.skin)
    out = []
    for rib, (low, high) in enumerate(rules.bands_m, start=1):
        cuts = [cut for cut in found.ribs.cuts if cut.rib == rib and not cut.top]
        mine = [pour for pour in pours if low - cell <= pour.bottom_m < high]
        lowest = [pour for pour in mine if pour.bottom_m < low + 2.0 * cell] or mine
        if not mine or not cuts:
            continue
        pressure = Range(*(max(getattr(p.peak_pressure_pa, end) for p in lowest) for end in ("low", "nominal", "high")))
        push = Push(pressure, Range.sum(pour.foam_kg for pour in mine))
        total = sum(cut.shape.area for cut in cuts)
        out += [dam_of(cut, rules, whole.cavity, whole.graph, push, mouths, cut.shape.area / total) for cut in cuts]
    return tuple(out)


def dam_checks(found: Ribbed) -> tuple[Check, ...]:
    """Whether dams get in, whether hands reach them, whether the board bears what lies on it."""
    if not found.dams:
        return ()
    rules = found.rules
    across = math.hypot(LEAST_STRIP.value, rules.board_m)
    mouths = min(dam.mouth_m for dam in found.dams)
    reach = max((dam.reach_m for dam in found.dams), default=math.nan)
    span = min(dam.span_m for dam in found.dams)
    closed = mouths <= 0
    why = f"{LEAST_STRIP.standing.value}: strips no narrower, end first; that they turn inside is not computed"
    other = (
        "pour against a closed bag of film or a blown-up tube in place of the board, or set the dam before the shell "
        "is closed"
    )
    return (
        _checked(judged.DAM_MOUTH, across, math.nan if closed else mouths, "m", why, "" if mouths >= across else other),
        _checked(judged.DAM_REACH, math.nan if closed else reach, REACH.value, "m", REACH.standing.value,
                "a mouth nearer by, a band nearer to the mouth, or set the dam before the shell is closed"),
        _checked(judged.BOARD_STRIP, LEAST_BATTENS_M, span, "m",
                f"{Standing.MEMORY.value}: plywood; a strip between two battens under all that lies on the dam",
                "a thicker board (fill.board), or a lower rib"),
    )  # fmt: skip


def insert_checks(site: Site, rules: RibRules, frame: PourFrame) -> tuple[Check, ...]:
    """Anchors whose inserts end where no rib is, or are not known to end in one: what holds them is not computed.

    A spot that is measured on the wall only, as the piece hangs, has no height of the piece as it is poured.
    """
    places = [anchor.spot.standing(frame, (math.nan, math.nan, math.nan)) for anchor in site.anchors]
    bare = [
        anchor.insert.depth_m
        for anchor, place in zip(site.anchors, places, strict=True)
        if anchor.insert is not None
        and (np.isnan(place).any() or not within_a_band(rules.bands_m, float(place[2]), anchor.insert))
    ]
    if not bare:
        return ()
    return (
        Check(
            "depth of an anchor's insert", max(bare), 0.0, "m", Verdict.UNKNOWN,
            "our judgement: an insert outside of a rib has no foam round it",
            "set fill.bands so that the anchor and its head lie within one, or fill the piece solid",
        ),
    )  # fmt: skip
