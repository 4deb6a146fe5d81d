"""What a plan asks for before or while it is poured, and its status with that in words."""

from __future__ import annotations

from pourwright.findings import Code
from pourwright.plan import Plan
from pourwright.wording.computed import near_a_limit
from pourwright.wording.status import DO_NOT_POUR, NOT_ALL_KNOWN, PLANNED, over_words


def probes_asked(plan: Plan) -> list[str]:
    """Pours still to come whose card asks for a probe."""
    left = [pour for lift in plan.lift_plan.lifts for pour in lift.pours if not pour.poured]
    return [pour.name for pour in left if near_a_limit(pour, plan)]


LISTED = 3
"""Pours that are named one by one where a probe is asked for in all of them."""


def asks_of(plan: Plan) -> list[str]:
    """What has to be measured, each in a few words; empty where the plan holds as it is.

    A probe is required where a limit holds at the likely heat and not at its 95 % end.
    """
    if any(found.code == Code.PROBE_REQUIRED for found in plan.warnings):
        return ["probe required"]
    named = probes_asked(plan)
    left = sum(not pour.poured for lift in plan.lift_plan.lifts for pour in lift.pours)
    if len(named) == left > LISTED:
        return ["probe asked for in every pour"]
    return [f"probe asked for in {', '.join(named)}"] if named else []


def status_words(plan: Plan) -> str:
    """Whether the plan may be poured: the checks that are over or unknown, and what has to be measured first."""
    over = over_words(plan)
    if over.startswith(DO_NOT_POUR):
        return over
    return ", ".join([over or PLANNED, *asks_of(plan)])


def refused_or_unknown(plan: Plan) -> bool:
    """Whether a check is over or not known: the status then stands in the colour of an alarm."""
    return over_words(plan).startswith((DO_NOT_POUR, NOT_ALL_KNOWN))
