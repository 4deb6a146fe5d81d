"""The part of the level graph that a pour fills, as a network of rooms and necks."""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.errors import UsageError
from pourwright.rise.model import Outlet

# Friction factor times Reynolds number over 2 of a round tube, and of wide plates (Dh = 2 gap).
_TUBE, _PLATES = 32.0, 48.0
_BIG = 1e3  # m2: air passes freely to the space above


@dataclass(frozen=True, eq=False)
class RiseNetwork:
    """Rooms in order of level; ``order`` are their places in the pour's node list."""

    order: np.ndarray  # (k,)
    node: np.ndarray  # (k,) graph nodes
    volume: np.ndarray  # (k,) m3
    area: np.ndarray  # (k,) m2
    height: np.ndarray  # (k,) m, middle of the level
    diameter: np.ndarray  # (k,) hydraulic
    centroid: np.ndarray  # (k, 3) standing
    low: np.ndarray  # (e,)
    high: np.ndarray  # (e,)
    ease: np.ndarray  # (e,) m3: flow = ease * drop / viscosity
    out_node: np.ndarray  # (o,) room of each outlet: the given ones, then those to the space above
    out_ease: np.ndarray  # (o,) m3
    out_head: np.ndarray  # (o,) m, from the middle of the room to the outlet
    out_air: np.ndarray  # (o,) m2
    width: int  # of the band of the matrix
    level_height: float


def section_factor(hydraulic_diameter: np.ndarray, width: np.ndarray) -> np.ndarray:
    """``c`` of the laminar drop ``c mu v dz / Dh^2`` from the hydraulic diameter and the width of a section.

    ``c = 32 + 16 (Dh / width - 1)``, held between 32 and 48: exact for a round tube (Dh = width) and for wide plates
    (Dh = 2 width). For rectangles it lies 8 to 20 % above Shah & London's values (1978, from memory): square 32
    against 28.5, two to one 37.3 against 31.1, four to one 41.6 against 36.5.
    """
    ratio = np.divide(hydraulic_diameter, width, out=np.ones_like(hydraulic_diameter), where=width > 0)
    return np.clip(_TUBE + (_PLATES - _TUBE) * (ratio - 1), _TUBE, _PLATES)


def hole_ease(diameter: float, length: float, holes: int = 1) -> float:
    """Flow over drop, times viscosity, of slow flow through round holes [m3]: ``n / (24/d^3 + 128 L/(pi d^4))``.

    Sampson's opening (Philosophical Transactions A 182 (1891), from memory) and Poiseuille's tube in series.
    """
    return holes / (24 / diameter**3 + 128 * length / (np.pi * diameter**4))


def build_network(
    graph: LevelGraph, nodes: np.ndarray, shares: np.ndarray, outlets: tuple[Outlet, ...], covered: bool
) -> RiseNetwork:
    """Rooms and necks of the pour; where the graph goes on above, the pour is open to it unless ``covered``."""
    nodes, shares = np.asarray(nodes), np.asarray(shares, float)
    if nodes.ndim != 1 or nodes.shape != shares.shape or len(nodes) == 0:
        raise UsageError(f"a pour needs nodes with as many shares, got {nodes.shape} and {shares.shape}")
    if len(np.unique(nodes)) != len(nodes) or nodes.min() < 0 or nodes.max() >= len(graph.node_level):
        raise UsageError("a pour's nodes must be nodes of the level graph, each once")
    if np.any(shares <= 0) or np.any(shares > 1):
        raise UsageError("a pour's share of a node must be above 0 and at most 1")
    order = np.lexsort((nodes, graph.node_level[nodes]))
    node, share = nodes[order], shares[order]
    place = np.full(len(graph.node_level), -1)
    place[node] = np.arange(len(node))
    dz = float(graph.level_m[1] - graph.level_m[0])
    area = graph.node_area_m2[node] * share
    diameter = graph.node_hydraulic_diameter_m[node]
    height = 0.5 * (graph.level_m[:-1] + graph.level_m[1:])[graph.node_level[node]]
    half = 0.5 * dz * section_factor(diameter, graph.node_width_m[node]) / (area * diameter**2)
    low, high = place[graph.edge_lower], place[graph.edge_upper]
    inside = (low >= 0) & (high >= 0)
    low_in, high_in = low[inside], high[inside]
    contact = graph.edge_overlap_m2[inside] * np.minimum(share[low_in], share[high_in])
    hard = half[low_in] + half[high_in] + _pinch(contact, area[low_in], area[high_in])
    above = (low >= 0) & (high < 0) & (not covered)
    over = np.unique(low[above])
    for outlet in outlets:
        if not 0 <= outlet.node < len(place) or place[outlet.node] < 0:
            raise UsageError(f"outlet {outlet.name} lies at node {outlet.node}, which the pour does not fill")
        if outlet.hole_m <= 0 or outlet.holes < 1 or outlet.length_m < 0:
            raise UsageError(f"outlet {outlet.name}: a hole needs a diameter above 0 and a length not below 0")
    given = np.array([place[o.node] for o in outlets], np.int64)
    return RiseNetwork(
        order=order,
        node=node,
        volume=graph.node_volume_m3[node] * share,
        area=area,
        height=height,
        diameter=diameter,
        centroid=graph.node_centroid_m[node],
        low=low_in,
        high=high_in,
        ease=1 / hard,
        out_node=np.concatenate([given, over]).astype(np.int64),
        out_ease=np.concatenate([[hole_ease(o.hole_m, o.length_m, o.holes) for o in outlets], 1 / half[over]]),
        out_head=np.full(len(given) + len(over), 0.5 * dz),
        out_air=np.concatenate([[o.area_m2 for o in outlets], np.full(len(over), _BIG)]),
        width=int(np.max(high_in - low_in, initial=0)),
        level_height=dz,
    )


def _pinch(contact: np.ndarray, below: np.ndarray, above: np.ndarray) -> np.ndarray:
    """Extra resistance [1/m3] where two rooms touch over much less than either's section: an opening in a ledge.

    Sampson's round opening of the area of contact, weighed by the share of the smaller section that is shut. The
    weighing is ours, no published source: nothing for a straight column, all of it for a small hole.
    """
    shut = np.clip(1 - contact / np.minimum(below, above), 0.0, 1.0)
    return shut * 24 / (4 * contact / np.pi) ** 1.5


def liquid_in(network: RiseNetwork, start: int, mass_kg: float, volume_m3_kg: float) -> np.ndarray:
    """Masses when the liquid has found its level from room ``start``: it fills the lowest rooms it can run to."""
    around: list[list[int]] = [[] for _ in network.volume]
    for a, b in zip(network.low.tolist(), network.high.tolist(), strict=True):
        around[a].append(b)
        around[b].append(a)
    mass = np.zeros(len(network.volume))
    left, seen, edge = mass_kg, {start}, [(float(network.height[start]), start)]
    while left > 0:
        if not edge:
            raise UsageError("the liquid of the pour already takes more room than the pour has: check mass and volume")
        _, room = heapq.heappop(edge)
        taken = min(left, float(network.volume[room]) / volume_m3_kg * (1 - 1e-9))
        mass[room] += taken
        left -= taken
        for other in around[room]:
            if other not in seen:
                seen.add(other)
                heapq.heappush(edge, (float(network.height[other]), other))
    return mass
