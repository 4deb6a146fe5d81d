"""The lift plan, built once of a division and what was computed for it."""

from __future__ import annotations

from dataclasses import fields

from pourwright.evaluation import Evaluation
from pourwright.lifts import Division, close_holes
from pourwright.plan.case import Case
from pourwright.plan.judge import lifts_judged
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.rising import foam_arrives


def lift_plan_of(division: Division, found: Evaluation, case: Case) -> LiftPlan:
    """The lifts as they are to be poured.

    Parameters
    ----------
    division : Division
        With its vents as large as the air of ``found`` asks for.
    found : Evaluation
    case : Case

    Returns
    -------
    LiftPlan
        Every check by what was computed; ports and vents are shut when the computed rise gets to them.
    """
    parts = {one.name: getattr(division, one.name) for one in fields(Division)}
    built = LiftPlan(**{**parts, "lifts": lifts_judged(division, found, case)}, evaluation=found)
    space = case.space
    arrives = foam_arrives(space.graph, case.foam, found.rises)
    return close_holes(built, space.skin, space.cavity, space.graph, case.limits, arrives)
