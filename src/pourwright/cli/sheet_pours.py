"""The sheet that is on the bench, as the record knows it: its pours and its holes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from pourwright.physics.constants import ZERO_CELSIUS_K

if TYPE_CHECKING:
    import numpy as np

    from pourwright.document.model import PlanDocument
    from pourwright.document.model_lifts import LandingDoc, LiftDoc, PourDoc, VentDoc
    from pourwright.document.model_parts import MeasuresDoc, RangeDoc
    from pourwright.lifts import Landing, Measures, Port, Vent
    from pourwright.record import Expected, Hole, Planned, SheetPour


def sheet_pours(document: PlanDocument) -> tuple[SheetPour, ...]:
    """Every pour of a plan."""
    from pourwright.record import SheetPour

    ports = _ports(document)
    return tuple(
        SheetPour(
            name=pour.name,
            poured=pour.poured,
            planned=_planned(document, lift, pour),
            landings=tuple(_landing(one, ports) for one in pour.landings if one.port in ports),
            vents=tuple(_vent(one) for one in pour.vents),
            limit=lift.limit,
            limb=pour.limb or "",
        )
        for lift in document.lifts
        for pour in lift.pours
    )


def sheet_holes(document: PlanDocument, known: Sequence[Hole]) -> tuple[Hole, ...]:
    """Holes that were known, and those the sheet names besides: it has them made before the first pour."""
    from pourwright.record import Hole

    named = [
        Hole(name=p.name, point_m=p.point_m, way=p.way, opening=p.opening, hole_m=p.hole_m, sideways=p.sideways)
        for p in document.ports
    ]
    named += [
        Hole(name=v.name, point_m=v.point_m, way=v.way, opening=v.opening, hole_m=v.hole_m, holes=v.holes)
        for v in document.vents
    ]
    on_sheet = {hole.name: hole for hole in named}
    sized = [on_sheet.get(hole.name, hole) if hole.hole_m <= 0 else hole for hole in known]
    names = {hole.name for hole in known}
    return (*sized, *(hole for hole in named if hole.name not in names))


def _planned(document: PlanDocument, lift: LiftDoc, pour: PourDoc) -> Planned:
    from pourwright.record import Planned

    return Planned(
        lift=lift.number,
        bottom_m=pour.bottom_m,
        top_m=pour.top_m,
        closes=pour.closes,
        part_a_kg=pour.part_a_kg,
        part_b_kg=pour.part_b_kg,
        seed_m=pour.landings[0].point_m if pour.landings else None,
        others_m=tuple(p.landings[0].point_m for p in lift.pours if p.name != pour.name and p.landings),
        ports=tuple(landing.port for landing in pour.landings),
        vents=tuple(vent.name for vent in pour.vents),
        volume_m3=pour.volume_m3,
        nodes=tuple(pour.nodes),
        shares=tuple(pour.shares),
        wait_s=lift.wait_s,
        expected=_expected(document, pour),
    )


def _expected(document: PlanDocument, pour: PourDoc) -> Expected | None:
    """What instruments should read of a pour; None where the sheet knows no peak, as of one that is poured."""
    from pourwright.record import Expected

    foam, heat = document.foam, pour.heat
    span = foam.rise_k.high - foam.rise_k.likely
    ends = pour.peak_temperature_c_range
    if ends.nominal is None:
        return None

    def per_k(of: RangeDoc) -> float:
        return (of.high - of.nominal) / span if span > 0 and of.high is not None and of.nominal is not None else 1.0

    top = heat.top_c if heat is not None and heat.top_c is not None and heat.top_c.nominal is not None else None
    later = heat.later_c.nominal if heat is not None and heat.later_c is not None else None
    return Expected(
        rise_k=foam.rise_k.likely,
        parts_k=foam.parts_c + ZERO_CELSIUS_K,
        air_k=foam.air_c + ZERO_CELSIUS_K,
        peak_k=ends.nominal + ZERO_CELSIUS_K,
        peak_per_k=per_k(ends),
        later_k=None if later is None else later + ZERO_CELSIUS_K,
        top_k=None if top is None or top.nominal is None else top.nominal + ZERO_CELSIUS_K,
        top_per_k=1.0 if top is None else per_k(top),
    )


def _ports(document: PlanDocument) -> dict[str, Port]:
    from pourwright.lifts import Port

    return {
        port.name: Port(
            name=port.name,
            way=port.way,
            opening=port.opening,
            point_m=_point(port.point_m),
            measures=_measures(port.measures),
            hole_m=port.hole_m,
        )
        for port in document.ports
    }


def _landing(landing: LandingDoc, ports: dict[str, Port]) -> Landing:
    from pourwright.lifts import Landing, Tube

    return Landing(
        port=ports[landing.port],
        point_m=_point(landing.point_m),
        fall_m=landing.fall_m,
        flow_distance_m=landing.flow_distance_m,
        measures=_measures(landing.measures),
        kg=landing.kg,
        clearance_m=float("nan") if landing.clearance_m is None else landing.clearance_m,
        tube=None if landing.tube is None else Tube(**landing.tube.model_dump()),
    )


def _vent(vent: VentDoc) -> Vent:
    from pourwright.lifts import Vent

    return Vent(
        name=vent.name,
        way=vent.way,
        opening=vent.opening,
        point_m=_point(vent.point_m),
        measures=_measures(vent.measures),
        hole_m=vent.hole_m,
        holes=vent.holes,
        air_m3_s=vent.air_m3_s if vent.air_m3_s is not None else 0.0,
        persistence_m=vent.persistence_m,
        closed_air_m3_s=math.nan if vent.closed_air_m3_s is None else vent.closed_air_m3_s,
        node=vent.node,
    )


def _measures(measures: MeasuresDoc) -> Measures:
    from pourwright.lifts import Measures

    return Measures(measures.from_base_m, measures.from_left_m, measures.from_front_m)


def _point(point_m: Sequence[float]) -> np.ndarray:
    import numpy as np

    point = np.array(point_m, float)
    point.setflags(write=False)
    return point
