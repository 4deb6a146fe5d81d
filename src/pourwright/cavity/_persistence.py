"""Pools and pockets: 0-dimensional persistence of the level graph by the elder rule.

Sweep the levels upwards (pools) or downwards (pockets). A node that touches nothing already swept is born; where
components meet, the one born first lives on and the others end (Edelsbrunner & Harer, Computational Topology, 2010,
VII.1: from memory). Among equals the one of the lower node index is the elder.
"""

from __future__ import annotations

import numpy as np

from pourwright.cavity._compile import kernel
from pourwright.cavity._pieces import find


@kernel
def _sweep(
    order: np.ndarray, rank: np.ndarray, level: np.ndarray, start: np.ndarray, other: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Birth node and merging node of every component that has any depth; merging node -1 where it never ends.

    ``order`` lists nodes in sweep order, ``rank`` is its inverse, ``other[start[n]:start[n + 1]]`` the nodes already
    swept that touch n.
    """
    n = len(order)
    parent = np.arange(n)  # roots are births: the eldest node of their component
    births, ends = np.empty(n, np.int64), np.empty(n, np.int64)
    used = 0
    for i in range(n):
        node = order[i]
        for j in range(start[node], start[node + 1]):
            a, b = find(parent, node), find(parent, other[j])
            if a == b:
                continue
            if rank[a] < rank[b]:
                a, b = b, a
            parent[a] = b  # b is the elder
            if a != node and level[a] != level[node]:
                births[used], ends[used] = a, node
                used += 1
    for i in range(n):
        node = order[i]
        if parent[node] == node:
            births[used], ends[used] = node, -1
            used += 1
    return births[:used], ends[:used]


def pairs(level: np.ndarray, low: np.ndarray, high: np.ndarray, upward: bool) -> tuple[np.ndarray, np.ndarray]:
    """Birth and merging nodes of all pools (``upward``) or pockets of a graph.

    Parameters
    ----------
    level : ndarray (n,) int
        Level of each node; nodes are ordered by level.
    low, high : ndarray (e,) int
        Lower and upper node of each edge.
    upward : bool

    Returns
    -------
    births, ends : ndarray (k,) int64
        The node where each is born, and the one where it meets an elder; -1 for the eldest of a connected piece.
    """
    n = len(level)
    order = np.lexsort((np.arange(n), level if upward else -level)).astype(np.int64)
    rank = np.empty(n, np.int64)
    rank[order] = np.arange(n)
    late, early = (high, low) if upward else (low, high)
    by = np.lexsort((rank[early], late))
    start = np.searchsorted(late[by], np.arange(n + 1)).astype(np.int64)
    return _sweep(order, rank, np.asarray(level, np.int64), start, np.asarray(early, np.int64)[by])
