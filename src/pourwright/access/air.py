"""Which way the air of a rising pour leaves, by the level graph."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import LevelGraph

OUT = -1
"""Air of a node that leaves through an opening other than at a pocket."""


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
