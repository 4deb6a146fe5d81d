"""Limits of the cores of a plan: heat at their face, and the way in."""

from __future__ import annotations

import math

from pourwright.cores.judged import Cored
from pourwright.cores.rules import EPS_LIMIT, passes
from pourwright.lifts import Check, judged, verdict
from pourwright.sources import Standing


def core_checks(found: Cored) -> tuple[Check, ...]:
    """Heat at the face of the cores, and the way in."""
    rules = found.rules
    mouth = math.nan if found.mouth_m is None else found.mouth_m
    passed = found.mouth_m is not None and passes(rules.size_m, found.mouth_m)
    limit = EPS_LIMIT.words() + ", of expanded polystyrene" if rules.limit_by == EPS_LIMIT.standing else rules.limit_by
    return (
        Check(
            judged.CORE_HOT, found.hottest_k, rules.limit_k, "K", verdict(found.hottest_k, rules.limit_k),
            f"{Standing.COMPUTED.value}: a core takes up no heat, so its face gets as hot as the foam on it; hottest "
            f"foam of the pours round the cores, 95 % end; its limit: {limit}",
            "a core that stands more heat (fill.limit, by its data sheet), or thinner foam round it: shorter lifts",
        ),
        Check(
            judged.CORE_MOUTH, rules.across_m, mouth, "m", verdict(rules.across_m, mouth),
            f"{Standing.COMPUTED.value}: the end of a core, straight and any way round through the widest mouth, walls "
            "taken off, against the largest end of its shape that goes in, by their diagonals; the way on from there, "
            "necks and reach are not computed",
            "" if passed else "smaller cores, or lay them before the shell is closed",
        ),
    )  # fmt: skip
