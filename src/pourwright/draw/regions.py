"""Which part of the cavity is a pool, and which a pocket, up to where it meets another."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import Extremum, LevelGraph


def region_nodes(graph: LevelGraph, extremum: Extremum) -> np.ndarray:
    """Nodes of a pool below (a pocket: above) the level at which it meets another of its kind.

    Empty for the only pool or pocket of its piece: nothing to tell apart.
    """
    pool = extremum.kind == "pool"
    level = graph.node_level if pool else graph.levels - 1 - graph.node_level
    others = [e for e in (graph.pools if pool else graph.pockets) if e is not extremum]
    meets = [_meeting(graph, e, pool) for e in (extremum, *others) if not e.essential]
    for limit in sorted(set(meets)):
        if not extremum.essential and limit < _meeting(graph, extremum, pool):
            continue
        group = _reached(graph, extremum.node, level <= limit)
        if extremum.essential and not any(group[e.node] for e in others):
            continue
        return np.flatnonzero(_reached(graph, extremum.node, level < limit))
    return np.empty(0, int)


def _meeting(graph: LevelGraph, extremum: Extremum, pool: bool) -> int:
    return extremum.merge_level if pool else graph.levels - 1 - extremum.merge_level


def _reached(graph: LevelGraph, node: int, allowed: np.ndarray) -> np.ndarray:
    """Nodes that hang together with ``node`` through allowed ones, as a mask."""
    both = allowed[graph.edge_lower] & allowed[graph.edge_upper]
    count = len(graph.node_level)
    links = coo_array(
        (np.ones(int(both.sum()), np.int8), (graph.edge_lower[both], graph.edge_upper[both])), shape=(count, count)
    )
    name = connected_components(links, directed=False)[1]
    return np.asarray((name == name[node]) & allowed)
