"""Hollows of a body that hold water, such as a cockpit: how high their lowest edge is and what stands in them up to it.

Water in a hollow rises until it meets, over the lowest pass, the water that climbs the outside from the lowest point of
the body. On a triangulated surface the lowest pass between two corners is the highest corner of the path between them
in the minimum spanning tree of the edges, each weighed by its higher end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import breadth_first_order, connected_components, minimum_spanning_tree

from pourwright.water.hydrostatics import UNDER_EDGE_M, Loose
from pourwright.water.under import Submerged, submerged

HOLLOW_SHARE = 1e-3
"""Hollows smaller than this share of the body are dimples, not cockpits."""


@dataclass(frozen=True, eq=False)
class Hollow:
    """What one hollow holds up to its lowest edge, in one attitude."""

    seed: int  # a corner at its bottom, which names it in any attitude
    edge_m: float  # height of its lowest edge along the normal
    water: Submerged  # what it holds


def loose_in(pools: Sequence[Submerged]) -> Loose:
    """Water of pools together, each with a surface of its own."""
    volume = sum(pool.volume_m3 for pool in pools)
    centre = sum((pool.volume_m3 * pool.centre_m for pool in pools), np.zeros(3))
    surface = sum((pool.waterplane_m4 for pool in pools), np.zeros((2, 2)))
    return Loose(volume, centre / volume if volume > 0 else centre, surface)


class Hollows:
    """The hollows of a closed surface (n, 3), (m, 3), wound outwards."""

    def __init__(self, points_m: np.ndarray, faces: np.ndarray):
        self.points, self.faces = np.asarray(points_m, float), np.asarray(faces)
        pairs = np.sort(np.concatenate([self.faces[:, [0, 1]], self.faces[:, [1, 2]], self.faces[:, [2, 0]]]), axis=1)
        self.edges = np.unique(pairs, axis=0)
        _, self.piece = self._joined(np.ones(len(self.edges), bool))
        corner = self.points[self.faces]
        self.solid_m3 = float(np.einsum("ij,ij->", corner[:, 0], np.cross(corner[:, 1], corner[:, 2])) / 6.0)

    def _joined(self, kept: np.ndarray) -> tuple[int, np.ndarray]:
        a, b = self.edges[kept].T
        count = len(self.points)
        return connected_components(coo_array((np.ones(len(a), bool), (a, b)), shape=(count, count)), directed=False)

    def _passes(self, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Corners as reached from the lowest one of their piece over the lowest passes, and whence each; -1: a start.

        The starts of all pieces hang on one root of their own, so that a scan of many pieces is walked once.
        """
        count = len(height)
        by_height = np.lexsort((np.arange(count), height, self.piece))
        starts = by_height[np.unique(self.piece[by_height], return_index=True)[1]]
        a, b = self.edges.T
        weight = np.maximum(height[a], height[b]) - height.min() + 1.0  # a weight of 0 would be no edge
        ends = np.append(a, np.full(len(starts), count)), np.append(b, starts)
        graph = coo_array((np.append(weight, np.ones(len(starts))), ends), shape=(count + 1, count + 1))
        order, before = breadth_first_order(minimum_spanning_tree(graph.tocsr()), count, directed=False)
        return order[1:], np.where(before[:count] == count, -1, before[:count])

    def edge_of(self, seed: int, normal: np.ndarray) -> float:
        """Height [m] along ``normal`` (unit) of the lowest edge of the hollow that holds corner ``seed``."""
        height = self.points @ normal
        _, before = self._passes(height)
        top, at = float(height[seed]), seed
        while (at := int(before[at])) >= 0:
            top = max(top, float(height[at]))
        return top

    def basin(self, seed: int, normal: np.ndarray, edge_m: float) -> np.ndarray:
        """Faces (k, 3), wound inwards, of the hollow round ``seed`` up to its edge."""
        under = self.points @ normal < edge_m - UNDER_EDGE_M
        if not under[seed]:
            return self.faces[:0]
        _, piece = self._joined(under[self.edges].all(axis=1))
        mine = under & (piece == piece[seed])
        return self.faces[mine[self.faces].any(axis=1)][:, ::-1]

    def pools(self, seed: int, normal: np.ndarray, edge_m: float, level_m: float) -> list[Submerged]:
        """Water in the hollow round ``seed`` up to a level under its edge, each pool that stands by itself."""
        basin = self.basin(seed, normal, edge_m)
        inside = np.zeros(len(self.points), bool)
        inside[basin] = True
        inside &= self.points @ normal < level_m - UNDER_EDGE_M
        _, piece = self._joined(inside[self.edges].all(axis=1))
        lowest = piece[basin[np.arange(len(basin)), (self.points @ normal)[basin].argmin(axis=1)]]
        wet = inside[basin].any(axis=1)
        return [
            submerged(self.points, basin[wet & (lowest == name)], normal, level_m - UNDER_EDGE_M)
            for name in np.unique(lowest[wet])
        ]

    def full(self, seed: int, normal: np.ndarray) -> Hollow:
        """The hollow round ``seed``, full to its edge, in this attitude."""
        edge = self.edge_of(seed, normal)
        basin = self.basin(seed, normal, edge)
        return Hollow(seed, edge, submerged(self.points, basin, normal, edge - UNDER_EDGE_M))

    def find(self, normal: np.ndarray) -> tuple[Hollow, ...]:
        """Every hollow that holds more than a dimple, the one with the lowest edge first."""
        height = self.points @ normal
        least = HOLLOW_SHARE * self.solid_m3
        rim, group = self._rims(height)
        low = rim - height > UNDER_EDGE_M
        found = []
        for name in self._roomy(low, group, least):
            left = np.flatnonzero(low & (group == name))
            while len(left):  # passes of one height may lead into more than one hollow
                seed = int(left[height[left].argmin()])
                basin = self.basin(seed, normal, float(rim[seed]))
                water = submerged(self.points, basin, normal, float(rim[seed]) - UNDER_EDGE_M)
                if water.volume_m3 > least:
                    found.append(Hollow(seed, float(rim[seed]), water))
                left = left[~np.isin(left, np.append(basin, seed))]
        return tuple(sorted(found, key=lambda h: (h.edge_m, h.seed)))

    def _roomy(self, low: np.ndarray, group: np.ndarray, least_m3: float) -> np.ndarray:
        """Names of groups of low corners whose faces reach far enough to hold ``least_m3``."""
        on = self.faces[low[self.faces].any(axis=1)]
        name = group[on[np.arange(len(on)), low[on].argmax(axis=1)]]
        names, index = np.unique(name, return_inverse=True)
        small, large = np.full((len(names), 3), np.inf), np.full((len(names), 3), -np.inf)
        for corner in range(3):
            np.minimum.at(small, index, self.points[on[:, corner]])
            np.maximum.at(large, index, self.points[on[:, corner]])
        return names[np.prod(large - small, axis=1) > least_m3]

    def _rims(self, height: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """For every corner the lowest pass to it from the lowest of its piece: its height, and a name for it."""
        order, before = self._passes(height)
        high, back, out, name = height.tolist(), before.tolist(), height.tolist(), list(range(len(height)))
        for v in order.tolist():
            p = back[v]
            if p < 0:
                continue
            over = max(high[v], high[p])
            if over > out[p]:
                out[v] = over
            else:
                out[v], name[v] = out[p], name[p]
        return np.array(out), np.array(name)
