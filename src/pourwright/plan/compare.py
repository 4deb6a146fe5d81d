"""Several plans of one piece side by side, and which of them another one beats in everything."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourwright.lifts import EvenBands, judged
from pourwright.plan.dividing import hot_share, last_start_s
from pourwright.plan.heating import Heating
from pourwright.plan.made import Plan
from pourwright.ranges import Range

SAME = 1e-3
"""Two values nearer to each other than this share count as the same."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """What one plan comes to. Values that could not be computed are NaN."""

    name: str
    foam_kg: Range
    total_kg: Range
    body: float  # bending of the whole body: times as stiff as the empty skin
    panel: float  # the weakest of its flattest panel's gains
    lifts: int
    pours: int
    last_h: float  # from the first mix to the last pour; NaN where the waits are formulas of even bands
    hours: float  # from the first mix until the last lift is cool; NaN where the waits are formulas or not known
    dose_h: float  # that the hottest spot is above the caution temperature, likely; NaN where nothing followed the heat
    dose_high_h: float  # the same at the worst-case heat
    counted_h: float  # hours to the last pour, with the price of each pour
    work_hours: float  # of them mixing and pouring, all hands together
    cost: float  # NaN without prices
    over: tuple[str, ...]  # limits that are exceeded
    unknown: tuple[str, ...]  # limits that could not be computed
    computed: bool = True  # heat and rise in the real shape; False: formulas
    best: bool = False  # of those that keep every limit, and of which all is known, the least counted hours
    beaten_by: str = ""  # one that keeps every limit, is no worse in anything and better in something


def alternative_of(
    name: str, plan: Plan, price_kg: float | None = None, price_hour: float | None = None
) -> Alternative:
    """What a plan comes to.

    Parameters
    ----------
    name : str
    plan : Plan
    price_kg : float, optional
        Of a kilogram of both parts together; the liquids to buy are counted.
    price_hour : float, optional
        Of a working hour of one person; mixing and pouring are counted, waits are not.
    """
    outcome, lifts = plan.outcome, plan.lift_plan.lifts
    body = [gain.counted for gain in outcome.stiffness if gain.name.startswith(("whole body", "whole piece, bending"))]
    panel = [gain.counted for gain in outcome.stiffness if "panel" in gain.name and math.isfinite(gain.counted)]
    steps = plan.computed.steps
    work_s = sum(step.end_s - step.start_s for step in steps if step.kind in ("mix", "pour"))
    checks = [*plan.checks, *(check for lift in lifts for pour in lift.pours for check in pour.checks)]
    over = [check.name for check in checks if check.verdict == "over"]
    if not _is_computed(plan) and hot_share(plan.lift_plan, plan.job) > 1.0:  # the search has followed it
        over.append(judged.SCORCH)
    pours = sum(len(lift.pours) for lift in lifts)
    timed = _is_computed(plan) or plan.lift_plan.searched
    last_h = last_start_s(steps) / 3600.0 if timed else math.nan
    dose = _dose_h(plan)
    cost = math.nan
    if price_kg is not None or price_hour is not None:
        kg = outcome.liquids_a_kg + outcome.liquids_b_kg
        cost = (price_kg or 0.0) * kg + (price_hour or 0.0) * work_s / 3600.0
    return Alternative(
        name=name,
        foam_kg=outcome.foam_kg,
        total_kg=outcome.total_kg,
        body=min(body, default=math.nan),
        panel=min(panel, default=math.nan),
        lifts=len(lifts),
        pours=pours,
        last_h=last_h,
        hours=_hours(plan),
        dose_h=dose[0],
        dose_high_h=dose[1],
        counted_h=last_h + pours * plan.job.day.price_s / 3600.0,
        work_hours=work_s / 3600.0,
        cost=cost,
        over=tuple(dict.fromkeys(over)),
        unknown=tuple(dict.fromkeys(check.name for check in checks if check.verdict == "unknown")),
        computed=_is_computed(plan),
    )


def _is_computed(plan: Plan) -> bool:
    return isinstance(plan.computed.heating, Heating)


def _hours(plan: Plan) -> float:
    """Hours of the whole job; NaN unless every wait was computed in the real shape."""
    waits = [lift.wait_s for lift in plan.lift_plan.lifts]
    if not _is_computed(plan) or not all(math.isfinite(wait) for wait in waits):
        return math.nan
    return max((step.end_s for step in plan.computed.steps), default=math.nan) / 3600.0


def _dose_h(plan: Plan) -> tuple[float, float]:
    """Hours of the hottest spot above the caution temperature, likely and at the worst-case heat."""
    heats = plan.lift_plan.heats.values()
    if heats:
        return max(heat.hot_s[0][1] for heat in heats) / 3600.0, max(heat.hot_s[0][2] for heat in heats) / 3600.0
    day = plan.lift_plan.day
    return (math.nan, math.nan) if isinstance(day, EvenBands) else (day.day.worst_h, day.day.high_h)


def with_beaten(alternatives: Sequence[Alternative]) -> tuple[Alternative, ...]:
    """The same with ``beaten_by`` and ``best`` filled in.

    One beats another if it keeps every limit, weighs no more, stiffens body and panels no less, takes no more pours,
    hours and money, leaves no limit unknown that the other knows, and is better in one of these. Where a value is known
    of one of them only, neither beats the other. One that is over a limit beats nobody: it is not to be poured.
    """
    sound = [one for one in alternatives if not one.over and not one.unknown and math.isfinite(one.counted_h)]
    best = min(sound, key=lambda one: (round(one.counted_h, 6), one.total_kg.nominal, one.name), default=None)
    return tuple(
        replace(one, best=one is best, beaten_by=next((other.name for other in alternatives if _beats(other, one)), ""))
        for one in alternatives
    )


def _beats(a: Alternative, b: Alternative) -> bool:
    if a.over or not set(a.unknown) <= set(b.unknown):
        return False
    better = bool(b.over) or set(a.unknown) < set(b.unknown)
    for less, more in zip(_less_is_better(a), _less_is_better(b), strict=True):
        if math.isnan(less) and math.isnan(more):
            continue
        if not less <= more + SAME * abs(more):  # also where one is not known
            return False
        better |= less < more - SAME * abs(more)
    return better


def _less_is_better(one: Alternative) -> tuple[float, ...]:
    return (one.total_kg.nominal, -one.body, -one.panel, float(one.pours), one.last_h, one.hours, one.cost)
