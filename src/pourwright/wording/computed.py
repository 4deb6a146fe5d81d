"""What was computed in the real shape, in lines for the terminal and ``plan.md``."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.evaluation import HeatHistory, RiseHistory
from pourwright.lifts import Lift, Pour
from pourwright.plan import LiftPlan, Plan
from pourwright.wording.spoken import BY_HAND, Spoken, spoken
from pourwright.wording.status import place_words

NEAR = 0.5
"""Share of an allowed time above caution from which a sheet says more; our judgement, no published source."""
NEAR_K = 5.0


def near_a_limit(pour: Pour, plan: Plan) -> bool:
    """Whether a probe in the core is worth its place: time above caution or a peak is near what is allowed."""
    peak, rules, grade = pour.peak_k, plan.job.heat, plan.foam.grade
    if peak.nominal >= grade.stop_k - NEAR_K or peak.high >= grade.emergency_k - NEAR_K:
        return True
    if pour.name not in plan.lift_plan.heats:
        return False
    _, likely, high = plan.lift_plan.heats[pour.name].hot_s[0]
    return bool(likely > NEAR * rules.scorch_s or high > NEAR * rules.scorch_high_s)


def grid_words(pour: Pour, plan: LiftPlan) -> str:
    """What the hottest core of all may be off by its heat cells, in whole degrees; empty for other pours."""
    if pour.name not in plan.heats or not math.isfinite(plan.heats[pour.name].off_k):
        return ""
    return f" (± {units.degrees(max(1.0, math.ceil(plan.heats[pour.name].off_k - 1e-6)))} from the grid)"


def heat_and_rise_lines(pour: Pour, plan: LiftPlan, said: Spoken = BY_HAND) -> list[str]:
    """Where a pour is hottest, how warm its skin gets, and the formulas beside it; then what stays empty."""
    lines = heat_lines(pour, plan.heats[pour.name]) if pour.name in plan.heats else []
    if pour.name in plan.rises:
        rise = plan.rises[pour.name]
        if lines:
            lines[-1] += f", pressure {units.pressure(rise.closed_pressure_pa)}"
        lines += rise_lines(rise, said)
    return lines


def heat_lines(pour: Pour, heat: HeatHistory) -> list[str]:
    """Where a pour is hottest, how warm its skin gets; the last line has the formula beside it."""
    lines = []
    across = "" if math.isnan(heat.across_m) else f", in a limb {units.length(heat.across_m)} wide"
    lines.append(f"hottest {place_words(heat.peak_measures)}{across}")
    if math.isfinite(heat.later_k.nominal):
        core, later = pour.peak_k, heat.later_k
        lines.append(
            f"a probe there should read {units.temperature(core.low)} to {units.temperature(core.high)} at its "
            f"hottest, {units.temperature(later.low)} to {units.temperature(later.high)} an hour later"
        )
    hot = [
        f"{units.temperature(k)} for {units.time(likely)} likely, {units.time(high)} at the 95 % end"
        for k, likely, high in heat.hot_s
        if high > 0
    ]
    if hot:
        lines.append(f"above {', '.join(hot)}")
    if not math.isnan(heat.skin_k.nominal):
        lines.append(
            f"hottest skin {units.temperature(heat.skin_k.nominal)}, "
            f"at the 95 % end {units.temperature(heat.skin_k.high)}, {place_words(heat.skin_measures)}"
        )
    if heat.wait_governed_by:
        face = "" if math.isnan(heat.face_k) else f"it lands on {units.temperature(heat.face_k)}, over "
        lines.append(f"when the next lift comes, {face}a core of {units.temperature(heat.core_k)}")
    lines.append(f"formulas, for comparison: core {units.temperature(heat.closed_peak_k)}")
    return lines


def rise_lines(rise: RiseHistory, said: Spoken = BY_HAND) -> list[str]:
    """What stays empty of a pour, and what comes out of its vents."""
    lines = []
    for void in rise.voids:
        lines.append(f"STAYS EMPTY: {units.volume(void.volume_m3)}, {place_words(void.measures)}; {void.reason}")
    if rise.surplus_kg > 1e-3:
        out = [flow for flow in rise.vents if flow.foam_kg > 1e-3 * rise.surplus_kg]
        lines.append(
            f"{units.mass(rise.surplus_kg)} of foam comes out at {', '.join(flow.name for flow in out)}, from "
            f"{units.time(min(flow.foam_from_s for flow in out))} after {said.begins}"
        )
    return lines


def day_lines(plan: Plan, lifts: bool = True) -> list[str]:
    """The schedule: when each lift starts, how long the work takes and how long the wait is.

    Without ``lifts`` only its nights and its end, where cards and a table have the rest.
    """
    computed = plan.computed
    if not computed.steps:
        return []
    lines = []
    for lift in plan.lift_plan.lifts:
        if lifts and any(step.lift == lift.number for step in computed.steps):  # not those that are poured already
            lines.append(_lift_line(plan, lift))
    lines += overnight_lines(plan)
    end = max(step.end_s for step in computed.steps)
    work = sum(step.end_s - step.start_s for step in computed.steps if step.kind in ("mix", "pour"))
    hands = plan.job.limits.hands
    who = "1 person" if hands == 1 else f"{hands} people"
    if plan.job.machine is not None:
        lines.append(f"{clock(end)} from the first shot until the core is cool, of which {units.time(work)} shooting")
        return lines
    lines.append(
        f"{clock(end)} from the first mix until the last lift is cool, of which {units.time(work)} mixing and pouring, "
        f"with {who}"
    )
    return lines


def _lift_line(plan: Plan, lift: Lift) -> str:
    mine = [step for step in plan.computed.steps if step.lift == lift.number]
    start = min(step.start_s for step in mine)
    work = max(step.end_s for step in mine if step.kind == "pour") - start
    mixes = sum(step.kind == "mix" for step in mine)
    wait = next(step for step in mine if step.kind == "wait")
    said = spoken(plan)
    cups = f"1 {said.mix}" if mixes == 1 else f"{mixes} {said.mix}{'s' if said.machine else 'es'}"
    return (
        f"{wall_clock(plan, start)} lift {lift.number}, pour{'s' if len(lift.pours) > 1 else ''} "
        f"{', '.join(pour.name for pour in lift.pours)}: {cups} in {units.time(work)}; "
        f"free again at {wall_clock(plan, wait.end_s)}"
    )


def wall_clock(plan: Plan, seconds: float) -> str:
    """A time after the first mix by the clock on the wall, where the job says when the day starts; else as it is."""
    if plan.job.day.start_s is None:
        return clock(seconds)
    minutes = round((plan.job.day.start_s + seconds) / 60)
    days, minutes = divmod(minutes, 24 * 60)
    return f"{f'day {days + 1}, ' if days else ''}{minutes // 60:02d}:{minutes % 60:02d}"


def nights(plan: Plan) -> list[tuple[int, float]]:
    """Lifts before which a night lies, each with its start [s from the first mix]."""
    day, steps = plan.job.day, plan.computed.steps
    if day.start_s is None or day.end_s is None:
        return []
    starts: dict[int, float] = {}
    for step in steps:
        starts[step.lift] = min(step.start_s, starts.get(step.lift, step.start_s))
    order = sorted(starts.items(), key=lambda one: one[1])
    dates = [(day.start_s + start) // 86_400 for _, start in order]
    return [order[k] for k in range(1, len(order)) if dates[k] > dates[k - 1]]


def overnight_lines(plan: Plan) -> list[str]:
    """What a night in the middle of the work does to the foam, and what to do about it."""
    lines = []
    lifts = plan.lift_plan.lifts
    for number, start in nights(plan):
        below = {pour.limb for lift in lifts if lift.number < number for pour in lift.pours}
        above = {pour.limb for lift in lifts if lift.number >= number for pour in lift.pours}
        limbs = sorted(name for name in below & above if name)
        where = f" limb{'s' if len(limbs) > 1 else ''} {', '.join(limbs)}" if limbs else " what"
        lines.append(
            f"A night lies before lift {number}: it {spoken(plan).before} at {wall_clock(plan, start)}. Foam below it "
            f"is cold then, which costs no heat limit. Keep the fire watch of the cautions until it is cool. Overnight "
            f"cover the "
            f"holes of{where} {'that are' if limbs else 'is'} half filled against damp and dust; in the morning take "
            "loose or glossy foam off where a hand reaches, bring liquids and shell to their temperatures again, and "
            "pour a cup before the lift (common practice, no source)"
        )
    return lines


def clock(seconds: float) -> str:
    """Elapsed time as hours and minutes.

    >>> clock(3725.0)
    '1:02 h'
    """
    minutes = round(seconds / 60)
    return f"{minutes // 60}:{minutes % 60:02d} h"
