"""A division judged by what was computed for it: checks, thicknesses that they ask for, vents that pass the air."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from pourwright.evaluation import Evaluation, HeatHistory, RiseHistory, SkinBulge
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import (
    Check,
    Division,
    Lift,
    Pour,
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
from pourwright.plan.case import Case
from pourwright.plan.rules import HeatRules
from pourwright.ranges import Range
from pourwright.rise import GELLED
from pourwright.sources import Standing

JUDGED = Standing.JUDGEMENT.value
SHRINK_RISE, SHRINK_HEAT, SHRINK_FLOW = 0.6, 0.7, 0.95
"""What a lift over a computed limit is shrunk to in the next division; our judgement, a step of the search only."""
REMEDY = "support the skin from outside there (mould, cradle), a thinner lift, or pack less"


def lifts_judged(division: Division, found: Evaluation, case: Case) -> tuple[Lift, ...]:
    """The lifts of a division with every check judged by what was computed for it; by formulas where nothing was."""
    return tuple(_lift_judged(lift, found, case) for lift in division.lifts)


def _lift_judged(lift: Lift, found: Evaluation, case: Case) -> Lift:
    def judged(pour: Pour) -> Pour:
        if pour.name in found.rises:
            pour = _risen(pour, found.rises[pour.name], case.rules)
        if lift.number in found.bulges:
            pour = pushed(pour, found.bulges[lift.number])
        if pour.name in found.heats:
            pour = _heated(pour, found.heats[pour.name], case)
        return pour

    wait_s = found.waits_s.get(lift.number, lift.wait_s)
    return replace(lift, pours=tuple(judged(pour) for pour in lift.pours), wait_s=wait_s)


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
    return replace(pour, peak_pressure_pa=pressure, checks=_put(_put(pour.checks, push), short))


def _void_remedy(reason: str) -> str:
    return {
        "air under a level ceiling": "a vent there, or the tilt that the plan gives",
        "trapped air": "a vent at the top of that space",
        "air leaves too slowly": "a larger vent, or one more, at the top of that space",
        "too little foam": "more foam in this pour",
        "no way for the foam": "a hole to pour that space through",
    }.get(reason, "a shorter lift, slower foam (cooler parts), or a hole beyond the narrow place to pour through")


COOLER = "thinner lifts, cooler liquids, a cooler shop, or a measured rise"
COOLER_SHOT = "cooler liquids, a grade that warms itself less, cores in the cavity, or a measured rise"
"""What helps a core that is hot for too long; one shot is not cut into lifts."""


def _heated(pour: Pour, heat: HeatHistory, case: Case) -> Pour:
    foam, limits, rules, material = case.foam, case.limits, case.rules, case.space.skin.material
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
            COOLER_SHOT if case.job.machine is not None else COOLER,
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
    return replace(pour, peak_k=heat.peak_k, checks=checks)


def pushed(pour: Pour, bulge: SkinBulge) -> Pour:
    """A pour whose pressure is judged by the finite elements; where they found no answer the formula decides."""
    if pour.poured:
        return pour
    value = pour.peak_pressure_pa.nominal
    if bulge.verdict == "unknown" or math.isnan(bulge.stands_pa):
        limit, source = bulge.closed_limit_pa, f"formula, as finite elements gave no answer ({bulge.words})"
        source += f": {bulge.closed_words}" if bulge.closed_words else ""
        return replace(pour, checks=_pressed(pour.checks, value, limit, verdict(value, limit), source, REMEDY))
    limit = bulge.stands_pa
    found = verdict(value, limit)
    found = Verdict.SHORED if found == Verdict.OVER and bulge.verdict == Verdict.SHORED else found
    remedy = REMEDY
    if bulge.shores:
        remedy = f"set up the shores of this lift before it; with them the skin bulges {bulge.propped_m * 1e3:.2g} mm"
    return replace(pour, checks=_pressed(pour.checks, value, limit, found, _source(bulge), remedy))


def _source(bulge: SkinBulge) -> str:
    said = f"finite elements, {bulge.triangles} triangles: "
    if bulge.beyond:
        return (
            f"{said}how far the skin bulges at {bulge.pressure_pa / 1e3:.3g} kPa is not computable ({bulge.beyond}); "
            f"the limit is the pressure at which its bulge is {bulge.allowed_m * 1e3:.2g} mm, or its stress "
            f"{bulge.stress_limit_pa / 1e6:.3g} MPa, as allowed"
        )
    stretch = ", its stretch counted" if bulge.large else ""
    return (
        f"{said}at {bulge.pressure_pa / 1e3:.3g} kPa the skin bulges "
        f"at most {bulge.outward_m * 1e3:.2g} mm{stretch}, {bulge.allowed_m * 1e3:.2g} mm are allowed at its worst "
        f"place, stress {bulge.stress_pa / 1e6:.3g} of {bulge.stress_limit_pa / 1e6:.3g} MPa; the limit is the "
        "pressure at which the first of both is reached"
    )


def _pressed(
    checks: tuple[Check, ...], value: float, limit: float, found: Verdict, source: str, remedy: str
) -> tuple[Check, ...]:
    """The checks with that of the pressure on the skin judged anew."""

    def judged(check: Check) -> Check:
        return replace(check, value=value, limit=limit, verdict=found, source=source, remedy=remedy)

    return tuple(judged(check) if check.name == names.PRESSURE else check for check in checks)


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


def _pours(lifts: Sequence[Lift]) -> list[Pour]:
    return [pour for lift in lifts for pour in lift.pours]


def rise_asks(
    lifts: Sequence[Lift], rises: Mapping[str, RiseHistory], share: float = SHRINK_RISE, but: Collection[int] = ()
) -> tuple[Tighter, ...]:
    """Shorter lifts where foam gels on its way, or where an open pour presses harder than the panel near it stands.

    Not for what stays empty at nodes of ``but``.
    """
    asks = []
    for pour in _pours(lifts):
        if pour.name not in rises:
            continue
        rise = rises[pour.name]
        gelled = [void for void in rise.voids if void.reason == GELLED and void.node not in but]
        high = max((void.top_m for void in gelled), default=0.0)
        if gelled:
            litres = sum(void.volume_m3 for void in gelled) * 1e3
            words = f"foam gels before it has passed the narrow place, {litres:.2g} L would stay empty"
            asks.append(_shorter(pour, share, names.SHORT, words, max(pour.top_m, high)))
        push = next(check for check in pour.checks if check.name == names.PRESSURE)
        by_rise = rise.peak_pa > rise.closed_pressure_pa
        if push.verdict == "over" and by_rise and not pour.closes:
            words = f"rising foam would press with {rise.peak_pa / 1e3:.3g} kPa"
            asks.append(_shorter(pour, share, names.PRESSURE, words, pour.top_m))
    return tuple(asks)


def flow_asks(lifts: Sequence[Lift]) -> tuple[Tighter, ...]:
    """Shorter lifts where liquid would run too far from where it lands: each has a hole of its own, and less floor."""
    asks = []
    for pour in _pours(lifts):
        far = next(check for check in pour.checks if check.name == names.FLOW_DISTANCE)
        if far.verdict == "over":
            share = max(SHRINK_RISE, SHRINK_FLOW * far.limit / far.value)
            words = f"liquid would run {far.value:.3f} m, {far.limit:.3g} m are allowed"
            asks.append(_shorter(pour, share, names.FLOW_DISTANCE, words, pour.top_m))
    return tuple(asks)


def heat_asks(lifts: Sequence[Lift], heats: Mapping[str, HeatHistory], rules: HeatRules) -> tuple[Tighter, ...]:
    """Shorter lifts where the skin gets too warm, or the core stays hot too long at the likely heat or its 95 % end."""
    asks = []
    for pour in _pours(lifts):
        over = [n for n in (names.SKIN, names.SCORCH) if any(c.name == n and c.verdict == "over" for c in pour.checks)]
        if not over and pour.name in heats and heats[pour.name].hot_s[0][2] > rules.scorch_high_s:
            over = [names.SCORCH]
        for name in over:
            words = f"{name} would be over its limit in a lift of {pour.rise_m * 1e3:.0f} mm"
            asks.append(_shorter(pour, SHRINK_HEAT, name, words, pour.top_m))
    return tuple(asks)


def _shorter(pour: Pour, share: float, name: str, words: str, top_m: float) -> Tighter:
    nodes = tuple(pour.nodes.tolist()) if pour.limb and top_m <= pour.top_m else ()
    return Tighter(pour.bottom_m, top_m, max(names.THIN_LIFT.value, share * pour.rise_m), name, words, nodes)


def excess(lifts: Sequence[Lift], which: tuple[str, ...] | None = None) -> float:
    """How far lifts are over the named checks, or all: sum of value over limit, less one, over their pours."""
    total = 0.0
    for pour in _pours(lifts):
        for check in pour.checks:
            if (which is None or check.name in which) and check.verdict == "over":
                total += check.value / check.limit - 1 if check.limit > 0 else 1.0
    return total


def heat_excess(lifts: Sequence[Lift], heats: Mapping[str, HeatHistory], rules: HeatRules) -> float:
    """The same for staged heat: its checks, and time above caution at the 95 % end of the heat."""
    high = [heats[pour.name].hot_s[0][2] for pour in _pours(lifts) if pour.name in heats]
    beyond = sum(max(0.0, seconds / max(rules.scorch_high_s, 60.0) - 1) for seconds in high)
    return excess(lifts, (names.SKIN, names.SCORCH)) + beyond


def resized(division: Division, rises: Mapping[str, RiseHistory], limits: ShopLimits, rise_s: float) -> Division:
    """The division with vents for the air that the computed rise drives out, and holes that pass it."""
    vents = {vent.name: _resized(vent, division, rises, limits, rise_s) for vent in division.vents}

    def vented(lift: Lift) -> Lift:
        pours = (replace(pour, vents=tuple(vents[v.name] for v in pour.vents)) for pour in lift.pours)
        return replace(lift, pours=tuple(pours))

    return replace(division, lifts=tuple(vented(lift) for lift in division.lifts), vents=tuple(vents.values()))


def _resized(
    vent: Vent, division: Division, rises: Mapping[str, RiseHistory], limits: ShopLimits, rise_s: float
) -> Vent:
    mine = [p for p in _pours(division.lifts) if p.name in rises and any(v.name == vent.name for v in p.vents)]
    # How much faster than its mean the foam grows, in place of the formula's peak over mean.
    peak = max((rises[p.name].fill_m3_s * rise_s / p.volume_m3 for p in mine if p.volume_m3 > 0), default=0.0)
    formula = vent.air_m3_s if math.isnan(vent.closed_air_m3_s) else vent.closed_air_m3_s  # computed before: not twice
    air = formula * peak / names.PEAK_FLOW.value if peak else vent.air_m3_s
    for pour in mine:
        air = max([air, *(flow.air_m3_s for flow in rises[pour.name].vents if flow.name == vent.name)])
    hole, count = (vent.hole_m, vent.holes) if vent.way != "drilled" else holes_for(air, vent.width_m, limits)
    return replace(vent, air_m3_s=air, hole_m=hole, holes=count, closed_air_m3_s=formula)
