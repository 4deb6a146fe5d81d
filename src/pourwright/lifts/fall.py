"""How liquid gets from a hole down to a pour: by a straight fall that clears the wall, else by a tube or a hose."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.compiled import njit
from pourwright.findings import Verdict
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.model import Check, Landing, ShopLimits, Tube
from pourwright.physics import draining, pouring

STRAIGHT, TUBE, HOSE, NONE = 0, 1, 2, 3
"""Ways down, the simplest first: a fall, a stiff tube that hangs free, a hose led down by its own bend, none."""


@dataclass(frozen=True, eq=False)
class Falls:
    """Ways down of candidates (rows) in every lift (columns); read-only.

    ``fall_m`` height of fall, ``clear_m`` least distance from the wall on the way, ``width_m`` narrowest place on the
    way, ``way`` one of `STRAIGHT` to `NONE`; nan and `NONE` where nothing is served.
    """

    fall_m: np.ndarray
    clear_m: np.ndarray
    width_m: np.ndarray
    way: np.ndarray


TUBE_BORES = (0.016, 0.020, 0.025, 0.032, 0.040)
"""Bores of tube and hose that a shop has [m]: common practice, no source."""
FARTHEST_M = 0.075
"""Distance from the wall that is looked for at most [m]: what a straight fall of 3 m would have to keep."""
FILLED = 0.25
"""What stays in a tube is at most a film of this share of its bore: it is empty in the middle."""


def clearance_due(fall_m: Any) -> Any:
    """Distance from the wall [m], float or array, that a straight fall must keep.

    >>> float(clearance_due(0.4)), float(clearance_due(1.0))
    (0.0, 0.035)
    """
    far = judged.FALL_CLEAR.value + judged.FALL_SPREAD.value * np.asarray(fall_m, float)
    return np.where(np.asarray(fall_m) > judged.FREE_FALL.value, far, 0.0)[()]


@njit(cache=True, nogil=True)
def _clearance(label, x, y, low, high, dx, dy, away, out):  # type: ignore[no-untyped-def]
    """Least distance [cells] of columns from the wall, level by level in plan; rings ``dx, dy`` grow with ``away``."""
    nx, ny, _ = label.shape
    for k in range(len(x)):
        best = away[-1]
        for z in range(low[k], high[k]):
            for j in range(len(dx)):
                if away[j] >= best:
                    break
                ix, iy = x[k] + dx[j], y[k] + dy[j]
                if ix < 0 or iy < 0 or ix >= nx or iy >= ny or label[ix, iy, z] == 0:
                    best = away[j]
                    break
        out[k] = best


@njit(cache=True, nogil=True)
def _narrowest(label, width, x, y, low, high, out):  # type: ignore[no-untyped-def]
    """Narrowest node that each column passes [m]."""
    for k in range(len(x)):
        for z in range(low[k], high[k]):
            node = label[x[k], y[k], z] - 1
            if node >= 0:
                out[k] = min(out[k], width[node])


def falls(
    cavity: Cavity,
    graph: LevelGraph,
    xy: np.ndarray,
    level: np.ndarray,
    serves: np.ndarray,
    exit_standing_m: np.ndarray,
    low_m: np.ndarray,
    hole_m: np.ndarray,
) -> Falls:
    """The way down of every candidate in every lift that it serves.

    Parameters
    ----------
    cavity, graph
    xy : array (m, 2) int
        Column of each candidate.
    level, serves : arrays (m, lifts) int
        Level it lands on; pour it serves, below 0 for none.
    exit_standing_m : array (m, 3)
        Where the column leaves the piece.
    low_m, hole_m : arrays (m,)
        Lowest edge of its hole above the base, and the hole's diameter; 0 for an opening.

    Notes
    -----
    The distance from the wall is that in plan, from one hole's width below the hole's edge down to the clearance due
    above the place where the liquid lands: at both ends the stream has to meet the skin.
    """
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])
    fall = np.where(serves >= 0, exit_standing_m[:, 2, None] - (base + level * cell), np.nan)
    rows, lifts = np.nonzero(serves >= 0)
    due = clearance_due(fall[rows, lifts])
    low = level[rows, lifts] + np.ceil(np.maximum(due, judged.FALL_CLEAR.value) / cell).astype(np.int64)
    high = np.floor((low_m[rows] - hole_m[rows] - base) / cell).astype(np.int64)
    middle = (level[rows, lifts] + np.floor((low_m[rows] - base) / cell).astype(np.int64)) // 2
    short = high <= low
    low, high = np.where(short, middle, low), np.where(short, middle + 1, high)
    low, high = np.clip(low, 0, graph.levels - 1), np.clip(high, 1, graph.levels)
    reach = max(2, math.ceil(FARTHEST_M / cell))
    dx, dy = (part.ravel() for part in np.meshgrid(*(2 * [np.arange(-reach, reach + 1)]), indexing="ij"))
    away = np.hypot(dx, dy)
    order = np.lexsort((dy, dx, away))
    order = order[away[order] <= reach]
    x, y = (np.ascontiguousarray(xy[rows, k]).astype(np.int64) for k in range(2))
    near, narrow = np.zeros(len(rows)), np.full(len(rows), np.inf)
    _clearance(graph.label, x, y, low, high, dx[order], dy[order], away[order], near)
    _narrowest(graph.label, graph.node_width_m, x, y, low, high, narrow)
    clear, width = np.full(fall.shape, np.nan), np.full(fall.shape, np.nan)
    clear[rows, lifts], width[rows, lifts] = np.maximum(near - 0.5, 0.0) * cell, narrow
    way = np.full(fall.shape, NONE, np.int8)
    for row, lift in zip(rows.tolist(), lifts.tolist(), strict=True):
        way[row, lift] = _way(fall[row, lift], clear[row, lift], width[row, lift], hole_m[row])
    for array in (fall, clear, width, way):
        array.setflags(write=False)
    return Falls(fall, clear, width, way)


def _way(fall_m: float, clear_m: float, width_m: float, hole_m: float) -> int:
    if fall_m <= judged.LONGEST_FALL.value and clear_m >= clearance_due(fall_m):
        return STRAIGHT
    if _bores(hole_m, 2.0 * clear_m):
        return TUBE
    return HOSE if _bores(hole_m, width_m - 2.0 * judged.HOSE_ROOM.value) else NONE


def _bores(hole_m: float, free_m: float) -> list[float]:
    """Bores of tubes that go through a hole (0: an opening) with air beside them, and down a free width."""
    most = min(free_m, hole_m - judged.AIR_BESIDE.value if hole_m > 0 else math.inf)
    return [bore for bore in TUBE_BORES if bore + 2.0 * judged.TUBE_WALL.value <= most + 1e-9]


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
    fits = _bores(hole_m, 2.0 * clear if way == TUBE else width - 2.0 * judged.HOSE_ROOM.value)
    viscosity = judged.MIX_VISCOSITY.value
    quick = [b for b in fits if pouring.tube_flow(b, density_kg_m3, viscosity) >= limits.pour_rate_m3_s]
    bore = min(quick, default=max(fits))
    length = max(float(drops.fall_m[which, lift]) - judged.TUBE_ENDS.value, 0.1) + judged.TUBE_ABOVE.value
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
    landings: tuple[Landing, ...], batch_m3: float, foam: FoamAtShop, limits: ShopLimits
) -> tuple[Check, ...]:
    """Whether a pour's liquid gets down: through its tubes in time, clear of the wall, by holes that have room."""
    out = []
    tubes = [one for one in landings if one.tube is not None]
    if tubes:
        slow = min(tubes, key=lambda one: one.tube.flow_m3_s if one.tube is not None else math.inf)
        rate = slow.tube.flow_m3_s if slow.tube is not None else math.inf
        through = limits.mix_s + batch_m3 / rate
        out.append(
            Check(
                judged.THROUGH_TUBE,
                through,
                foam.cream_s,
                "s",
                Verdict.OK if through <= foam.cream_s else Verdict.OVER,
                f"a batch mixed and run down the tube at {slow.port.name}, against its creaming "
                f"(viscosity {judged.MIX_VISCOSITY.value:g} Pa s, {judged.MIX_VISCOSITY.standing.value})",
                "smaller batches, cooler liquids, a wider hole, or a hole lower down",
            )
        )
    falling = [one for one in landings if one.tube is None and one.fall_m > judged.FREE_FALL.value]
    if falling:
        worst = min(falling, key=lambda one: one.clearance_m - clearance_due(one.fall_m))
        near = (clearance_due(worst.fall_m), worst.clearance_m)
        deep = (worst.fall_m, judged.LONGEST_FALL.value)
        value, limit = deep if deep[0] > deep[1] >= 0 and near[0] <= near[1] else near
        out.append(
            Check(
                judged.FALL,
                value,
                limit,
                "m",
                Verdict.OK if value <= limit + 1e-9 else Verdict.OVER,
                f"fall of {worst.fall_m:.2f} m through {worst.port.name}, {worst.clearance_m * 1e3:.0f} mm off the "
                f"wall: {judged.FALL_CLEAR.value * 1e3:.0f} mm and {judged.FALL_SPREAD.value:.0%} of the fall are due "
                f"({judged.FALL_CLEAR.standing.value})",
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
