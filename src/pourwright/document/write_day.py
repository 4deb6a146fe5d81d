"""From a plan to the blocks of ``plan.json`` that tell its day."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright.document.model_day import DayDoc, DoseDoc, FrontDoc, LimbDoc, OfferDoc
from pourwright.document.reflect import block_of
from pourwright.document.values import known
from pourwright.lifts import EvenBands

if TYPE_CHECKING:
    from pourwright.plan import Plan


def day_block(plan: Plan) -> DayDoc:
    """The day of a plan."""
    lifts, rules = plan.lift_plan, plan.job.day
    choice = lifts.day
    pours = [pour for lift in lifts.lifts for pour in lift.pours]
    heated, steps = list(lifts.heats.values()), plan.computed.steps
    starts = [step.start_s for step in steps if step.kind == "mix" and step.batch == 1]
    if heated:
        likely, high = (max(heat.hot_s[0][k] for heat in heated) / 3600.0 for k in (1, 2))
    else:
        likely, high = (math.nan if isinstance(choice, EvenBands) else choice.day.worst_h), math.nan
    end = steps[-1].end_s if steps else math.nan
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
                dose_h=known(day.worst_h),
                dose_high_h=known(day.high_h),
                weight_kg=day.foam_kg,
                keeps=day.keeps,
                judged=k == choice.chosen and plan.job.heat.computed,
                chosen=k == choice.chosen,
            )
            for k, day in ((k, choice.front[k]) for k in choice.shown)
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
