"""What a lining is held to where it is thinnest."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourwright.lifts import Check, judged, verdict
from pourwright.lining.chambers import RESTS, SolidPlace
from pourwright.lining.model import Lining
from pourwright.lining.thicker import LinedPart
from pourwright.lining.turning import THIN
from pourwright.sources import Cited, Standing

LEAST_SHARE = Cited(0.5, "-", Standing.JUDGEMENT, note="of the thickness asked for, due where a lining is thinnest")

FLOOR = "floor under the solid parts"
POURS = "pours of the solid parts"

OF_ALL = "a slower grade, another way of turning, a thicker fill.thickness; or say in fill.least what is enough there"
OF_SPREAD = "a slower grade, ways up in which that wall lies flatter (fill.positions); or fill.least, what is enough"
OF_A_PART = "a part that lies lowest when it is turned, less beyond fill.thickness, or one thickness all round"


def solid_checks(lining: Lining, alone: str) -> tuple[Check, ...]:
    """What is not known of parts that the job has filled solid; nothing where it has none.

    Their pours have no lifts of their own here; and there may be nothing that their foam could stand on. ``alone``:
    how they are planned by themselves, empty where they cannot be.
    """
    asked = [place for place in lining.places if place.asked]
    loose = [place for place in asked if place.rests == RESTS[2]]
    found = []
    if asked:
        found.append(
            _not_known(
                POURS, asked,
                "pressure on the skin, flow, rise, ports, vents and heat in the real shape are not computed for them",
                alone
                or "plan the piece filled solid, and take for these places what it says there",
            )
        )  # fmt: skip
    if loose:
        found.append(
            _not_known(
                FLOOR, loose,
                "a hollow lies under them as the piece stands and upside down: their foam would run away, and what "
                "holds it there is not planned",
                "a solid part that goes on to that end of its limb, or a dam or a bag of film under it",
            )
        )  # fmt: skip
    return tuple(found)


def _not_known(name: str, places: Sequence[SolidPlace], why: str, remedy: str) -> Check:
    volume = math.fsum(place.volume_m3 for place in places)
    return Check(name, volume, math.nan, "m^3", verdict(volume, math.nan), why, remedy)


def bare_remedy(lining: Lining) -> str:
    """What helps where too much of the inside stays bare."""
    if lining.spread is None:
        return "turn it by hand or on a frame in place of a cradle, give a thicker lining, or a slower grade"
    return (
        "more ways up (fill.positions), a longer tool and what it reaches (fill.reach), what is out of reach solid "
        "(fill.part), or line it by turning"
    )


def thin_check(lining: Lining, least_m: float | None) -> Check:
    """Whether it holds enough there: value and limit are what is missing of the thickness that was asked for.

    Of parts with a thickness of their own the one that is nearest to its limit or farthest over it; ``least_m`` is for
    what is in none of them.
    """
    return max(
        (_of_part(part, least_m if part.number == 0 else None, lining) for part in lining.parts),
        key=lambda check: check.value / check.limit if check.limit > 0.0 else math.inf,
    )


def _of_part(part: LinedPart, least_m: float | None, lining: Lining) -> Check:
    thickness = part.thickness_m
    words = f"{Standing.JOB.value} (fill.least)"
    if least_m is None:
        least_m = LEAST_SHARE.value * thickness
        words = f"{LEAST_SHARE.standing.value}: {LEAST_SHARE.value:.0%} of fill.thickness is due"
    missing, allowed = thickness - part.thinnest_m, thickness - least_m
    where = f" of {part.name}" if len(lining.parts) > 1 else ""
    own = part.number > 0
    return Check(
        judged.THIN, missing, allowed, "m", verdict(missing, allowed),
        f"{words}; missing of {thickness * 1e3:.4g} mm on {1.0 - THIN:.0%} of what is coated{where}, "
        f"{part.thinnest_m * 1e3:.3g} mm lie there",
        OF_SPREAD if lining.spread else OF_A_PART if own else OF_ALL,
    )  # fmt: skip
