"""A last look over the whole plan: checks that belong to no single pour, and the warnings in one list."""

from __future__ import annotations

import math

from pourwright.cavity import Cavity
from pourwright.foam import FoamAtShop
from pourwright.lifts import Check, LiftPlan, Measures, judged
from pourwright.physics.warm_skin import inner_face_peak_over_air
from pourwright.plan.heating import wall_m
from pourwright.plan.judge import checked
from pourwright.plan.model import Job
from pourwright.plan.probe import probe_words
from pourwright.plan.refine import Computed
from pourwright.plan.skin_bulge import skin_warnings
from pourwright.plan.temperature import temperature_words
from pourwright.shell import Skin


def whole_checks(job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop, lift_plan: LiftPlan) -> tuple[Check, ...]:
    """Checks of the piece as a whole: the hottest point of the skin over the job; formula without staged heat."""
    if not lift_plan.lifts:
        return ()  # all is poured
    peaks = [
        pour.heat.skin_k.high
        for lift in lift_plan.lifts
        for pour in lift.pours
        if pour.heat is not None and not math.isnan(pour.heat.skin_k.nominal)
    ]
    words = _words(skin, "heat_limit_k")
    value = max(peaks, default=math.nan)
    if not peaks:
        value = _flat_skin_k(job, skin, cavity, foam)
        words += "; formula of a flat skin on thick foam, at the 95 % end of its heat: where lifts meet and between "
        words += "two foams it gets hotter"
    remedy = "hold a thermometer to the outside of the skin during the first lift and stop if it nears the limit"
    return (checked(judged.SKIN, value, skin.material.heat_limit_k, "K", words, remedy),)


def _flat_skin_k(job: Job, skin: Skin, cavity: Cavity, foam: FoamAtShop) -> float:
    """How hot a flat skin gets on thick foam at the 95 % end of its heat, its wall thinnest; nan without a wall."""
    wall = min((band.thickness_m for band in skin.bands), default=wall_m(skin, cavity))
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
) -> tuple[str, ...]:
    """Every warning of every stage, in the order of the work, each once."""
    lines = [f.words for f in skin.findings if f.severity == "warning"]
    if cavity.volume_uncertainty_m3 > 0.05 * cavity.volume_m3:
        share = cavity.volume_uncertainty_m3 / cavity.volume_m3
        lines.append(
            f"The cavity is known to {share:.0%} only: measure the wall in several places, or give a smaller cell."
        )
    lines += foam.notes
    if computed.history.note:
        lines.append(computed.history.note)
    lines += temperature_words(job, computed.history)
    lines += skin_warnings(lift_plan)
    lines += probe_words(foam, lift_plan, job.heat)
    lines += _heat_words(lift_plan)
    lines += _rise_words(lift_plan) if job.heat.computed else []
    if lift_plan.unreached_m3 > 0.001 * cavity.volume_m3:
        share = lift_plan.unreached_m3 / cavity.volume_m3
        lines.append(f"{share:.1%} of the cavity cannot be reached straight from above through any port.")
    return tuple(dict.fromkeys(lines))


def _words(skin: Skin, name: str) -> str:
    cited = skin.material.cited.get(name)
    return cited.words() if cited is not None else "unknown"


def _heat_words(lift_plan: LiftPlan) -> list[str]:
    lines = []
    hot = [pour for lift in lift_plan.lifts for pour in lift.pours if pour.heat is not None]
    late = [p for p in hot if p.heat and not p.heat.wait_met]
    if late:
        lines.append(f"After the longest wait allowed, lift {late[0].lift} is still too hot to pour on.")
    return lines


def _rise_words(lift_plan: LiftPlan) -> list[str]:
    lines = []
    lost = [pour.name for lift in lift_plan.lifts for pour in lift.pours if pour.rise is None]
    if lost:
        which = f"pour{'s' if len(lost) > 1 else ''} {', '.join(lost)}"
        lines.append(f"No rise could be computed for {which}; the pressure there is the formula's.")
    for lift in lift_plan.lifts:
        for pour in lift.pours:
            if pour.rise is None:
                continue
            for void in pour.rise.voids:
                neck = "" if math.isnan(void.neck_m) else f"; narrowest place on the way {void.neck_m * 1e3:.0f} mm"
                lines.append(
                    f"Pour {pour.name} leaves {void.volume_m3 * 1e3:.3g} L empty, {_place(void.measures)} "
                    f"({void.reason}{neck})."
                )
            if pour.rise.below_m3 > 0.02 * pour.volume_m3:
                lines.append(
                    f"Pour {pour.name} ends {pour.rise.below_m3 * 1e3:.2g} L short of its level in a limb that its "
                    "foam climbs more slowly, and rises over it elsewhere. The next lift needs more foam there and "
                    "less in the other: measure the heights before you mix it."
                )
            if pour.closes and pour.rise.packing < pour.rise.packing_needed:
                lines.append(
                    f"Pour {pour.name} leaves nothing empty when it is packed to {pour.rise.packing_needed:.2f} times "
                    f"its free-rise density, and gets {pour.rise.packing:.2f} times: mix more."
                )
    return lines


def _place(at: Measures) -> str:
    return f"{at.from_base_m:.2f} m up, {at.from_left_m:.2f} m from the left, {at.from_front_m:.2f} m from the front"
