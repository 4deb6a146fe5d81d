"""When a plan needs a probe in its first lift, and why."""

from __future__ import annotations

from pourwright.foam import FoamAtShop
from pourwright.lifts import LiftPlan, judged
from pourwright.plan.rules import HeatRules

ZERO_K = 273.15


def probe_words(foam: FoamAtShop, lift_plan: LiftPlan, rules: HeatRules) -> list[str]:
    """One sentence where the plan holds at the likely heat and not at the 95 % end; none where it holds at both."""
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    grade, why = foam.grade, []
    hot = [pour for pour in pours if any(c.name == judged.EMERGENCY and c.value > c.limit for c in pour.checks)]
    if hot:
        top = max(hot, key=lambda pour: pour.peak_k.high)
        why.append(
            f"the core of pour {top.name} would reach {top.peak_k.high - ZERO_K:.0f} °C, over the emergency "
            f"temperature of {grade.emergency_k - ZERO_K:.0f} °C"
        )
    long = [pour for pour in pours if pour.heat is not None and pour.heat.hot_s[0][2] > rules.scorch_high_s]
    if long:
        top = max(long, key=lambda pour: pour.heat.hot_s[0][2] if pour.heat else 0.0)
        assert top.heat is not None
        why.append(
            f"pour {top.name} would be above {grade.caution_k - ZERO_K:.0f} °C for {top.heat.hot_s[0][2] / 60:.0f} "
            f"min, {rules.scorch_high_s / 60:.0f} min are allowed"
        )
    if not why:
        return []
    return [
        f"Probe required: at the 95 % end of its heat {', and '.join(why)}. Measure the rise in three cups before the "
        "day, or lay a probe into the middle of the first lift and enter its hottest reading with pourwright record "
        "(--probe) before the next is mixed."
    ]
