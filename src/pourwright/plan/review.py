"""A last look over the whole plan: checks that belong to no single pour, and the warnings in one list."""

from __future__ import annotations

import math

from pourwright.cavity import Cavity
from pourwright.evaluation import RiseHistory
from pourwright.findings import Code, Finding, Severity, Verdict, finding
from pourwright.foam import FoamAtShop
from pourwright.lifts import Check, EvenBands, Pour, judged
from pourwright.physics.warm_skin import inner_face_peak_over_air
from pourwright.plan.by_itself import hot_by_itself
from pourwright.plan.heating import wall_m
from pourwright.plan.judge import REMEDY, checked
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.model import Job
from pourwright.plan.probe import probe_required
from pourwright.plan.refine import Computed
from pourwright.plan.temperature import batch_too_large
from pourwright.shell import Skin


def whole_checks(job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, lift_plan: LiftPlan) -> tuple[Check, ...]:
    """Checks of the piece as a whole: the hottest point of the skin over the job; formula without staged heat."""
    if not lift_plan.lifts:
        return ()  # all is poured
    heats = lift_plan.heats.values()
    peaks = [heat.skin_k.high for heat in heats if not math.isnan(heat.skin_k.nominal)]
    words = _words(skin, "heat_limit_k")
    value = max(peaks, default=math.nan)
    if not peaks:
        value = flat_skin_k(job, skin, cavity, foam)
        words += "; formula of a flat skin on thick foam, at the 95 % end of its heat: where lifts meet and between "
        words += "two foams it gets hotter"
    remedy = "hold a thermometer to the outside of the skin during the first lift and stop if it nears the limit"
    return (checked(judged.SKIN, value, skin.material.heat_limit_k, "K", words, remedy),)


def flat_skin_k(job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop) -> float:
    """How hot a flat skin gets on thick foam at the 95 % end of its heat, its wall thinnest; nan without a wall."""
    wall = min(skin.walls_m, default=wall_m(skin, cavity))
    if not wall > 0:
        return math.nan
    grade, material, day = foam.grade, skin.material, foam.conditions
    effusivity = math.sqrt(grade.conductivity_hot_w_mk * foam.closed_density_kg_m3.nominal * grade.specific_heat_j_kgk)
    return day.air_k + inner_face_peak_over_air(
        day.parts_k + foam.rise_k.high - day.air_k,
        day.skin_k - day.air_k,
        effusivity,
        material.density_kg_m3 * material.specific_heat_j_kgk * wall,
        job.heat.outside_film_w_m2k,
        0.5 * wall / material.conductivity_w_mk,
        max(foam.rise_end_s - foam.cream_s, 1.0),
    )


def whole_warnings(
    job: Job,
    skin: Skin,
    cavity: Cavity,
    foam: FoamAtShop,
    lift_plan: LiftPlan,
    computed: Computed,
) -> tuple[Finding, ...]:
    """Every warning of every stage, in the order of the work, each once."""
    found = [f.found for f in skin.findings if f.severity == Severity.WARNING]
    if cavity.volume_uncertainty_m3 > 0.05 * cavity.volume_m3:
        found.append(finding(Code.CAVITY_LOOSELY_KNOWN, share=cavity.volume_uncertainty_m3 / cavity.volume_m3))
    found += foam.notes
    found += computed.history.notes
    found += batch_too_large(job, computed.history) if job.machine is None else ()
    found += skin_warnings(lift_plan)
    found += probe_required(foam, lift_plan, job.heat)
    found += hot_by_itself(foam, lift_plan.lifts)
    found += _heat_found(lift_plan)
    found += _rise_found(lift_plan) if job.heat.computed else []
    if lift_plan.unreached_m3 > 0.001 * cavity.volume_m3:
        found.append(finding(Code.UNREACHED, share=lift_plan.unreached_m3 / cavity.volume_m3))
    return tuple(dict.fromkeys(found))


def skin_warnings(plan: LiftPlan) -> list[Finding]:
    """Findings of the division, those on pressure by what judges it now."""
    lifts = [(lift, plan.bulges[lift.number]) for lift in plan.lifts if lift.number in plan.bulges]
    if not lifts:
        return list(plan.warnings)
    found = [one for one in plan.warnings if not _by_panels(one)]
    for lift, bulge in lifts:
        pushes = [(pour, check) for pour in lift.pours for check in pour.checks if check.name == judged.PRESSURE]
        by = {verdict: [pour.name for pour, check in pushes if check.verdict == verdict] for verdict in Verdict}
        close = [
            pour.name
            for pour, check in pushes
            if check.verdict == Verdict.OK and pour.closes and pour.peak_pressure_pa.high > check.limit
        ]
        if by[Verdict.OVER]:
            named = by[Verdict.OVER]
            found.append(finding(Code.BULGES, *named, thinner_m=bulge.thinner_m, words=bulge.words, remedy=REMEDY))
        if bulge.shores:
            shores = tuple(shore.name for shore in bulge.shores)
            found.append(finding(Code.SET_SHORES, str(lift.number), shores=shores, thinner_m=bulge.thinner_m))
        if bulge.hold_down_n > 0:
            found.append(finding(Code.HOLD_DOWN, str(lift.number), force_n=bulge.hold_down_n))
        if by[Verdict.UNKNOWN]:
            found.append(finding(Code.SKIN_UNKNOWN, *by[Verdict.UNKNOWN], words=bulge.words))
        if close:
            found.append(finding(Code.SKIN_HEATS_AFTER_SETTING, *close))
    return found


def _by_panels(found: Finding) -> bool:
    """Whether the panels' formula said it of the pressure on the skin."""
    if found.code == Code.OVER_LIMIT:
        return found["check"] == judged.PRESSURE
    return found.code in (Code.PANEL_UNKNOWN, Code.HEATS_AFTER_SETTING)


def _words(skin: Skin, name: str) -> str:
    cited = skin.material.cited.get(name)
    return cited.words() if cited is not None else "unknown"


def _heat_found(lift_plan: LiftPlan) -> list[Finding]:
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    late = [pour for pour in pours if pour.name in lift_plan.heats and not lift_plan.heats[pour.name].wait_met]
    found = [finding(Code.STILL_HOT, str(late[0].lift))] if late else []
    hinders = None if isinstance(lift_plan.day, EvenBands) else lift_plan.day.hinders
    checks = [check for pour in pours for check in pour.checks if check.name in (judged.PEAK, judged.SCORCH)]
    over = any(check.verdict == Verdict.OVER for check in checks)
    if hinders is not None and not over:  # what is over says so itself
        values = {"low_m": hinders.low_m, "high_m": hinders.high_m, "used": hinders.used}
        found.append(finding(Code.MARGIN_NOT_KEPT, hinders.limb, **values))
    return found


def _ends_short(pour: Pour, rise: RiseHistory) -> Finding:
    missing_kg = rise.below_m3 * pour.foam_kg.nominal / pour.volume_m3
    over = min(rise.above_kg / missing_kg, 1.0)  # share of it that rose over the level elsewhere
    return finding(Code.ENDS_SHORT, pour.name, below_m3=rise.below_m3, missing_kg=missing_kg, over=over)


def _rise_found(lift_plan: LiftPlan) -> list[Finding]:
    pours = [pour for lift in lift_plan.lifts for pour in lift.pours]
    lost = [pour.name for pour in pours if pour.name not in lift_plan.rises]
    found = [finding(Code.NO_RISE, *lost)] if lost else []
    for pour in pours:
        if pour.name not in lift_plan.rises:
            continue
        rise = lift_plan.rises[pour.name]
        for void in rise.voids:
            found.append(
                finding(
                    Code.LEAVES_EMPTY,
                    pour.name,
                    volume_m3=void.volume_m3,
                    up_m=void.measures.from_base_m,
                    left_m=void.measures.from_left_m,
                    front_m=void.measures.from_front_m,
                    reason=void.reason,
                    neck_m=void.neck_m,
                )
            )
        if rise.below_m3 > 0.02 * pour.volume_m3:
            found.append(_ends_short(pour, rise))
        if pour.closes and rise.packing < rise.packing_needed:
            found.append(finding(Code.PACK_MORE, pour.name, needed=rise.packing_needed, packing=rise.packing))
    return found
