"""From a plan to the blocks of ``plan.json`` that tell its day."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright.document.model_day import DayDoc, DoseDoc, FrontDoc, LimbDoc, OfferDoc
from pourwright.document.reflect import block_of
from pourwright.document.values import known
from pourwright.lifts import EvenBands
from pourwright.wording.day import shown_days

if TYPE_CHECKING:
    from pourwright.plan import Plan


def day_block(plan: Plan) -> DayDoc:
    """The day of a plan."""
    lifts, rules = plan.lift_plan, plan.job.day
    choice = lifts.day
    pours = [pour for lift in lifts.lifts for pour in lift.pours]
    steps = plan.computed.steps
    starts = [step.start_s for step in steps if step.kind == "mix" and step.batch == 1]
    likely, high = lifts.dose_h
    if not lifts.heats and not isinstance(choice, EvenBands):
        likely = choice.day.worst_h
    ends = [step.end_s for step in steps]  # in the order of their starts: the last wait is not the last of them
    end = math.nan if not ends or any(map(math.isnan, ends)) else max(ends)
    return DayDoc(
        hours_to_last_pour=known(max(starts, default=math.nan) / 3600.0),
        hours_until_cool=known(end / 3600.0),
        pours=len(pours),
        lifts=len(lifts.lifts),
        dose_h=DoseDoc(likely=known(likely), high=known(high)),
        dose_limit_h=plan.job.heat.scorch_s / 3600.0,
        aim=rules.aim,
        pour_price_s=rules.price_s,
        front=[]
        if isinstance(choice, EvenBands)
        else [
            FrontDoc(
                hours=day.hours,
                pours=len(day.stretches),
                dose_h=known(dose[0]),
                dose_high_h=known(dose[1]),
                weight_kg=day.foam_kg,
                keeps=day.keeps,
                judged=k == choice.chosen and plan.job.heat.computed,
                chosen=k == choice.chosen,
            )
            for k, day, dose in shown_days(plan, choice)
        ],
        offers=[]
        if isinstance(choice, EvenBands) or choice.offers is None
        else [block_of(OfferDoc, o, keeps=o.kept, hours_now=choice.offers.hours) for o in choice.offers.worth],
        words=[] if isinstance(choice, EvenBands) else list(choice.words),
    )


def limb_blocks(plan: Plan) -> list[LimbDoc]:
    """The limbs of a plan with their pours."""
    choice = plan.lift_plan.day
    if isinstance(choice, EvenBands):
        return []
    pours = [pour for lift in plan.lift_plan.lifts for pour in lift.pours]
    limbs = choice.limbs.limbs
    return [
        LimbDoc(
            name=limb.name,
            parent=limbs[limb.above[0]].name if limb.above else None,
            bottom_m=float(plan.graph.level_m[limb.bottom_level]),
            top_m=float(plan.graph.level_m[limb.top_level]),
            pours=[pour.name for pour in sorted(pours, key=lambda p: p.bottom_m) if pour.limb == limb.name],
        )
        for limb in limbs
    ]
