"""How far liquid must run over the floor of a pour from where it lands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components, dijkstra

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._pieces import IN, runs_of
from pourwright.cavity.model import Cavity, LevelGraph
from pourwright.cavity.outline import _chosen

SPOTS = 4000  # patches of floor that are kept apart; beyond, neighbouring columns are taken together


@inner
def _overlap(low: np.ndarray, high: np.ndarray, i: int, j: int) -> bool:
    return low[i] < high[j] and low[j] < high[i]


@inner
def _bridged(start: np.ndarray, low: np.ndarray, high: np.ndarray, i: int, j: int, column: int) -> bool:
    """Whether a run of ``column`` touches both i and j, so that the step between them does not pass an edge."""
    for k in range(start[column], start[column + 1]):  # noqa: SIM110 - the compiler knows no any()
        if _overlap(low, high, i, k) and _overlap(low, high, j, k):
            return True
    return False


@kernel
def _steps(start: np.ndarray, low: np.ndarray, high: np.ndarray, nx: int, ny: int) -> np.ndarray:
    """Pairs of runs of neighbouring columns (8 neighbours) between which liquid can pass."""
    count = 0
    out = np.empty((0, 2), np.int64)
    for turn in range(2):
        if turn == 1:
            out = np.empty((count, 2), np.int64)
            count = 0
        for ix in range(nx):
            for iy in range(ny):
                here = ix * ny + iy
                for way in range(4):
                    jx, jy = ix + (1 if way != 1 else 0), iy + (0 if way == 0 else (-1 if way == 3 else 1))
                    if jx >= nx or jy >= ny or jy < 0:
                        continue
                    there = jx * ny + jy
                    for i in range(start[here], start[here + 1]):
                        for j in range(start[there], start[there + 1]):
                            if not _overlap(low, high, i, j):
                                continue
                            if way >= 2 and not (
                                _bridged(start, low, high, i, j, jx * ny + iy)
                                or _bridged(start, low, high, i, j, ix * ny + jy)
                            ):
                                continue
                            if turn == 1:
                                out[count, 0], out[count, 1] = i, j
                            count += 1
    return out


@dataclass(frozen=True, eq=False)
class Floor:
    """The floor under a set of nodes as patches joined where liquid can run. Read-only arrays."""

    spots_standing_m: np.ndarray  # (n, 3) middle of each patch, on the floor
    cells: np.ndarray  # (n, 3) a cell of the patch next to its middle
    patch_m: float  # edge of a patch
    ways: csr_array  # (n, n) length of each step [m]

    def reach(self, seeds: np.ndarray) -> np.ndarray:
        """Shortest way [m] (n,) over the floor from the nearest of ``seeds`` (k, 3), standing metres; inf if none.

        Each seed stands for the patch nearest to it. Steps go to eight neighbours, so a way is up to 8 % longer than
        a straight run (never shorter, to within a patch): the reach is not flattered.
        """
        seeds = np.atleast_2d(np.asarray(seeds, float))
        apart = ((self.spots_standing_m[None] - seeds[:, None]) ** 2).sum(axis=2)
        return dijkstra(self.ways, directed=False, indices=np.unique(apart.argmin(axis=1)), min_only=True)


def floor_of(cavity: Cavity, graph: LevelGraph, nodes: np.ndarray) -> Floor:
    """Floor of the space that ``nodes`` make up: the lowest cell of each of its filled runs.

    Runs of neighbouring columns are joined where they share a face, so a way leads round what stands between.
    Where there are more than a few thousand columns, square blocks of them make one patch.
    """
    nodes = np.asarray(nodes, int)
    a, b = int(graph.node_level[nodes].min()), int(graph.node_level[nodes].max()) + 1
    span = graph.node_span[nodes]
    x, y = int(span[:, 0].min()), int(span[:, 2].min())
    box = np.s_[x : int(span[:, 1].max()), y : int(span[:, 3].max()), a:b]
    mine = _chosen(graph, nodes)[graph.label[box]] & (cavity.fraction[box] >= IN)
    xs, ys = np.flatnonzero(mine.any(axis=(1, 2))), np.flatnonzero(mine.any(axis=(0, 2)))
    mine = np.where(mine[xs[0] : xs[-1] + 1, ys[0] : ys[-1] + 1], np.uint8(255), np.uint8(0))
    nx, ny, _ = mine.shape
    start, low, high, _, _ = runs_of(mine)
    flat = np.repeat(np.arange(nx * ny), np.diff(start))
    run_xyz = np.column_stack([flat // ny, flat % ny, low]).astype(np.int64)
    steps = _steps(start, low, high, nx, ny)
    size = max(1, int(np.ceil(np.sqrt(len(low) / SPOTS))))
    block = (run_xyz[:, 0] // size) * (ny // size + 1) + run_xyz[:, 1] // size
    same = steps[block[steps[:, 0]] == block[steps[:, 1]]]
    n = len(low)
    patches, patch = connected_components(
        coo_array((np.ones(len(same), np.int8), (same[:, 0], same[:, 1])), shape=(n, n)), directed=False
    )
    weight = np.bincount(patch, minlength=patches)
    middle = np.column_stack([np.bincount(patch, run_xyz[:, i], patches) / weight for i in range(3)])
    off = ((run_xyz - middle[patch]) ** 2).sum(axis=1)
    nearest = np.lexsort((off, patch))[np.concatenate([[0], np.cumsum(weight)[:-1]])]
    h = cavity.grid.cell_m
    corner = np.array([x + xs[0], y + ys[0], a])
    spots = cavity.grid.origin_m + (middle + corner + [0.5, 0.5, 0.0]) * h
    ends = patch[steps].astype(np.int64)
    key = np.unique(ends.min(axis=1) * patches + ends.max(axis=1))  # one number a pair sorts faster than rows
    pair = np.column_stack([key // patches, key % patches])
    pair = pair[pair[:, 0] != pair[:, 1]]
    length = np.linalg.norm(spots[pair[:, 0]] - spots[pair[:, 1]], axis=1)
    ways = coo_array((length, (pair[:, 0], pair[:, 1])), shape=(patches, patches)).tocsr()
    cells = run_xyz[nearest] + corner
    spots.setflags(write=False)
    cells.setflags(write=False)
    return Floor(spots, cells, size * h, ways)
