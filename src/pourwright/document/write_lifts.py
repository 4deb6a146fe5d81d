"""From lifts, pours, ports and vents to their blocks of ``plan.json``."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from pourwright.document.model_lifts import (
    BatchDoc,
    BulgeDoc,
    CheckDoc,
    LandingDoc,
    LiftDoc,
    OneMoreDoc,
    PortDoc,
    PourDoc,
    UnfilledDoc,
    VentDoc,
)
from pourwright.document.model_parts import MeasuresDoc
from pourwright.document.reflect import block_of
from pourwright.document.values import known, point, range_block
from pourwright.document.write_computed import heat_block, rise_block
from pourwright.evaluation import SkinBulge
from pourwright.lifts import (
    Check,
    Closing,
    Lift,
    Port,
    Pour,
    Unfilled,
    Vent,
    packing_of,
)
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan import LiftPlan, first_mix
from pourwright.wording.status import limit_words

if TYPE_CHECKING:
    from pourwright.foam import FoamAtShop, Parts


Seconds = Callable[[float], float]
NO_CUPS: Mapping[str, tuple[str, ...]] = {}
"""No pours share a cup."""


def not_known(_kg: float) -> float:
    """How long a weight takes where nobody says."""
    return math.nan


def lift_block(
    lift: Lift,
    plan: LiftPlan,
    foam: FoamAtShop,
    seconds_of: Seconds = not_known,
    cups: Mapping[str, tuple[str, ...]] = NO_CUPS,
) -> LiftDoc:
    """A lift of a plan with its pours; ``seconds_of`` tells how long a weight takes out of a cup or a head.

    ``cups``: pours that share a cup, by the name of each of them.
    """
    more = lift.one_more
    return block_of(
        LiftDoc,
        lift,
        limit_words=limit_words(lift),
        wait_from=first_mix(lift),
        one_more=None if more is None else block_of(OneMoreDoc, more.check, top_m=more.top_m),
        pours=[pour_block(lift, pour, plan, foam, seconds_of, cups) for pour in lift.pours],
        bulge=bulge_block(plan.bulges[lift.number]) if lift.number in plan.bulges else None,
    )


def bulge_block(bulge: SkinBulge) -> BulgeDoc:
    """The skin under a lift."""
    there = math.isfinite(bulge.used)
    return block_of(
        BulgeDoc,
        bulge,
        point_m=point(bulge.point_m) if there else None,
        measures=block_of(MeasuresDoc, bulge.measures) if there else None,
        stretch_counted=bulge.large,
    )


def pour_block(
    lift: Lift,
    pour: Pour,
    plan: LiftPlan,
    foam: FoamAtShop,
    seconds_of: Seconds = not_known,
    cups: Mapping[str, tuple[str, ...]] = NO_CUPS,
) -> PourDoc:
    """A pour with its amounts, landings, vents and checks."""
    peak_c = range_block(pour.peak_k, offset=-ZERO_CELSIUS_K)
    pressure = range_block(pour.peak_pressure_pa)
    return block_of(
        PourDoc,
        pour,
        closes=bool(pour.closes),
        packing=known(packing_of(pour, foam)),
        foam_kg=pour.foam_kg.nominal,
        foam_kg_range=range_block(pour.foam_kg),
        **_litres_and_kg(pour.parts),
        batch=BatchDoc(**_litres_and_kg(pour.batch)),
        one_cup=list(cups.get(pour.name, ())),
        pour_point_m=point(pour.landings[0].port.point_m) if pour.landings else None,
        landings=[
            block_of(LandingDoc, landing, port=landing.port.name, seconds=known(seconds_of(landing.kg)))
            for landing in pour.landings
        ],
        vents=[vent_block(vent, plan.closings) for vent in pour.vents],
        peak_temperature_c=peak_c.nominal,
        peak_temperature_c_range=peak_c,
        hot_h=known(pour.hot_hours),
        peak_pressure_pa=pressure.nominal,
        peak_pressure_pa_range=pressure,
        wait_s=None if pour.poured else known(lift.wait_s),
        **_heated(pour.name, plan, lift.wait_s),
        rise=rise_block(plan.rises[pour.name]) if pour.name in plan.rises else None,
    )


def _heated(name: str, plan: LiftPlan, wait_s: float) -> dict[str, Any]:
    """What staged heat says of a pour; null where none was computed."""
    if name not in plan.heats:
        return {"start_s": None, "dose_h": None, "heat": None}
    heat = plan.heats[name]
    dose_h = known(heat.hot_s[0][1] / 3600.0)
    return {"start_s": known(heat.start_s), "dose_h": dose_h, "heat": heat_block(heat, wait_s)}


def port_block(port: Port, closings: Sequence[Closing]) -> PortDoc:
    """A port, with when it is closed."""
    closing = _closing(closings, port.name)
    return block_of(
        PortDoc,
        port,
        lowest_edge_m=closing.low_m if closing else None,
        closed_by_s=known(closing.by_s) if closing else None,
        **_closed(closing),
    )


def vent_block(vent: Vent, closings: Sequence[Closing]) -> VentDoc:
    """A vent, with when it is closed."""
    return block_of(VentDoc, vent, **_closed(_closing(closings, vent.name)))


def _closed(closing: Closing | None) -> dict[str, object]:
    """What ports and vents have alike; null where the hole stays open."""
    return {
        "closed_before": closing.before if closing and not closing.inside else None,
        "closed_in": (closing.inside or None) if closing else None,
        "foam_there_s": known(closing.foam_s) if closing else None,
        "closing_force_n": known(closing.force_n.high) if closing else None,
    }


def _closing(closings: Sequence[Closing], hole: str) -> Closing | None:
    return next((closing for closing in closings if closing.hole == hole), None)


def check_block(check: Check) -> CheckDoc:
    """A check."""
    return block_of(CheckDoc, check)


def unfilled_block(space: Unfilled) -> UnfilledDoc:
    """A space that stays empty."""
    return block_of(UnfilledDoc, space)


def _litres_and_kg(parts: Parts) -> dict[str, float]:
    return {
        "part_a_l": parts.a_m3 * 1e3, "part_b_l": parts.b_m3 * 1e3, "part_a_kg": parts.a_kg, "part_b_kg": parts.b_kg,
    }  # fmt: skip
