"""Pieces of the cavity that are not connected: each is filled for itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity.model import LevelGraph


@dataclass(frozen=True, eq=False)
class Apart:
    """The pieces, largest first; ``of_node`` (n,) that of each node of the level graph. Read-only."""

    of_node: np.ndarray
    volume_m3: np.ndarray  # (pieces,)
    centroid_m: np.ndarray  # (pieces, 3) standing

    @property
    def count(self) -> int:
        """Number of pieces."""
        return len(self.volume_m3)


def apart_of(graph: LevelGraph) -> Apart:
    """The pieces of a cavity, by its level graph."""
    n = len(graph.node_level)
    links = coo_array((np.ones(len(graph.edge_lower), np.int8), (graph.edge_lower, graph.edge_upper)), shape=(n, n))
    count, piece = connected_components(links, directed=False)
    volume = np.bincount(piece, graph.node_volume_m3, count)
    order = np.argsort(-volume, kind="stable")
    of_node, volume = np.argsort(order)[piece], volume[order]
    moment = [np.bincount(of_node, graph.node_volume_m3 * graph.node_centroid_m[:, k], count) for k in range(3)]
    centroid = np.stack(moment, axis=1) / np.maximum(volume, 1e-30)[:, None]
    for array in (of_node, volume, centroid):
        array.setflags(write=False)
    return Apart(of_node, volume, centroid)
