"""When a plan needs a probe in its first lift, and why."""

from __future__ import annotations

from pourwright.findings import Code, Finding, Value, finding
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.rules import HeatRules


def probe_required(foam: FoamAtShop, lift_plan: LiftPlan, rules: HeatRules) -> list[Finding]:
    """Where the plan holds at the likely heat and not at the 95 % end; none where it holds at both."""
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    why: dict[str, Value] = {}
    hot = [pour for pour in pours if any(c.name == judged.EMERGENCY and c.value > c.limit for c in pour.checks)]
    if hot:
        top = max(hot, key=lambda pour: pour.peak_k.high)
        why |= {"hottest": top.name, "peak_k": top.peak_k.high}
    heated = [(heat.hot_s[0][2], name) for name, heat in lift_plan.heats.items()]
    long = [pair for pair in heated if pair[0] > rules.scorch_high_s]
    if long:
        most = max(long, key=lambda pair: pair[0])
        why |= {"longest": most[1], "hot_s": most[0]}
    if not why:
        return []
    grade = foam.grade
    limits = {"emergency_k": grade.emergency_k, "caution_k": grade.caution_k, "allowed_s": rules.scorch_high_s}
    return [finding(Code.PROBE_REQUIRED, **limits, **why)]
