"""Holes as rising foam meets them: how high their lowest edge is, how large they are, and when foam gets there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pourwright.access import outward, side_edge
from pourwright.cavity import Cavity, LevelGraph, nearest_skin_point, skin_above
from pourwright.foam import FoamAtShop
from pourwright.lifts import judged
from pourwright.lifts.limits import empty_s
from pourwright.lifts.model import Measures, Port, ShopLimits, Vent
from pourwright.rise import RisingFoam, simple_foam
from pourwright.shell import Skin

WALL_REACH_M = 0.02
"""Foam is looked for so far round a hole in the side: a wall and a little more; our judgement."""


@dataclass(frozen=True, eq=False)
class Mouth:
    """A port or vent as rising foam meets it.

    ``low_m`` is the height of its lowest edge on the inside of the skin, above the base; foam that ends no more than
    ``slack_m`` over it counts as flush. ``area_m2`` is that of one hole. ``nodes`` are those of the level graph behind
    it.
    """

    hole: str
    low_m: float
    slack_m: float
    area_m2: float
    nodes: np.ndarray


def plane_edge(height_m: np.ndarray, hole_m: np.ndarray, upward: np.ndarray) -> np.ndarray:
    """Lowest edge [m] of holes drilled upright through a plane skin.

    Parameters
    ----------
    height_m, hole_m : arrays (n,)
        Height of the middle of each hole above the base, and its diameter.
    upward : array (n,)
        Upward part of the skin's unit normal there; below `judged.STEEP` counts as `judged.STEEP`: a hole in skin so
        steep is cut by eye.

    >>> float(plane_edge(np.array([1.0]), np.array([0.04]), np.array([1.0]))[0])
    1.0
    >>> round(float(plane_edge(np.array([1.0]), np.array([0.04]), np.array([0.5 ** 0.5]))[0]), 6)
    0.98
    """
    flat = np.clip(upward, judged.STEEP.value, 1.0)
    return height_m - 0.5 * hole_m * np.sqrt(1.0 - flat**2) / flat


def lowest_edge(
    cavity: Cavity, graph: LevelGraph, tops: np.ndarray, hole_m: np.ndarray, upward: np.ndarray
) -> np.ndarray:
    """Lowest edge of drilled holes on the inside of the skin, above the base [m].

    Parameters
    ----------
    cavity : Cavity
    graph : LevelGraph
    tops : array (n, 3) int
        Cell under the middle of each hole, the highest of its column there.
    hole_m, upward : arrays (n,)
        As for `plane_edge`; the lower one counts of that and of the cavity's own top within the hole, less the cell
        to which that is known.
    """
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])
    low = plane_edge(base + (tops[:, 2] + 1) * cell, hole_m, upward)
    for k, ((x, y, z), size) in enumerate(zip(tops.tolist(), hole_m.tolist(), strict=True)):
        reach, deep = math.floor(0.5 * size / cell), math.ceil(size / cell)
        x0, y0, z0 = max(0, x - reach), max(0, y - reach), max(0, z - deep)
        box = graph.label[x0 : x + reach + 1, y0 : y + reach + 1, z0 : z + 1] > 0
        across = np.hypot(*np.ogrid[x0 - x : x0 - x + box.shape[0], y0 - y : y0 - y + box.shape[1]])
        level = np.where(box.any(axis=2), box.shape[2] - np.argmax(box[:, :, ::-1], axis=2), 0)
        low[k] = min(low[k], base + (z0 + int(level[across <= 0.5 * size / cell].min())) * cell)
    return low - cell


def opening_edge(cavity: Cavity, skin: Skin, opening: int) -> float:
    """Height of the lowest point of an opening's rim above the base [m]."""
    return float(cavity.frame.to_standing(skin.openings[opening].loop_m)[:, 2].min())


def port_mouth(skin: Skin, cavity: Cavity, graph: LevelGraph, port: Port) -> Mouth:
    """A port as foam meets it."""
    if port.way != "drilled":
        return _opening_mouth(skin, cavity, graph, port.name, port.opening)
    return _drilled_mouth(skin, cavity, graph, port)


def vent_mouth(skin: Skin, cavity: Cavity, graph: LevelGraph, vent: Vent) -> Mouth:
    """A vent as foam meets it: it stands on top of its pocket, so foam passes it where it rises over that point."""
    if vent.way != "drilled":
        return _opening_mouth(skin, cavity, graph, vent.name, vent.opening)
    nodes = np.array([vent.node]) if vent.node >= 0 else np.zeros(0, np.int64)
    return Mouth(vent.name, vent.measures.from_base_m, 0.0, 0.25 * math.pi * vent.hole_m**2, nodes)


def _opening_mouth(skin: Skin, cavity: Cavity, graph: LevelGraph, hole: str, opening: str) -> Mouth:
    which = next(k for k, seen in enumerate(skin.openings) if seen.name == opening)
    low = opening_edge(cavity, skin, which)
    cell = cavity.grid.cell_m
    points = cavity.frame.to_standing(skin.openings[which].loop_m)
    lowest = points[np.argmin(points[:, 2])]
    at = np.floor((lowest - cavity.grid.origin_m) / cell).astype(int)
    nodes = _labels(graph, at[0], at[1], 2, at[2] - 3, at[2] + 1)
    return Mouth(hole, low, cell, skin.openings[which].area_m2, nodes)


def _drilled_mouth(skin: Skin, cavity: Cavity, graph: LevelGraph, port: Port) -> Mouth:
    cell, hole_m = cavity.grid.cell_m, port.hole_m
    standing = cavity.frame.to_standing(port.point_m)
    if port.sideways:
        return _side_mouth(skin, cavity, graph, port)
    x, y, z = np.floor((standing - cavity.grid.origin_m) / cell).astype(int)
    x, y = (int(np.clip(v, 0, most - 1)) for v, most in zip((x, y), graph.label.shape[:2], strict=True))
    column = np.flatnonzero(graph.label[x, y, : max(0, int(z)) + 1])
    inner = int(column[-1]) + 1 if len(column) else int(z)  # level over the cavity under the hole
    top = np.array([[x, y, inner - 1]])
    _, face, _ = skin_above(skin, cavity.frame, cavity.grid.centres(top))
    upward = np.where(face >= 0, up_part(skin, cavity.frame.up, np.maximum(face, 0)), 0.0)
    low = float(lowest_edge(cavity, graph, top, np.array([hole_m]), upward)[0])
    first = math.floor((low - cavity.grid.origin_m[2]) / cell)
    nodes = _labels(graph, x, y, math.ceil(0.5 * hole_m / cell), min(first, inner - 1), inner)
    return Mouth(port.name, low, 0.0, 0.25 * math.pi * hole_m**2, nodes)


def _side_mouth(skin: Skin, cavity: Cavity, graph: LevelGraph, port: Port) -> Mouth:
    """A hole in the side of a limb: foam passes it from its own lowest edge on."""
    cell, half = cavity.grid.cell_m, 0.5 * port.hole_m
    standing = cavity.frame.to_standing(port.point_m)
    up = up_part(skin, cavity.frame.up, nearest_skin_point(skin, port.point_m[None])[1])
    low = float(side_edge(standing[2:], np.array([port.hole_m]), up)[0]) - cell
    x, y, z = np.floor((standing - cavity.grid.origin_m) / cell).astype(int)
    reach = math.ceil((half + WALL_REACH_M) / cell)
    nodes = _labels(graph, x, y, reach, math.floor(z - half / cell), math.ceil(z + half / cell) + 1)
    return Mouth(port.name, low, 0.0, 0.25 * math.pi * port.hole_m**2, nodes)


def _labels(graph: LevelGraph, x: int, y: int, round_cells: int, low: int, high: int) -> np.ndarray:
    """Nodes within some cells of a column between two levels."""
    box = graph.label[
        max(0, x - round_cells) : x + round_cells + 1,
        max(0, y - round_cells) : y + round_cells + 1,
        max(0, low) : max(0, high),
    ]
    return np.unique(box[box > 0]) - 1


def arrival(foam: FoamAtShop, space_m3: float, foam_kg: float) -> float:
    """When rising foam has taken a space, by its times alone [s after the start of mixing].

    Parameters
    ----------
    foam : FoamAtShop
    space_m3 : float
        Below the place it is asked for.
    foam_kg : float
        All foam that rises into it.

    Returns
    -------
    float
        Infinite where the foam is too little to get there.

    Notes
    -----
    All foam counts as mixed at once and level, and rises as `pourwright.rise.simple_foam` says: our judgement, no
    published source.
    """
    gel_s = max(foam.gel_s, foam.cream_s + 1.0)
    history = _rises(foam.cream_s, gel_s, max(foam.rise_end_s, gel_s), foam.free_rise_density_kg_m3.nominal)
    if foam_kg * float(history.volume_m3_kg[-1]) < space_m3:
        return math.inf
    return float(np.interp(space_m3 / foam_kg, history.volume_m3_kg, history.time_s))


@lru_cache(maxsize=16)
def _rises(cream_s: float, gel_s: float, end_s: float, density_kg_m3: float) -> RisingFoam:
    return simple_foam(cream_s, gel_s, end_s, density_kg_m3)


def shut_by(arrives_s: float) -> float:
    """Time to have a hole shut by, a margin before foam gets there, in whole steps of five seconds.

    >>> shut_by(150.0)
    120.0
    """
    if not math.isfinite(arrives_s):
        return math.inf
    return 5.0 * math.floor(arrives_s * (1.0 - judged.SHUT_EARLY.value) / 5.0 + 1e-9)


def shut_from(limits: ShopLimits, cup_m3: float) -> float:
    """Earliest time that a hole can be shut after a cup was poured through it alone: empty, bung or board set [s]."""
    return empty_s(cup_m3, limits) + judged.SHUT_TAKES.value


def up_part(skin: Skin, up: np.ndarray, face: np.ndarray) -> np.ndarray:
    """Upward part (n,) of the unit normals of ``face`` (n,) of the skin."""
    return outward(skin, face) @ up


def asked_ports(skin: Skin, cavity: Cavity, at_m: tuple[tuple[float, float, float], ...]) -> tuple[Port, ...]:
    """Ports where the job wants them: on the skin nearest to each of ``at_m``, named from ``P1`` on."""
    if not at_m:
        return ()
    feet, _, _ = nearest_skin_point(skin, np.array(at_m, float))
    ports = []
    for number, foot in enumerate(feet, 1):
        left, front, base = (float(v) for v in cavity.frame.to_standing(foot))
        foot.setflags(write=False)
        ports.append(Port(f"P{number}", "drilled", "", foot, Measures(base, left, front), judged.PORT_HOLE.value))
    return tuple(ports)
