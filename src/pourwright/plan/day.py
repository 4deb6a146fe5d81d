"""What the search for the day is asked: the piece's heat, hands and limits in its own terms."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.day import Allowed, Heat, Question, Source, Weighs, Work
from pourwright.evaluation import own_nodes
from pourwright.foam import FoamAtShop
from pourwright.heat import SkinLayer, Surroundings
from pourwright.lifts import Tighter, batch_cap, judged, lift_cap, surface_under_limit_k
from pourwright.physics.heat import effusivity
from pourwright.physics.landing import warmed_thickness
from pourwright.plan.by_itself import past_stop_k
from pourwright.plan.case import Case
from pourwright.plan.heating import IN_PLACE, MARGIN, wall_m
from pourwright.plan.worth import as_cups_show

CELLS_SPARE = 0.97
"""Share of an allowed time at temperature that is searched for: its own cells may be off by so much; our judgement."""
DENSE_LAYER_M = 1.5e-3
"""A free surface sets as a layer of about so much, twice as dense as the foam; our judgement, no published source."""
PEAK_SPARE_K = 0.05
"""Below a hottest temperature that is searched for: its cells find the peak of a pour within 0.02 K of 4 mm ones."""
LEAST_ROOM_K = 0.5
"""Room under a hottest temperature from which a pour is held below it by waiting; our judgement."""
PAST_STOP_ROOM_K = 5.0
"""The same for the emergency temperature where foam passes the stop temperature by its own heat, and is not to be
poured as it is: about what liquid takes up from a face of 110 °C in a lift of 80 mm; our judgement."""
FACE_SPARE_K = 2.0
"""Below the hottest face that may be landed on that is searched for; our judgement."""


def question_of(case: Case, tighter: tuple[Tighter, ...]) -> Question:
    """The question of a job; ``tighter`` are thicknesses that other computed limits ask for between heights."""
    foam, job, graph, rules = case.foam, case.job, case.space.graph, case.rules
    thinner = tuple(ask for ask in tighter if not ask.own)
    _, placed_s = case.history.heat.from_share(IN_PLACE)
    work = _work(case)
    return Question(
        cavity=case.space.cavity,
        graph=graph,
        source=_source(case),
        skin=_layer(case),
        air=Surroundings(foam.conditions.air_k, rules.outside_film_w_m2k, rules.inside_film_w_m2k),
        work=work,
        allowed=Allowed(
            CELLS_SPARE * rules.scorch_s / 3600.0,
            job.day.share,
            job.day.short_s + placed_s,  # liquid may cover the face under it from its start on
            CELLS_SPARE * MARGIN * rules.scorch_high_s / 3600.0,
            hottest_k(foam),
            surface_under_limit_k(foam, case.limits) - FACE_SPARE_K,
        ),
        least_m3=job.day.least_mix_m3 / work.liquid_share,
        stray_m3=case.limits.least_pour_m3,
        spill_m=case.limits.spill_m,
        weighs=Weighs(
            foam.open_density_kg_m3.nominal,
            foam.closed_density_kg_m3.nominal,
            DENSE_LAYER_M * foam.open_density_kg_m3.nominal,
        ),
        thin_m=judged.THIN_LIFT.value,
        tall_m=_tall(case, tuple(ask for ask in thinner if not math.isfinite(ask.from_m))),
        apart=tuple(_apart(graph, ask) for ask in thinner if math.isfinite(ask.from_m)),
        own=own_nodes(tighter),
        aim=job.day.aim,
        pours=job.day.pours,
        measured=tuple((words, Heat(one.rise_k.nominal, one.rise_k.high)) for words, one in as_cups_show(foam)),
    )


def _source(case: Case) -> Source:
    """The foam as a source of heat."""
    foam, grade = case.foam, case.foam.grade
    later, _ = case.history.heat.from_share(IN_PLACE)
    return Source(
        heat=Heat(foam.rise_k.nominal, foam.rise_k.high),
        start_k=foam.conditions.parts_k,
        density_kg_m3=foam.open_density_kg_m3.nominal,
        specific_heat_j_kgk=grade.specific_heat_j_kgk,
        conductivity_w_mk=grade.conductivity_hot_w_mk,
        curve=later,
        limit_k=grade.caution_k,
        landing_m=_landing_m(foam),
        packed=foam.closed_density_kg_m3.nominal / foam.open_density_kg_m3.nominal,
    )


def _layer(case: Case) -> SkinLayer:
    """The skin as heat passes it."""
    material = case.space.skin.material
    return SkinLayer(
        thickness_m=wall_m(case.space.skin, case.space.cavity),
        density_kg_m3=material.density_kg_m3,
        specific_heat_j_kgk=material.specific_heat_j_kgk,
        conductivity_w_mk=material.conductivity_w_mk,
        start_k=case.foam.conditions.skin_k,
    )


def _work(case: Case) -> Work:
    """What hands can do."""
    foam, limits = case.foam, case.limits
    densest = max(foam.open_density_kg_m3.nominal, foam.closed_density_kg_m3.nominal)
    return Work(
        hands=limits.hands,
        mix_s=limits.mix_s,
        between_s=case.rules.between_s,
        pour_rate_m3_s=limits.pour_rate_m3_s,
        batch_m3=batch_cap(foam, limits).volume_m3,
        liquid_share=densest / foam.liquid_density_kg_m3,
        shortest_wait_s=case.rules.shortest_wait_s,
        price_s=case.job.day.price_s,
    )


def hottest_k(foam: FoamAtShop) -> float:
    """Hottest that a point may get at the likely rise [K], for the stop and the emergency temperature both.

    The second counts at the high end of the rise: the field is linear in it, so that is a lower temperature at the
    likely one. What a pour reaches by itself no wait changes: such a limit is left out; inf where both are. Where it is
    the stop temperature (`by_itself` tells so), no wait is made longer for the last kelvins below the other either.
    """
    grade, base, rise = foam.grade, foam.conditions.parts_k, foam.rise_k
    at_high = base + (grade.emergency_k - base) * rise.nominal / rise.high
    out = math.inf
    least = PAST_STOP_ROOM_K if past_stop_k(foam) > 0 else LEAST_ROOM_K
    for limit in (grade.stop_k, at_high):
        room = limit - base - rise.nominal
        if room >= least:
            out = min(out, limit - PEAK_SPARE_K)
    return out


def _landing_m(foam: FoamAtShop) -> float:
    """Foam so thick takes up all of the excess of the face that it lands on before it creams."""
    grade = foam.grade
    density, heat_j_kgk = foam.open_density_kg_m3.nominal, grade.specific_heat_j_kgk
    below = effusivity(grade.conductivity_hot_w_mk, density, heat_j_kgk)
    return warmed_thickness(below, foam.cream_s, density * heat_j_kgk)


def _tall(case: Case, tighter: tuple[Tighter, ...]) -> np.ndarray:
    """Thickness (nodes,) that a pour through each node must keep; never less than one level."""
    graph, cap = case.space.graph, lift_cap(case.foam, case.limits)
    tall = np.full(len(graph.node_level), math.inf if cap.judged else cap.thickness_m)
    low, high = graph.level_m[graph.node_level], graph.level_m[graph.node_level + 1]
    for ask in tighter:
        inside = (low < ask.top_m - 1e-9) & (high > ask.bottom_m + 1e-9)
        mine = list(ask.nodes) or np.flatnonzero(inside)
        tall[mine] = np.minimum(tall[mine], max(ask.thickness_m, float(graph.level_m[1] - graph.level_m[0])))
    return tall


def _apart(graph: LevelGraph, ask: Tighter) -> tuple[int, int, tuple[int, ...]]:
    """Levels: a pour that starts below the first may reach up to the second; of limbs with these nodes, (): of all."""
    start = int(np.searchsorted(graph.level_m, ask.from_m - 1e-9))
    top = int(np.searchsorted(graph.level_m, ask.bottom_m + ask.thickness_m + 1e-9)) - 1
    return start, top, ask.nodes
