"""Chambers: pieces of the cavity that are not connected, each filled for itself."""

from __future__ import annotations

from dataclasses import dataclass

import edt
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import Cavity, LevelGraph


@dataclass(frozen=True, eq=False)
class Chambers:
    """``of_node`` (n,) chamber of each node of the level graph, numbered from 0, largest first. Read-only."""

    of_node: np.ndarray
    volume_m3: np.ndarray  # (chambers,)
    widest_m: np.ndarray  # (chambers,) diameter of the largest ball in it
    thickness_m: np.ndarray  # (chambers,) twice the volume over the area of the wall round it: the gap of a flat one

    @property
    def count(self) -> int:
        """Number of chambers."""
        return len(self.volume_m3)


def chambers_of(cavity: Cavity, graph: LevelGraph) -> Chambers:
    """The chambers of a cavity."""
    n, cell = len(graph.node_level), cavity.grid.cell_m
    links = coo_array((np.ones(len(graph.edge_lower), np.int8), (graph.edge_lower, graph.edge_upper)), shape=(n, n))
    count, piece = connected_components(links, directed=False)
    volume = np.bincount(piece, graph.node_volume_m3, count)
    # Side walls from the outlines; floors and ceilings from what each section does not share with its neighbours.
    area = np.bincount(piece, graph.node_perimeter_m * cell + 2 * graph.node_area_m2, count)
    shared = np.bincount(piece[graph.edge_lower], graph.edge_overlap_m2, count)
    area = np.maximum(area - 2 * shared, 1e-12)
    order = np.argsort(-volume, kind="stable")
    rank = np.argsort(order)
    away = edt.edt(np.ascontiguousarray(cavity.fraction >= 128), black_border=True) * cell
    label = np.concatenate([[-1], rank[piece]])[graph.label]
    widest = np.array([2 * float(away[label == chamber].max()) for chamber in range(count)])
    arrays = rank[piece], volume[order], widest, (2 * volume / area)[order]
    for array in arrays:
        array.setflags(write=False)
    return Chambers(*arrays)
