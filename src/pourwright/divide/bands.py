"""How tall a lift may grow from every level: the bands of the level graph checked against the limits.

A band is a run of levels over the whole cavity. It is grown upwards from each level in turn, one level at a time, with
a union-find over the nodes of the graph, so that each of its connected pieces is known with its foam, its rise and the
weakest panel beside it. Nodes are visited, never cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.compiled import njit

THICKNESS, LIQUID, CLOSING, OPEN = 1, 2, 3, 4
"""What stopped a band: see `Growth.kind`; 0 is the top of the cavity."""


class Nodes(NamedTuple):
    """The level graph as flat arrays that compiled code can walk, plus what the skin says at each node.

    ``first`` (levels + 1,) index of the first node of each level; ``below`` and ``below_at`` (n + 1,) the neighbours
    under each node as one list and its offsets; ``rises`` (n,) whether a node has a neighbour above it; ``opening``
    (n,) whether it touches an opening that looks up; ``strength_pa`` (n,) the pressure that the weakest panel beside it
    stands (inf where none is near, nan where unknown); ``low_m``, ``high_m`` (n, 2) its extents in plan; ``tall_m``
    (levels,) the thickness that a lift through each level must keep besides the general one.
    """

    first: np.ndarray
    below: np.ndarray
    below_at: np.ndarray
    rises: np.ndarray
    opening: np.ndarray
    strength_pa: np.ndarray
    low_m: np.ndarray
    high_m: np.ndarray
    volume_m3: np.ndarray
    level_m: np.ndarray
    tall_m: np.ndarray


class Rules(NamedTuple):
    """The limits that the height of a lift has to keep, as numbers."""

    ripple_m: float  # a pool shallower than this folds away
    lift_m: float  # thickest risen foam
    liquid_m3: float  # all the hands can mix and pour in the cream time, for one piece
    open_share: float  # liquid per volume of foam under a free surface
    closed_share: float  # the same for a pour that fills a pocket to its cap
    closing_pa: float  # pressure of a pour that fills a pocket to its cap
    open_pa: float  # pressure of an open pour without its head ...
    head_pa_m: float  # ... and per metre of its rise
    flow_distance_m: float
    thin_m: float  # pressure never asks for a lift thinner than this: thinner would be no cure
    least_m3: float = 0.0  # foam that is not worth a pour of its own
    spill_m: float = 0.0  # a pool of less than that fills from above where it is no deeper than this


@dataclass(frozen=True, eq=False)
class Growth:
    """For every level: how many levels a lift that begins there may have, and what stops it. Arrays read-only.

    ``forced`` marks levels where not even one level keeps the limits; ``tallest`` is then 1. ``kind`` is 0 where the
    top of the cavity is reached; ``value`` and ``limit`` belong to the band that is one level taller. ``joined`` says
    that it is the join of two pools that brings the band over. ``cost`` (levels, most + 1) int64 counts the pours of
    the band of so many levels, plus the landings its extents in plan call for beyond one a pour, plus its pieces too
    small for a pour.
    """

    tallest: np.ndarray
    forced: np.ndarray
    kind: np.ndarray
    value: np.ndarray
    limit: np.ndarray
    joined: np.ndarray
    cost: np.ndarray


def nodes_of(
    graph: LevelGraph,
    opening: np.ndarray,
    strength_pa: np.ndarray,
    low_m: np.ndarray,
    high_m: np.ndarray,
    tall_m: np.ndarray | None = None,
) -> Nodes:
    """The graph as flat arrays. ``opening`` (n,) bool, ``strength_pa`` (n,), ``low_m`` and ``high_m`` (n, 2).

    ``tall_m`` (levels,) bounds the lifts through each level; left out, nothing does.
    """
    count = len(graph.node_level)
    first = np.searchsorted(graph.node_level, np.arange(graph.levels + 1)).astype(np.int64)
    order = np.argsort(graph.edge_upper, kind="stable")
    below_at = np.searchsorted(graph.edge_upper[order], np.arange(count + 1)).astype(np.int64)
    rises = np.zeros(count, bool)
    rises[graph.edge_lower] = True
    return Nodes(
        first,
        np.ascontiguousarray(graph.edge_lower[order], np.int64),
        below_at,
        rises,
        np.ascontiguousarray(opening, bool),
        np.ascontiguousarray(strength_pa, float),
        np.ascontiguousarray(low_m, float),
        np.ascontiguousarray(high_m, float),
        np.ascontiguousarray(graph.node_volume_m3, float),
        np.ascontiguousarray(graph.level_m, float),
        np.full(graph.levels, np.inf) if tall_m is None else np.ascontiguousarray(tall_m, float),
    )


def grow(nodes: Nodes, rules: Rules, start: int, stop: int) -> Growth:
    """Grow a band from every level ``start <= i < stop`` until a limit or ``stop`` ends it."""
    levels = stop - start
    thin = max(1, int(np.searchsorted(nodes.level_m - nodes.level_m[0], rules.thin_m)))
    holds = np.ones(len(nodes.volume_m3), np.bool_)
    nothing = np.zeros((1, 1), np.int64)
    for level in range(start, stop):
        _grow_one(nodes, rules, start, max(start, level + 1 - thin), level + 1, holds, True, nothing)
    cost = np.zeros((levels, levels + 1), np.int64)
    out = np.zeros((levels, 4))
    for level in range(start, stop):
        out[level - start] = _grow_one(nodes, rules, start, level, stop, holds, False, cost)
    tallest = out[:, 0].astype(np.int64)
    kind = np.abs(out[:, 1]).astype(np.int64)
    growth = Growth(np.maximum(tallest, 1), tallest == 0, kind, out[:, 2].copy(), out[:, 3].copy(), out[:, 1] < 0, cost)
    for array in vars(growth).values():
        array.setflags(write=False)
    return growth


@njit(cache=True)
def _find(parent, i):  # type: ignore[no-untyped-def]
    while parent[i] != i:
        parent[i] = parent[parent[i]]
        i = parent[i]
    return i


@njit(cache=True)
def _landings(pours, low, high, reach):  # type: ignore[no-untyped-def]
    """Pours of a piece, or the landings that the diagonal of its plan calls for if they are more."""
    diagonal = ((high[0] - low[0]) ** 2 + (high[1] - low[1]) ** 2) ** 0.5
    return max(pours, np.int64(np.ceil(diagonal / (2 * reach) - 1e-9)))


@njit(cache=True)
def folds(depth_m, volume_m3, ripple_m, least_m3, spill_m):  # type: ignore[no-untyped-def]
    """Whether a pool that joins an elder one counts with it: a ripple, or so little that it fills from above.

    A depth of exactly a threshold folds, whatever the rounding.
    """
    return depth_m <= ripple_m + 1e-9 or (volume_m3 < least_m3 and depth_m <= spill_m + 1e-9)


@njit(cache=True)
def _older(a, b, floor, volume):  # type: ignore[no-untyped-def]
    """Whether piece ``a`` comes before ``b``: the lower floor, then the larger volume, then the first."""
    if floor[a] != floor[b]:
        return floor[a] < floor[b]
    if abs(volume[a] - volume[b]) > 1e-12:
        return volume[a] > volume[b]
    return a < b


@njit(cache=True)
def _take(keep, drop, parent, weakest, opening, low, high):  # type: ignore[no-untyped-def]
    """Put ``drop`` into ``keep``; returns ``keep``."""
    parent[drop] = keep
    weakest[keep] = min(weakest[keep], weakest[drop])
    opening[keep] = opening[keep] or opening[drop]
    for k in range(2):
        low[keep, k] = min(low[keep, k], low[drop, k])
        high[keep, k] = max(high[keep, k], high[drop, k])
    return keep


@njit(cache=True)
def _grow_one(n, r, start, bottom, stop, holds, probe, cost):  # type: ignore[no-untyped-def]
    """Grow one band. With ``probe`` only ``holds`` is written: whether the closing pressure is borne by what a thin
    band up to the peaks at its last level has beside it. Returns tallest, kind (negative: by a join), value, limit."""
    base = n.first[bottom]
    size = n.first[stop] - base
    parent = np.arange(size)
    volume = np.zeros(size)
    floor = np.zeros(size, np.int64)  # lowest level of the piece
    pours = np.zeros(size, np.int64)
    weakest = np.full(size, np.inf)
    opening = np.zeros(size, np.bool_)
    joined_m3 = np.zeros(size)  # smaller part of the last join of two pools, and at which level
    joined_at = np.full(size, -1)
    low = np.zeros((size, 2))
    high = np.zeros((size, 2))
    going_on = np.zeros(size, np.bool_)
    doomed = np.zeros(size, np.bool_)  # not even a thin band up to its peaks bears the closing pressure
    tiny = np.zeros(size, np.bool_)  # too small for a pour
    total = 0
    tall = r.lift_m
    for level in range(bottom, stop):
        tall = min(tall, n.tall_m[level])
        a, b = n.first[level] - base, n.first[level + 1] - base
        for i in range(a, b):
            g = i + base
            weakest[i] = n.strength_pa[g]
            opening[i] = n.opening[g]
            floor[i] = level
            low[i] = n.low_m[g]
            high[i] = n.high_m[g]
            if np.isnan(weakest[i]):
                weakest[i] = np.inf
            root = i
            elder = -1
            for e in range(n.below_at[g], n.below_at[g + 1]):
                if n.below[e] >= base:
                    other = _find(parent, n.below[e] - base)
                    if elder < 0 or _older(other, elder, floor, volume):
                        elder = other
            if elder >= 0:  # the new node goes on from the eldest piece below it
                total -= _landings(pours[elder], low[elder], high[elder], r.flow_distance_m)
                root = _take(elder, i, parent, weakest, opening, low, high)
                total += _landings(pours[elder], low[elder], high[elder], r.flow_distance_m)
            for e in range(n.below_at[g], n.below_at[g + 1]):
                if n.below[e] < base:
                    continue
                other = _find(parent, n.below[e] - base)
                if other == root:
                    continue
                total -= _landings(pours[root], low[root], high[root], r.flow_distance_m)
                total -= _landings(pours[other], low[other], high[other], r.flow_distance_m)
                depth = n.level_m[level] - n.level_m[floor[other]]
                if folds(depth, volume[other], r.ripple_m, r.least_m3, r.spill_m):
                    pours[other] -= 1
                else:
                    joined_at[root] = level
                    joined_m3[root] = min(volume[root], volume[other])
                for one in (root, other):
                    if tiny[one]:
                        tiny[one] = False
                        total -= 1
                volume[root] += volume[other]
                pours[root] += pours[other]
                _take(root, other, parent, weakest, opening, low, high)
                total += _landings(pours[root], low[root], high[root], r.flow_distance_m)
            if pours[root] == 0:  # nothing below: a pool of its own
                pours[root] = 1
                total += _landings(1, low[root], high[root], r.flow_distance_m)
            volume[root] += n.volume_m3[g]
        for i in range(a, b):
            root = _find(parent, i)
            going_on[root] = False
            doomed[root] = False
            if tiny[root] != (volume[root] < r.least_m3):
                tiny[root] = not tiny[root]
                total += 1 if tiny[root] else -1
        for i in range(a, b):
            if n.rises[i + base]:
                going_on[_find(parent, i)] = True
            elif not holds[i + base]:
                doomed[_find(parent, i)] = True
        worst, kind, value, limit = 1.0, 0, 0.0, 1.0
        for i in range(a, b):
            root = _find(parent, i)
            closed = not going_on[root] and not opening[root]
            if probe:
                if level == stop - 1 and closed:
                    holds[i + base] = r.closing_pa <= weakest[root]
                continue
            rise = n.level_m[level + 1] - n.level_m[floor[root]]
            if rise / tall > worst + 1e-9:
                worst, kind, value, limit = rise / tall, 1, rise, tall
            share = r.closed_share if closed else r.open_share
            liquid = volume[root] * share
            if liquid / r.liquid_m3 > worst + 1e-9:
                by_join = joined_at[root] == level and liquid - joined_m3[root] * share <= r.liquid_m3
                worst, kind, value, limit = liquid / r.liquid_m3, (-2 if by_join else 2), liquid, r.liquid_m3
            if closed:
                pressure = r.closing_pa
                curable = not doomed[root]
            else:
                pressure = r.open_pa + r.head_pa_m * rise
                curable = r.open_pa + r.head_pa_m * r.thin_m <= weakest[root]
            if curable and pressure / weakest[root] > worst + 1e-9:
                weak = float(weakest[root])
                worst, kind, value, limit = pressure / weak, (3 if closed else 4), pressure, weak
        if probe:
            continue
        if kind != 0:
            if level == bottom:
                cost[bottom - start, 1] = total
            return float(level - bottom), float(kind), value, limit
        cost[bottom - start, level - bottom + 1] = total
    return float(stop - bottom), 0.0, 0.0, 0.0
