"""Vents: where air is trapped, how much of it must pass and through what holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, Extremum, LevelGraph, nearest_skin_point, skin_above
from pourwright.divide.shapes import PourShape
from pourwright.lifts import judged
from pourwright.lifts.model import ShopLimits
from pourwright.lifts.mouths import up_part
from pourwright.lifts.skin_side import UpOpenings
from pourwright.physics import orifice
from pourwright.shell import Skin

OUT = -1
"""Air of a node that leaves through an opening other than at a pocket."""


@dataclass(frozen=True, eq=False)
class VentSpot:
    """A pocket's way out before it has a name. ``point_m`` on the skin or cap, shell axes."""

    pocket: Extremum
    opening: int  # index, -1 for a hole to drill
    point_m: np.ndarray
    width_m: float  # of the limb just under it


def air_ways(graph: LevelGraph, opening: np.ndarray, start_level: int) -> np.ndarray:
    """For each node the pocket its air leaves by: an index into ``graph.pockets``, `OUT`, or -2 below the start.

    While foam stands in a node, the air above it is what the cavity has from that level up, as far as it hangs
    together there. Of the pockets in it the highest stays open longest and must be able to pass all of it; a ripple
    passes its air on to the pocket it joins; an opening anywhere in it, not only at a pocket, lets the air out.
    """
    count = len(graph.node_level)
    parent = np.arange(count)
    passes_to = np.arange(count)  # peak -> the peak it joins
    out = np.zeros(count, bool)
    way = np.full(count, -2)
    by_node = {pocket.node: k for k, pocket in enumerate(graph.pockets)}
    above: list[list[int]] = [[] for _ in range(count)]
    for low, high in zip(graph.edge_lower.tolist(), graph.edge_upper.tolist(), strict=True):
        above[low].append(high)
    level = graph.node_level.tolist()

    def find(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = int(parent[i])
        return i

    first = int(np.searchsorted(graph.node_level, start_level))
    peaks = np.full(count, -1)
    escapes = np.zeros(count, bool)
    begins = np.searchsorted(graph.node_level, np.arange(graph.levels + 1)).tolist()
    for now in range(graph.levels - 1, start_level - 1, -1):
        nodes = range(begins[now], begins[now + 1])
        for node in nodes:
            peaks[node], out[node] = node, bool(opening[node])
            for other in sorted({find(high) for high in above[node]}):
                mine = find(node)
                if other == mine:
                    continue
                keep, drop = sorted((mine, other), key=lambda r: (-level[peaks[r]], peaks[r] not in by_node, r))
                passes_to[peaks[drop]] = peaks[keep]
                parent[drop] = keep
                out[keep] = out[keep] or out[drop]
        for node in nodes:
            escapes[node], peaks[node] = out[find(node)], peaks[find(node)]
    for node in range(first, count):
        peak = int(peaks[node])
        while peak not in by_node and passes_to[peak] != peak:
            peak = int(passes_to[peak])
        pocket = by_node.get(peak, OUT)
        at_opening = pocket != OUT and bool(opening[graph.pockets[pocket].node])
        way[node] = OUT if escapes[node] and not at_opening else pocket
    return way


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
    skin: Skin, cavity: Cavity, graph: LevelGraph, openings: UpOpenings, start_level: int
) -> list[tuple[int, VentSpot]]:
    """A way out for every pocket above the start: index of the pocket and where."""
    pockets = [(k, p) for k, p in enumerate(graph.pockets) if p.level >= start_level]
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
        spots.append((k, VentSpot(pocket, opening, points[row], _width(cavity, graph, pocket))))
    return spots


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
