"""The tube of a way down, and whether a pour's liquid gets down by its ways."""

from __future__ import annotations

import math

from pourwright.access import (
    FALL_CLEAR,
    FALL_SPREAD,
    FREE_FALL,
    HOSE,
    HOSE_ROOM,
    LONGEST_FALL,
    TUBE,
    TUBE_ENDS,
    Falls,
    bores,
    clearance_due,
)
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.limits import empty_s
from pourwright.lifts.model import Check, Landing, ShopLimits, Tube
from pourwright.physics import draining, pouring

FILLED = 0.25
"""What stays in a tube is at most a film of this share of its bore: it is empty in the middle; our judgement."""


def tube_of(
    drops: Falls, which: int, lift: int, hole_m: float, limits: ShopLimits, density_kg_m3: float
) -> Tube | None:
    """The tube of a candidate's way down in a lift; None for a straight fall, or where none fits.

    The narrowest that passes the liquid as fast as it is poured, else the widest that fits.
    """
    way = int(drops.way[which, lift])
    if way not in (TUBE, HOSE):
        return None
    clear, width = float(drops.clear_m[which, lift]), float(drops.width_m[which, lift])
    fits = bores(hole_m, 2.0 * clear if way == TUBE else width - 2.0 * HOSE_ROOM.value)
    viscosity = judged.MIX_VISCOSITY.value
    quick = [b for b in fits if pouring.tube_flow(b, density_kg_m3, viscosity) >= limits.pour_rate_m3_s]
    bore = min(quick, default=max(fits))
    length = max(float(drops.fall_m[which, lift]) - TUBE_ENDS.value, 0.1) + judged.TUBE_ABOVE.value
    film = float(draining.drained_film(length, density_kg_m3, viscosity, judged.TUBE_DRIPS.value))
    film = min(film, FILLED * bore)
    return Tube(
        length_m=length,
        bore_m=bore,
        stiff=way == TUBE,
        flow_m3_s=min(float(pouring.tube_flow(bore, density_kg_m3, viscosity)), limits.pour_rate_m3_s),
        left_kg=density_kg_m3 * math.pi * (bore - film) * film * length,
    )


def way_checks(
    landings: tuple[Landing, ...], batch_m3: float, foam: FoamAtShop, limits: ShopLimits, moving_s: float
) -> tuple[Check, ...]:
    """Whether a pour's liquid gets down: through its tubes in time, clear of the wall, by holes that have room.

    ``moving_s`` goes by while its cup is carried from hole to hole.
    """
    out = []
    tubes = [one for one in landings if one.tube is not None]
    if tubes:
        slow = min(tubes, key=lambda one: one.tube.flow_m3_s if one.tube is not None else math.inf)
        rate = slow.tube.flow_m3_s if slow.tube is not None else math.inf
        through = empty_s(batch_m3, limits, moving_s, rate)
        out.append(
            Check(
                judged.THROUGH_TUBE,
                through,
                foam.cream_s,
                "s",
                Verdict.OK if through <= foam.cream_s else Verdict.OVER,
                f"a batch mixed and run down the tube at {slow.port.name}, against its creaming "
                f"(viscosity {judged.MIX_VISCOSITY.value:g} Pa s, {judged.MIX_VISCOSITY.standing.value})",
                f"{judged.FEWER if moving_s > 0 else ''}smaller batches, cooler liquids, a wider hole, or a hole "
                "lower down",
            )
        )
    falling = [one for one in landings if one.tube is None and one.fall_m > FREE_FALL.value]
    if falling:
        worst = min(falling, key=lambda one: one.clearance_m - clearance_due(one.fall_m))
        near = (clearance_due(worst.fall_m), worst.clearance_m)
        deep = (worst.fall_m, LONGEST_FALL.value)
        value, limit = deep if deep[0] > deep[1] >= 0 and near[0] <= near[1] else near
        out.append(
            Check(
                judged.FALL,
                value,
                limit,
                "m",
                Verdict.OK if value <= limit + 1e-9 else Verdict.OVER,
                f"fall of {worst.fall_m:.2f} m through {worst.port.name}, {worst.clearance_m * 1e3:.0f} mm off the "
                f"wall: {FALL_CLEAR.value * 1e3:.0f} mm and {FALL_SPREAD.value:.0%} of the fall are due "
                f"({FALL_CLEAR.standing.value})",
                "a hole lower down, cut for this pour and closed again, or a hose led down through a second hole",
            )
        )
    holes = [one.port for one in landings if one.port.way == "drilled" and not math.isnan(one.port.room_m)]
    if holes:
        tight = min(holes, key=lambda port: port.room_m)
        out.append(
            Check(
                judged.ROOM,
                0.5 * tight.hole_m,
                0.5 * tight.hole_m + tight.room_m + judged.ROOM_KNOWN.value,
                "m",
                Verdict.OK if tight.room_m >= -judged.ROOM_KNOWN.value else Verdict.OVER,
                f"radius of {tight.name}, against its way to the nearest edge, wall or other hole and the "
                f"{judged.ROOM_KNOWN.value * 1e3:.0f} mm to which that is known",
                "a smaller drill, or another place for the hole",
            )
        )
    return tuple(out)
