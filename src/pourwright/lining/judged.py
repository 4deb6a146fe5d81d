"""What a lining is held to where it is thinnest."""

from __future__ import annotations

from pourwright.lifts import Check, judged, verdict
from pourwright.lining.model import Lining
from pourwright.lining.turning import THIN
from pourwright.sources import Cited, Standing

LEAST_SHARE = Cited(0.5, "-", Standing.JUDGEMENT, note="of the thickness asked for, due where a lining is thinnest")


def thin_check(lining: Lining, least_m: float | None) -> Check:
    """Whether it holds enough there: value and limit are what is missing of the thickness that was asked for."""
    thickness = lining.region.thickness_m
    words = f"{Standing.JOB.value} (fill.least)"
    if least_m is None:
        least_m = LEAST_SHARE.value * thickness
        words = f"{LEAST_SHARE.standing.value}: {LEAST_SHARE.value:.0%} of fill.thickness is due"
    missing, allowed = thickness - lining.thinnest_m, thickness - least_m
    return Check(
        judged.THIN, missing, allowed, "m", verdict(missing, allowed),
        f"{words}; missing of {thickness * 1e3:.4g} mm on {1.0 - THIN:.0%} of what is coated, "
        f"{lining.thinnest_m * 1e3:.3g} mm lie there",
        "a slower grade, another way of turning, a thicker fill.thickness; or say in fill.least what is enough there",
    )  # fmt: skip
