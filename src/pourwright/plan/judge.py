"""A division checked against what was computed for it: pours, checks and vents with the computed figures."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import (
    Check,
    HeatHistory,
    Lift,
    LiftPlan,
    Pour,
    RiseHistory,
    ShopLimits,
    Tighter,
    Vent,
    holes_for,
    surface_under_limit_k,
    surface_under_words,
    until_measured,
    verdict,
)
from pourwright.lifts import judged as names
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan.rules import HeatRules
from pourwright.ranges import Range
from pourwright.shell import SkinMaterial
from pourwright.sources import Standing

JUDGED = Standing.JUDGEMENT.value
SHRINK_RISE, SHRINK_HEAT = 0.6, 0.7
"""What a lift over a computed limit is shrunk to in the next division; our judgement, a step of the search only."""


def with_rise(plan: LiftPlan, rises: dict[str, RiseHistory], rules: HeatRules) -> LiftPlan:
    """The division with the computed rise in its pours."""
    return _each(plan, lambda pour: _risen(pour, rises[pour.name], rules) if pour.name in rises else pour)


def with_heat(
    plan: LiftPlan,
    histories: dict[str, HeatHistory],
    foam: FoamAtShop,
    material: SkinMaterial,
    limits: ShopLimits,
    rules: HeatRules,
) -> LiftPlan:
    """The division with the computed temperatures in its pours."""
    return _each(plan, lambda pour: _heated(pour, histories[pour.name], foam, material, limits, rules))


def with_waits(plan: LiftPlan, waits_s: Sequence[float]) -> LiftPlan:
    """The division with the wait of each lift, from the start of its first mix."""
    pairs = zip(plan.lifts, waits_s, strict=True)
    return replace(plan, lifts=tuple(replace(lift, wait_s=wait) for lift, wait in pairs))


def _each(plan: LiftPlan, change: Callable[[Pour], Pour]) -> LiftPlan:
    lifts: list[Lift] = []
    for lift in plan.lifts:
        pours = tuple(change(pour) for pour in lift.pours)
        lifts.append(replace(lift, pours=pours))
    return replace(plan, lifts=tuple(lifts))


def _put(checks: tuple[Check, ...], new: Check) -> tuple[Check, ...]:
    """``new`` in place of the check of its name, or at the end."""
    if any(check.name == new.name for check in checks):
        return tuple(new if check.name == new.name else check for check in checks)
    return (*checks, new)


def checked(name: str, value: float, limit: float, unit: str, source: str, remedy: str) -> Check:
    """A check with its verdict; unknown where either is not a number."""
    return Check(name, value, limit, unit, verdict(value, limit), source, remedy)


def _risen(pour: Pour, rise: RiseHistory, rules: HeatRules) -> Pour:
    old = next(check for check in pour.checks if check.name == names.PRESSURE)
    before = pour.peak_pressure_pa
    value = max(before.nominal, rise.peak_pa)
    pressure = Range(min(before.low, value), value, max(before.high, value))
    held = math.isinf(old.limit)
    push = replace(old, value=value) if held else checked(old.name, value, old.limit, "Pa", old.source, old.remedy)
    empty = sum(void.volume_m3 for void in rise.voids)
    worst = max(rise.voids, key=lambda void: void.volume_m3, default=None)
    short = checked(
        names.SHORT,
        empty,
        rules.void_share * pour.volume_m3,
        "m^3",
        f"{JUDGED}: {rules.void_share:.1%} of the pour left empty",
        "" if worst is None else _void_remedy(worst.reason),
    )
    return replace(pour, rise=rise, peak_pressure_pa=pressure, checks=_put(_put(pour.checks, push), short))


def _void_remedy(reason: str) -> str:
    return {
        "air under a level ceiling": "a vent there, or the tilt that the plan gives",
        "trapped air": "a vent at the top of that space",
        "air leaves too slowly": "a larger vent, or one more, at the top of that space",
        "too little foam": "more foam in this pour",
        "no way for the foam": "a hole to pour that space through",
    }.get(reason, "a shorter lift, slower foam (cooler parts), or a hole beyond the narrow place to pour through")


def _heated(
    pour: Pour, heat: HeatHistory, foam: FoamAtShop, material: SkinMaterial, limits: ShopLimits, rules: HeatRules
) -> Pour:
    grade = foam.grade
    checks = pour.checks
    for name, value in ((names.PEAK, heat.peak_k.nominal), (names.EMERGENCY, heat.peak_k.high)):
        old = next(check for check in pour.checks if check.name == name)
        new = checked(name, value, old.limit, "K", old.source, old.remedy)
        checks = _put(checks, until_measured(new, foam) if name == names.EMERGENCY else new)
    checks = _put(checks, _landing(pour, heat, foam, limits, rules))
    checks = _put(
        checks,
        checked(
            names.SCORCH,
            heat.hot_s[0][1],
            rules.scorch_s,
            "s",
            f"{JUDGED}: hottest point above {grade.caution_k - ZERO_CELSIUS_K:.0f} °C over the whole job, likely heat",
            "thinner lifts, cooler liquids, a cooler shop, or a measured rise",
        ),
    )
    cited = material.cited.get("heat_limit_k")
    if not math.isnan(heat.skin_k.nominal):
        checks = _put(
            checks,
            checked(
                names.SKIN,
                heat.skin_k.high,
                material.heat_limit_k,
                "K",
                f"{cited.words() if cited is not None else 'unknown'}; at the 95 % end of the heat",
                "thinner lifts, a cooler grade, or cool the skin from outside (wet cloth, fan)",
            ),
        )
    return replace(pour, heat=heat, peak_k=heat.peak_k, checks=checks)


def _landing(pour: Pour, heat: HeatHistory, foam: FoamAtShop, limits: ShopLimits, rules: HeatRules) -> Check:
    """What the next lift lands on when the wait is over; or, where the job asks for it, the core under it."""
    remedy = "a longer wait, or a cooler shop"
    old = next(check for check in pour.checks if check.name == names.SURFACE_UNDER)
    if not heat.wait_governed_by:  # nothing lands on the last lift
        return replace(old, source=f"{old.source}, nothing lands on the last lift")
    said = f"{surface_under_words(limits)}; hottest point the next lift lands on"
    face = checked(names.SURFACE_UNDER, heat.face_k, surface_under_limit_k(foam, limits), "K", said, remedy)
    if face.verdict == Verdict.UNKNOWN:  # it lands on no foam
        face = replace(face, value=heat.core_k, limit=max(face.limit, heat.core_k), verdict=Verdict.OK)
    asked = [held for held in (rules.centre_k, _share_k(foam, rules)) if held is not None]
    if heat.wait_met or not asked or face.verdict == "over":
        return face
    words = f"{Standing.JOB.value} (heat): hottest core under the next lift after the longest wait"
    return checked(names.SURFACE_UNDER, heat.core_k, min(asked), "K", words, remedy)


def _share_k(foam: FoamAtShop, rules: HeatRules) -> float | None:
    if rules.centre_share is None:
        return None
    return foam.conditions.air_k + rules.centre_share * foam.rise_k.nominal


def rise_asks(plan: LiftPlan, share: float = SHRINK_RISE) -> tuple[Tighter, ...]:
    """Shorter lifts where foam gels on its way, or where an open pour presses harder than the panel near it stands."""
    asks = []
    for lift in plan.lifts:
        for pour in lift.pours:
            if pour.rise is None:
                continue
            gelled = [void for void in pour.rise.voids if void.reason == "gelled on the way"]
            high = max((void.top_m for void in gelled), default=0.0)
            if gelled:
                litres = sum(void.volume_m3 for void in gelled) * 1e3
                words = f"foam gels before it has passed the narrow place, {litres:.2g} L would stay empty"
                asks.append(_shorter(pour, share, names.SHORT, words, max(pour.top_m, high)))
            push = next(check for check in pour.checks if check.name == names.PRESSURE)
            by_rise = pour.rise.peak_pa > pour.rise.closed_pressure_pa
            if push.verdict == "over" and by_rise and not pour.closes:
                words = f"rising foam would press with {pour.rise.peak_pa / 1e3:.3g} kPa"
                asks.append(_shorter(pour, share, names.PRESSURE, words, pour.top_m))
    return tuple(asks)


def heat_asks(plan: LiftPlan, rules: HeatRules) -> tuple[Tighter, ...]:
    """Shorter lifts where the skin gets too warm, or the core stays hot too long at the likely heat or its 95 % end."""
    asks = []
    for lift in plan.lifts:
        for pour in lift.pours:
            over = [
                n for n in (names.SKIN, names.SCORCH) if any(c.name == n and c.verdict == "over" for c in pour.checks)
            ]
            if not over and pour.heat is not None and pour.heat.hot_s[0][2] > rules.scorch_high_s:
                over = [names.SCORCH]
            for name in over:
                words = f"{name} would be over its limit in a lift of {pour.rise_m * 1e3:.0f} mm"
                asks.append(_shorter(pour, SHRINK_HEAT, name, words, pour.top_m))
    return tuple(asks)


def _shorter(pour: Pour, share: float, name: str, words: str, top_m: float) -> Tighter:
    least = names.THIN_LIFT.value
    return Tighter(pour.bottom_m, top_m, max(least, share * pour.rise_m), name, words)


def excess(plan: LiftPlan, which: tuple[str, ...] | None = None, but: tuple[str, ...] = ()) -> float:
    """How far a division is over the named checks, or all: sum of value over limit, less one, over its pours.

    Those of ``but`` are not counted.
    """
    total = 0.0
    for lift in plan.lifts:
        for pour in lift.pours:
            for check in pour.checks:
                counts = (which is None or check.name in which) and check.name not in but
            if counts and check.verdict == "over":
                total += check.value / check.limit - 1 if check.limit > 0 else 1.0
    return total


def heat_excess(plan: LiftPlan, rules: HeatRules) -> float:
    """The same for staged heat: its checks, and time above caution at the 95 % end of the heat."""
    pours = [pour for lift in plan.lifts for pour in lift.pours]
    high = [pour.heat.hot_s[0][2] for pour in pours if pour.heat is not None]
    beyond = sum(max(0.0, seconds / max(rules.scorch_high_s, 60.0) - 1) for seconds in high)
    return excess(plan, (names.SKIN, names.SCORCH)) + beyond


def resized(vents: tuple[Vent, ...], pours: list[Pour], limits: ShopLimits, rise_s: float) -> tuple[Vent, ...]:
    """Vents with the air that the computed rise drives out, and holes that pass it."""
    out = []
    for vent in vents:
        mine = [p for p in pours if p.rise is not None and any(v.name == vent.name for v in p.vents)]
        # How much faster than its mean the foam grows, in place of the formula's peak over mean.
        peak = max((p.rise.fill_m3_s * rise_s / p.volume_m3 for p in mine if p.rise and p.volume_m3 > 0), default=0.0)
        air = vent.air_m3_s * peak / names.PEAK_FLOW.value if peak else vent.air_m3_s
        for pour in mine:
            if pour.rise is not None:
                air = max([air, *(f.air_m3_s for f in pour.rise.vents if f.name == vent.name)])
        hole, count = (vent.hole_m, vent.holes) if vent.way != "drilled" else holes_for(air, vent.width_m, limits)
        out.append(replace(vent, air_m3_s=air, hole_m=hole, holes=count, closed_air_m3_s=vent.air_m3_s))
    return tuple(out)


def with_vents(plan: LiftPlan, vents: tuple[Vent, ...]) -> LiftPlan:
    """The division with other vents of the same names."""
    by_name = {vent.name: vent for vent in vents}
    changed = _each(plan, lambda pour: replace(pour, vents=tuple(by_name[v.name] for v in pour.vents)))
    return replace(changed, vents=vents)
