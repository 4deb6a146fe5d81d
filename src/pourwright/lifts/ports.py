"""Which of the candidate columns become ports: as few holes as do, by an exact set cover, openings before drills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import KDTree

from pourwright.cavity import Cavity, Floor, LevelGraph, floor_of
from pourwright.lifts import judged
from pourwright.lifts.drops import Drops
from pourwright.lifts.shapes import PourShape

ROUNDS = 16
PATCHES_A_ROUND = 4
MOST_NODES = 2000
"""Of the branch-and-bound tree: a count, not a time, so that the same input gives the same ports."""


@dataclass(frozen=True, eq=False)
class Piece:
    """Pours that rise together: their numbers over all lifts, the floor under all of them, and who can land there.

    ``drops`` (k,) candidates that land in it; ``patch`` (k,) the patch of floor each lands on; ``ways`` the floor's
    steps by their length in plan [m]: liquid runs along the floor, and up a wall it is the foam that rises.
    """

    lift: int
    pours: tuple[int, ...]
    ways: csr_array
    drops: np.ndarray
    patch: np.ndarray

    def run(self, used: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Way [m] to every patch from the nearest of the positions ``used`` in ``drops``, and where it starts."""
        way, _, start = dijkstra(
            self.ways,
            directed=False,
            indices=np.unique(self.patch[used]),
            min_only=True,
            return_predecessors=True,
        )
        return way, start


@dataclass(frozen=True, eq=False)
class Served:
    """How one pour is poured: candidates it uses, empty where none lands in it, and the farthest way from each [m]."""

    drops: tuple[int, ...]
    reach_m: tuple[float, ...]


def pieces_of(cavity: Cavity, graph: LevelGraph, pours: list[list[PourShape]], drops: Drops) -> list[Piece]:
    """Connected pieces of every lift, with their floors and the candidates that land in them."""
    pieces = []
    number = 0
    for lift, shapes in enumerate(pours):
        for piece in sorted({shape.piece for shape in shapes}):
            mine = [k for k, shape in enumerate(shapes) if shape.piece == piece]
            floor = floor_of(cavity, graph, np.unique(np.concatenate([shapes[k].nodes for k in mine])))
            numbers = tuple(number + k for k in mine)
            landing = np.flatnonzero(np.isin(drops.serves[:, lift], numbers))
            points = np.array([drops.landing_m(cavity, which, lift) for which in landing.tolist()]).reshape(-1, 3)
            patch = KDTree(floor.spots_standing_m).query(points)[1] if len(landing) else np.zeros(0, np.int64)
            pieces.append(Piece(lift, numbers, _in_plan(floor), landing, np.asarray(patch, np.int64)))
        number += len(shapes)
    return pieces


def _in_plan(floor: Floor) -> csr_array:
    """Steps of a floor by their length in plan; never quite nothing, which a sparse matrix would drop."""
    ways = floor.ways.tocoo()
    a, b = ways.coords
    step = floor.spots_standing_m[a, :2] - floor.spots_standing_m[b, :2]
    return coo_array((np.maximum(np.hypot(*step.T), 1e-9), (a, b)), shape=ways.shape).tocsr()


def cost_of(drops: Drops, reach_m: float) -> np.ndarray:
    """What each candidate costs in the cover: a hole counts one, an opening or a hole that is there next to nothing.

    Steep skin counts more; of the holes that are there the last of their list is preferred.
    """
    there = 0.02 + 0.005 * (1.0 - (drops.made + 1.0) / max(int(drops.made.max(initial=-1)) + 1, 1))
    off = np.minimum(drops.off_m / reach_m, 10.0)
    steep = np.where(drops.upward < judged.STEEP.value, 1.0, 0.0) + np.where(drops.upward < 0.2, 3.0, 0.0)
    small = 1.0 - drops.hole_m / judged.PORT_HOLE.value
    drilled = np.where(drops.made >= 0, there, 1.0 + steep + 0.2 * small)
    return np.where(drops.opening >= 0, 0.02, drilled) + 0.01 * off


def choose(pieces: list[Piece], drops: Drops, reach_m: float) -> tuple[dict[int, Served], np.ndarray]:
    """Ports for every pour: which candidates each uses, and all candidates that are used.

    The cover has a row for every pour that anything can land in, and rows for patches of floor that were found too far
    from every port; those are added, worst first, until none is left that a candidate could reach.
    """
    cost = cost_of(drops, reach_m)
    rows = [
        piece.drops[drops.serves[piece.drops, piece.lift] == pour]
        for piece in pieces
        for pour in piece.pours
        if (drops.serves[piece.drops, piece.lift] == pour).any()
    ]
    seen: set[tuple[int, int]] = set()
    there = np.flatnonzero(drops.made >= 0)  # they cost nothing more, whoever uses them
    chosen = np.union1d(_cover(rows, cost), there)
    for _ in range(ROUNDS):
        more = []
        for k, piece in enumerate(pieces):
            used = np.flatnonzero(np.isin(piece.drops, chosen))
            if len(used):
                more += _too_far(k, piece, used, reach_m, seen)
        if not more:
            break
        rows += more
        chosen = np.union1d(_cover(rows, cost), there)
    served: dict[int, Served] = {}
    for piece in pieces:
        served.update(_landings(piece, drops, chosen, cost, reach_m))
    used_at_all = np.unique(np.concatenate([np.zeros(0, np.int64), *(np.array(s.drops) for s in served.values())]))
    return served, used_at_all.astype(np.int64)


def _cover(rows: list[np.ndarray], cost: np.ndarray) -> np.ndarray:
    """Cheapest set of candidates that has at least one of each row."""
    if not rows:
        return np.zeros(0, np.int64)
    at = np.repeat(np.arange(len(rows)), [len(row) for row in rows])
    matrix = csr_array((np.ones(len(at)), (at, np.concatenate(rows))), shape=(len(rows), len(cost)))
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, lb=1),
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 1e-6, "node_limit": MOST_NODES},
    )
    if found.x is None:  # the tree was cut before a cover was found: all of it is one
        return np.unique(np.concatenate(rows))
    return np.flatnonzero(found.x > 0.5)


def _too_far(k: int, piece: Piece, used: np.ndarray, reach_m: float, seen: set[tuple[int, int]]) -> list[np.ndarray]:
    """Rows for the patches farthest from the ports in use, where another candidate is nearer."""
    way, _ = piece.run(used)
    rows: list[np.ndarray] = []
    for _ in range(PATCHES_A_ROUND):
        far = int(np.argmax(way))
        if way[far] <= reach_m:
            break
        from_far = dijkstra(piece.ways, directed=False, indices=far)
        way = np.minimum(way, np.where(from_far <= 0.5 * reach_m, 0.0, np.inf))
        if (k, far) in seen:
            continue
        seen.add((k, far))
        ahead = from_far[piece.patch]
        rows.append(piece.drops[ahead <= max(reach_m, 1.05 * float(ahead.min()))])
    return rows


def _landings(piece: Piece, drops: Drops, chosen: np.ndarray, cost: np.ndarray, reach_m: float) -> dict[int, Served]:
    """Of the chosen candidates that land in a piece, those it needs."""
    used = [int(i) for i in np.flatnonzero(np.isin(piece.drops, chosen))]
    pour = drops.serves[piece.drops, piece.lift]
    if used:
        farthest = max(reach_m, float(piece.run(np.array(used))[0].max()))
        for i in sorted(used, key=lambda j: (-cost[piece.drops[j]], piece.drops[j])):
            rest = [j for j in used if j != i]
            if any(pour[j] == pour[i] for j in rest) and piece.run(np.array(rest))[0].max() <= farthest + 1e-9:
                used = rest
    out: dict[int, Served] = {}
    way, start = piece.run(np.array(used)) if used else (np.zeros(0), np.zeros(0))
    for number in piece.pours:
        mine = [j for j in used if pour[j] == number]
        far = tuple(float(way[start == piece.patch[j]].max(initial=0.0)) for j in mine)
        out[number] = Served(tuple(int(piece.drops[j]) for j in mine), far)
    return out
