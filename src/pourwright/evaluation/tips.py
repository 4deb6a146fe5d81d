"""Tips that were to fill along with the limb under them and do not: pours of their own."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import LevelGraph, Limbs
from pourwright.evaluation.model import RiseHistory
from pourwright.lifts import Division, EvenBands, Tighter, judged
from pourwright.rise import GELLED


def tips_asked(
    division: Division, rises: Mapping[str, RiseHistory], graph: LevelGraph, least_m3: float
) -> tuple[Tighter, ...]:
    """Tips of a searched day that foam does not fill from below, each to be a pour of its own.

    A tip is small and has no way on at its top. Foam that rises into it from the limb under it stops about where that
    limb's own surface stands, or gels before. One of less than ``least_m3`` of foam is no pour.
    """
    if isinstance(division.day, EvenBands):
        return ()
    out = []
    for pour in (pour for lift in division.lifts for pour in lift.pours):
        for void in rises[pour.name].voids if pour.name in rises else ():
            tip = _tip(division.day.limbs, graph, void.node) if void.reason == GELLED else np.zeros(0, np.int64)
            if len(tip) and float(graph.node_volume_m3[tip].sum()) >= least_m3:
                words = f"foam of the limb under it does not fill a tip, {1e3 * void.volume_m3:.2g} L would stay empty"
                ends = (
                    float(graph.level_m[graph.node_level[tip].min()]),
                    float(graph.level_m[graph.node_level[tip].max() + 1]),
                )
                out.append(Tighter(*ends, math.inf, judged.SHORT, words, (void.node,), own=True))
    return tuple(out)


def own_nodes(tighter: tuple[Tighter, ...]) -> tuple[int, ...]:
    """Nodes of the tips that are to be pours of their own."""
    return tuple(sorted({node for ask in tighter if ask.own for node in ask.nodes}))


def _tip(limbs: Limbs, graph: LevelGraph, node: int) -> np.ndarray:
    """Nodes that hang together with one that a limb takes in; none where it is of a limb itself."""
    taken = np.zeros(len(graph.node_level), bool)
    for limb in limbs.limbs:
        taken[limb.taken] = True
    if node < 0 or not taken[node]:
        return np.zeros(0, np.int64)
    both = taken[graph.edge_lower] & taken[graph.edge_upper]
    ends = graph.edge_lower[both], graph.edge_upper[both]
    links = coo_array((np.ones(int(both.sum())), ends), shape=2 * taken.shape)
    piece = connected_components(links, directed=False)[1]
    return np.flatnonzero(taken & (piece == piece[node]))
