"""Vents: where air is trapped, how much of it must pass and through what holes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.access import FRONT, OTHER, UNEVEN, Ceiling, kept_out, outward, places_on, side_of, tops_near
from pourwright.cavity import Cavity, ColumnMap, Extremum, LevelGraph, nearest_skin_point, skin_above
from pourwright.divide.shapes import PourShape
from pourwright.lifts import judged
from pourwright.lifts.model import HoleRules, ShopLimits
from pourwright.lifts.mouths import up_part
from pourwright.lifts.skin_side import UpOpenings
from pourwright.physics import orifice
from pourwright.shell import Skin

MIDDLE_DRILL = 3
"""Of the shop's drills, from the smallest: a hole no larger has its room in the corner of a ceiling; our judgement."""


@dataclass(frozen=True, eq=False)
class VentSpot:
    """A way out for air before it has a name. ``point_m`` on the skin or cap, shell axes."""

    node: int  # of the level graph, just under it
    persistence_m: float  # depth of the pocket it serves
    opening: int  # index, -1 for a hole to drill
    point_m: np.ndarray
    width_m: float  # of the limb just under it
    share: float = 1.0  # of the pocket's air that it must pass


def air_flow(
    pours: list[list[PourShape]], graph: LevelGraph, way: np.ndarray, pockets: int, rise_s: float, hands: int
) -> tuple[np.ndarray, np.ndarray]:
    """Peak air flow through each pocket's way out [m3/s] (pockets,), and which pours send air there (pours, pockets).

    Pours of one piece rise together, and so do as many pieces of a lift as there are hands.
    """
    number = sum(len(shapes) for shapes in pours)
    volume = np.zeros((number, max(pockets, 1)))
    peak = np.zeros(max(pockets, 1))
    at = 0
    for shapes in pours:
        for k, shape in enumerate(shapes):
            filled = graph.node_volume_m3[shape.nodes] * shape.shares
            to = way[shape.nodes]
            volume[at + k] = np.bincount(to[to >= 0], weights=filled[to >= 0], minlength=volume.shape[1])
        pieces = np.array([shape.piece for shape in shapes])
        by_piece = np.array([volume[at : at + len(shapes)][pieces == p].sum(axis=0) for p in np.unique(pieces)])
        most = np.sort(by_piece, axis=0)[::-1][:hands].sum(axis=0)
        peak = np.maximum(peak, judged.PEAK_FLOW.value * most / rise_s)
        at += len(shapes)
    return peak[:pockets], volume[:, :pockets] > 0


def vent_spots(
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    openings: UpOpenings,
    columns: ColumnMap,
    start_level: int,
    ceilings: tuple[Ceiling, ...],
    limits: ShopLimits,
) -> list[tuple[int, VentSpot]]:
    """A way out for every pocket above the start: index of the pocket and where. Level ceilings get theirs all over.

    What lies level and is no pocket (a shelf below a higher part) has the index -1: it lets out its own air only.
    """
    found = [
        (k, pocket)
        for k, pocket in enumerate(graph.pockets)
        if pocket.level >= start_level
        and (openings.node[pocket.node] or not any(pocket.node in one.nodes for one in ceilings))
    ]
    spots = [
        spot if spot[1].opening >= 0 else (spot[0], _where_allowed(skin, cavity, graph, columns, spot[1], limits.holes))
        for spot in _pocket_spots(skin, cavity, graph, openings, found)
    ]
    for ceiling in ceilings:
        if graph.node_level[ceiling.nodes].min() >= start_level:
            spots += _ceiling_spots(skin, cavity, graph, ceiling, limits)
    return spots


def _pocket_spots(
    skin: Skin, cavity: Cavity, graph: LevelGraph, openings: UpOpenings, pockets: list[tuple[int, Extremum]]
) -> list[tuple[int, VentSpot]]:
    if not pockets:
        return []
    frame = cavity.frame
    tops = np.array([pocket.point_standing_m for _, pocket in pockets])
    points, face, cap = skin_above(skin, frame, tops)
    steep = (face < 0) | (up_part(skin, frame.up, np.maximum(face, 0)) < 0.2)
    if steep.any():  # too steep to drill upright, or nothing above: square to the nearest skin
        points = points.copy()
        points[steep] = nearest_skin_point(skin, frame.to_shell(tops[steep]))[0]
    spots = []
    for row, (k, pocket) in enumerate(pockets):
        at_opening = bool(openings.node[pocket.node])
        opening = int(cap[row]) if at_opening and cap[row] in openings.usable else -1
        if at_opening and opening < 0:
            opening = openings.usable[0]
        width = _width(cavity, graph, pocket)
        spots.append((k, VentSpot(pocket.node, pocket.persistence_m, opening, points[row], width)))
    return spots


def barred(skin: Skin, cavity: Cavity, rules: HoleRules, points_m: np.ndarray, front: bool) -> np.ndarray:
    """Which of ``points_m`` (n, 3) on the skin lie where no hole may be, or (``front``) show on the front."""
    face = nearest_skin_point(skin, points_m)[1]
    side = side_of(outward(skin, face) @ cavity.frame.rotation.T)
    return kept_out(rules.keep_out, cavity.frame, points_m, side) | ((side == FRONT) & front)


def _where_allowed(
    skin: Skin, cavity: Cavity, graph: LevelGraph, columns: ColumnMap, spot: VentSpot, rules: HoleRules
) -> VentSpot:
    """The spot, or the nearest place hardly lower under the same ceiling where a hole may be and does not show."""
    show = rules.prefer != "any"
    if not (show or rules.keep_out) or not barred(skin, cavity, rules, spot.point_m[None], show)[0]:
        return spot
    tops = tops_near(cavity, graph, columns, spot.node, max(UNEVEN.value, cavity.grid.cell_m))
    points, face, cap = skin_above(skin, cavity.frame, tops)
    points = points[(face >= 0) & (cap < 0) & (up_part(skin, cavity.frame.up, np.maximum(face, 0)) >= 0.2)]
    for front in (show, False):  # off the front where that can be had, else out of the regions at least
        free = points[~barred(skin, cavity, rules, points, front)] if len(points) else points
        if len(free) and (front or barred(skin, cavity, rules, spot.point_m[None], False)[0]):
            return replace(spot, point_m=free[0])
    return spot


def _ceiling_spots(
    skin: Skin, cavity: Cavity, graph: LevelGraph, ceiling: Ceiling, limits: ShopLimits
) -> list[tuple[int, VentSpot]]:
    """Vents in the corners of a level ceiling and as far apart as air is led; each passes twice its share.

    Some of them are shut by foam while others still have air to pass.
    """
    frame = cavity.frame
    side = np.full(len(ceiling.spots_m), OTHER)  # it looks up
    allowed = ~kept_out(limits.holes.keep_out, frame, frame.to_shell(ceiling.spots_m), side)
    places = places_on(ceiling, max(limits.drill_m[: MIDDLE_DRILL + 1]), allowed)
    if not len(places):
        return []
    under = ceiling.spots_m[places] - (0.0, 0.0, cavity.grid.cell_m)
    points, face, cap = skin_above(skin, frame, under)
    k, pocket = next(((k, p) for k, p in enumerate(graph.pockets) if p.node in ceiling.nodes), (-1, None))
    deep = UNEVEN.value if pocket is None else pocket.persistence_m
    out = []
    for row in np.flatnonzero((face >= 0) & (cap < 0)).tolist():
        node = int(ceiling.nodes[places[row]])
        if pocket is not None and abs(int(graph.node_level[node]) - pocket.level) <= 1:
            node = pocket.node
        width = float(graph.node_width_m[node])
        out.append((k, VentSpot(node, deep, -1, points[row], width, min(1.0, 2.0 / len(places)))))
    return out


def _width(cavity: Cavity, graph: LevelGraph, pocket: Extremum) -> float:
    """Width of the limb a largest drill's depth below the top of a pocket, as far as the pocket reaches."""
    depth = max(1, round(0.02 / cavity.grid.cell_m))
    index = np.floor((pocket.point_standing_m - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
    for down in range(depth, -1, -1):
        node = graph.label[index[0], index[1], max(0, index[2] - down)] - 1
        if node >= 0:
            return float(graph.node_width_m[node])
    return float(graph.node_width_m[pocket.node])


def holes_for(flow_m3_s: float, width_m: float, limits: ShopLimits) -> tuple[float, int]:
    """Diameter [m] and number of holes that pass ``flow_m3_s`` at the allowed back-pressure.

    One hole of the smallest drill that does; where the largest that the limb takes is too small, the fewest of it,
    drilled no larger than needed.
    """
    drills = sorted(limits.drill_m)
    fits = [d for d in drills if d <= judged.WIDTH_SHARE.value * width_m] or drills[:1]
    passes = [float(orifice.orifice_flow(d, limits.vent_pressure_pa, judged.AIR_DENSITY.value)) for d in fits]
    count = int(orifice.holes_needed(flow_m3_s, passes[-1]))
    enough = [d for d, each in zip(fits, passes, strict=True) if count * each >= flow_m3_s * (1 - 1e-9)]
    return enough[0], count


def holes_of(flow_m3_s: float, hole_m: float, limits: ShopLimits) -> int:
    """Number of holes of one diameter [m] that pass ``flow_m3_s`` at the allowed back-pressure; at least one."""
    each = float(orifice.orifice_flow(hole_m, limits.vent_pressure_pa, judged.AIR_DENSITY.value))
    return max(1, int(orifice.holes_needed(flow_m3_s, each)))
