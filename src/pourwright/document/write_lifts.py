"""From lifts, pours, ports and vents to their blocks of ``plan.json``."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING

from pourwright.document.model_lifts import (
    BatchDoc,
    BulgeDoc,
    CheckDoc,
    LandingDoc,
    LiftDoc,
    OneMoreDoc,
    PortDoc,
    PourDoc,
    ShoreDoc,
    TubeDoc,
    UnfilledDoc,
    VentDoc,
)
from pourwright.document.model_parts import MeasuresDoc
from pourwright.document.values import ZERO_CELSIUS_K, known, point, range_block
from pourwright.document.write_computed import heat_block, rise_block
from pourwright.lifts import (
    Check,
    Closing,
    Landing,
    Lift,
    Measures,
    OneMore,
    Port,
    Pour,
    SkinBulge,
    Unfilled,
    Vent,
    packing_of,
)
from pourwright.plan import first_mix
from pourwright.wording.status import limit_words

if TYPE_CHECKING:
    from pourwright.foam import FoamAtShop, Parts


def lift_block(lift: Lift, closings: Sequence[Closing], foam: FoamAtShop) -> LiftDoc:
    """A lift with its pours."""
    return LiftDoc(
        number=lift.number,
        bottom_m=lift.bottom_m,
        top_m=lift.top_m,
        volume_m3=lift.volume_m3,
        limit=lift.limit,
        limit_words=limit_words(lift),
        wait_s=known(lift.wait_s),
        wait_from=first_mix(lift),
        one_more=_one_more(lift.one_more) if lift.one_more is not None else None,
        pours=[pour_block(lift, pour, closings, foam) for pour in lift.pours],
        bulge=bulge_block(lift.bulge) if lift.bulge is not None else None,
    )


def bulge_block(bulge: SkinBulge) -> BulgeDoc:
    """The skin under a lift."""
    there = math.isfinite(bulge.used)
    return BulgeDoc(
        verdict=bulge.verdict,
        pressure_pa=known(bulge.pressure_pa),
        outward_m=known(bulge.outward_m),
        allowed_m=known(bulge.allowed_m),
        point_m=point(bulge.point_m) if there else None,
        measures=_measures(bulge.measures) if there else None,
        stress_pa=known(bulge.stress_pa),
        stress_limit_pa=known(bulge.stress_limit_pa),
        used=known(bulge.used),
        bulge_used=known(bulge.bulge_used),
        stands_pa=known(bulge.stands_pa),
        beyond=bulge.beyond,
        stretch_counted=bulge.large,
        shores=[
            ShoreDoc(
                name=shore.name,
                point_m=point(shore.point_m),
                normal=point(shore.normal),
                measures=_measures(shore.measures),
                force_n=shore.force_n,
                pad_m=shore.pad_m,
                board_m=None if shore.board_m is None else list(shore.board_m),
            )
            for shore in bulge.shores
        ],
        propped_m=known(bulge.propped_m),
        propped_pa=known(bulge.propped_pa),
        thinner_m=known(bulge.thinner_m),
        hold_down_n=bulge.hold_down_n,
        words=bulge.words,
        triangles=bulge.triangles,
        closed_limit_pa=known(bulge.closed_limit_pa),
        closed_words=bulge.closed_words,
    )


def _one_more(more: OneMore) -> OneMoreDoc:
    """What one level more would need."""
    check = more.check
    return OneMoreDoc(top_m=more.top_m, value=check.value, limit=check.limit, unit=check.unit)


def pour_block(lift: Lift, pour: Pour, closings: Sequence[Closing], foam: FoamAtShop) -> PourDoc:
    """A pour with its amounts, landings, vents and checks."""
    peak_c = range_block(pour.peak_k, offset=-ZERO_CELSIUS_K)
    pressure = range_block(pour.peak_pressure_pa)
    return PourDoc(
        name=pour.name,
        poured=pour.poured,
        bottom_m=pour.bottom_m,
        top_m=pour.top_m,
        volume_m3=pour.volume_m3,
        closes=bool(pour.closes),
        packing=known(packing_of(pour, foam)),
        foam_kg=pour.foam_kg.nominal,
        foam_kg_range=range_block(pour.foam_kg),
        part_a_l=pour.parts.a_m3 * 1e3,
        part_b_l=pour.parts.b_m3 * 1e3,
        part_a_kg=pour.parts.a_kg,
        part_b_kg=pour.parts.b_kg,
        together=list(pour.together),
        after=list(pour.after),
        batches=pour.batches,
        batch=_batch(pour.batch),
        pour_point_m=point(pour.landings[0].port.point_m) if pour.landings else None,
        landings=[_landing(landing) for landing in pour.landings],
        vents=[vent_block(vent, closings) for vent in pour.vents],
        rise_m=pour.rise_m,
        peak_temperature_c=peak_c.nominal,
        peak_temperature_c_range=peak_c,
        hot_h=known(pour.hot_hours),
        peak_pressure_pa=pressure.nominal,
        peak_pressure_pa_range=pressure,
        wait_s=None if pour.poured else known(lift.wait_s),
        checks=[check_block(check) for check in pour.checks],
        limb=pour.limb,
        start_s=None if pour.heat is None else known(pour.heat.start_s),
        dose_h=None if pour.heat is None else known(pour.heat.hot_s[0][1] / 3600.0),
        heat=heat_block(pour.heat, lift.wait_s) if pour.heat is not None else None,
        rise=rise_block(pour.rise) if pour.rise is not None else None,
        nodes=[int(node) for node in pour.nodes],
        shares=[float(share) for share in pour.shares],
    )


def port_block(port: Port, closings: Sequence[Closing]) -> PortDoc:
    """A port, with when it is closed."""
    closing = _closing(closings, port.name)
    return PortDoc(
        name=port.name,
        way=port.way,
        opening=port.opening,
        point_m=point(port.point_m),
        measures=_measures(port.measures),
        hole_m=port.hole_m,
        face=port.face,
        flange_m=port.flange_m,
        room_m=known(port.room_m),
        made=port.made,
        lowest_edge_m=closing.low_m if closing else None,
        closed_before=closing.before if closing and not closing.inside else None,
        closed_in=(closing.inside or None) if closing else None,
        closed_by_s=known(closing.by_s) if closing else None,
        foam_there_s=known(closing.foam_s) if closing else None,
        closing_force_n=known(closing.force_n.high) if closing else None,
    )


def vent_block(vent: Vent, closings: Sequence[Closing]) -> VentDoc:
    """A vent, with when it is closed."""
    closing = _closing(closings, vent.name)
    return VentDoc(
        name=vent.name,
        way=vent.way,
        opening=vent.opening,
        point_m=point(vent.point_m),
        measures=_measures(vent.measures),
        hole_m=vent.hole_m,
        holes=vent.holes,
        air_m3_s=known(vent.air_m3_s),
        persistence_m=vent.persistence_m,
        closed_air_m3_s=known(vent.closed_air_m3_s),
        made=vent.made,
        closed_before=closing.before if closing and not closing.inside else None,
        closed_in=(closing.inside or None) if closing else None,
        foam_there_s=known(closing.foam_s) if closing else None,
        closing_force_n=known(closing.force_n.high) if closing else None,
    )


def _closing(closings: Sequence[Closing], hole: str) -> Closing | None:
    return next((closing for closing in closings if closing.hole == hole), None)


def check_block(check: Check) -> CheckDoc:
    """A check."""
    return CheckDoc(
        name=check.name,
        value=known(check.value),
        limit=known(check.limit),
        unit=check.unit,
        verdict=check.verdict,
        source=check.source,
        remedy=check.remedy,
    )


def _landing(landing: Landing) -> LandingDoc:
    return LandingDoc(
        port=landing.port.name,
        point_m=point(landing.point_m),
        fall_m=landing.fall_m,
        flow_distance_m=landing.flow_distance_m,
        measures=_measures(landing.measures),
        kg=landing.kg,
        clearance_m=known(landing.clearance_m),
        tube=TubeDoc(**asdict(landing.tube)) if landing.tube is not None else None,
    )


def unfilled_block(space: Unfilled) -> UnfilledDoc:
    """A space that stays empty."""
    return UnfilledDoc(volume_m3=space.volume_m3, point_m=point(space.point_m), measures=_measures(space.measures))


def _measures(measures: Measures) -> MeasuresDoc:
    return MeasuresDoc(
        from_base_m=measures.from_base_m, from_left_m=measures.from_left_m, from_front_m=measures.from_front_m
    )


def _batch(parts: Parts) -> BatchDoc:
    return BatchDoc(part_a_l=parts.a_m3 * 1e3, part_b_l=parts.b_m3 * 1e3, part_a_kg=parts.a_kg, part_b_kg=parts.b_kg)
