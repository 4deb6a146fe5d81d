"""Which of the candidate columns become ports: as few holes as do, by an exact set cover, openings before drills.

A pour goes through holes that its foam does not rise past, where there are any straight above it. Where there are none
it goes through those that foam gets to last, if there is time to shut them: cup empty, bung or board set, and a margin.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import KDTree

from pourwright.access import FLANGE_LAPS, FRONT, HIDDEN, NONE, STRAIGHT
from pourwright.cavity import Cavity, Floor, LevelGraph, floor_of
from pourwright.divide.shapes import PourShape
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lifts import judged
from pourwright.lifts.checks import batches_for
from pourwright.lifts.drops import Drops
from pourwright.lifts.limits import batch_cap
from pourwright.lifts.model import ShopLimits
from pourwright.lifts.mouths import arrival, shut_by, shut_from

ROUNDS = 16
PATCHES_A_ROUND = 4
"""Covers that are tried, and far patches of floor that each adds; our judgement."""
MOST_NODES = 2000
"""Of the branch-and-bound tree: a count, not a time, so that the same input gives the same ports."""
AS_DEEP_M = 0.04
"""Liquid that lands no more than this [m] higher lands as deep; our judgement."""
SHOWS = 1.5
"""What a hole on the front costs more: more than a hole elsewhere, less than two; our judgement."""
GLASSED = 0.5
"""What a hole in the side of a limb costs more, which is closed over and faired afterwards; our
judgement."""
ON_A_THING = 0.5
"""What a place costs more where the liquid falls on what is set in; our judgement."""
TIGHT = 1.2
"""What a hole without room for a bung's flange costs more; our judgement."""
LATE_ENOUGH = 0.9
"""Of holes that foam gets to, those count as the last that it gets to no sooner than this share of the latest time;
our judgement."""


@dataclass(frozen=True, eq=False)
class Piece:
    """Pours that rise together: their numbers over all lifts, the floor under all of them, and who can land there.

    ``drops`` (k,) candidates that land in it; ``patch`` (k,) the patch of floor each lands on; ``ways`` the floor's
    steps by their length in plan [m]: liquid runs along the floor, and up a wall it is the foam that rises.
    ``foam_s`` (k,) when its foam gets to each candidate's hole, infinite where it never does; ``shut`` (k,) bool:
    whether there is time to shut it before; ``best`` (k,) bool: of the candidates that land in the same pour, those to
    take first.
    """

    lift: int
    pours: tuple[int, ...]
    ways: csr_array
    drops: np.ndarray
    patch: np.ndarray
    foam_s: np.ndarray
    shut: np.ndarray
    best: np.ndarray

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
    flow_distance_m: tuple[float, ...]
    share: tuple[float, ...] = ()  # of the pour's liquid that goes through each


def pieces_of(
    cavity: Cavity,
    graph: LevelGraph,
    pours: list[list[PourShape]],
    drops: Drops,
    foam: FoamAtShop,
    limits: ShopLimits,
) -> list[Piece]:
    """Connected pieces of every lift, with their floors and the candidates that land in them, any of which will do."""
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
            together = [shapes[k] for k in mine]
            foam_s = foam_arrives(graph, together, drops.low_m[landing], foam)
            ready_s = max(_shut_from(foam, limits, shape) for shape in together)
            shut = np.array([shut_by(arrives) >= ready_s for arrives in foam_s], bool)
            patch, any_one = np.asarray(patch, np.int64), np.ones(len(landing), bool)
            pieces.append(Piece(lift, numbers, _in_plan(floor), landing, patch, foam_s, shut, any_one))
        number += len(shapes)
    return pieces


def with_best(piece: Piece, drops: Drops, cell_m: float) -> Piece:
    """The piece with the candidates to take first, by the falls of ``drops``."""
    best = np.zeros(len(piece.drops), bool)
    for pour in piece.pours:
        own = drops.serves[piece.drops, piece.lift] == pour
        mine_now = piece.drops[own]
        lands_m = drops.level[mine_now, piece.lift] * cell_m
        best[own] = _first_choice(piece.foam_s[own], piece.shut[own], lands_m, _order(drops, mine_now, piece.lift))
        best[own] |= drops.asked[mine_now]
    return replace(piece, best=best)


def foam_arrives(graph: LevelGraph, together: list[PourShape], low_m: np.ndarray, foam: FoamAtShop) -> np.ndarray:
    """When the foam of pours that rise together gets to holes with their lowest edges at ``low_m`` (n,) [s]."""
    density = foam.closed_density_kg_m3 if together[0].sealed else foam.open_density_kg_m3
    foam_kg = density.nominal * sum(shape.volume_m3 for shape in together)
    top_m = float(graph.level_m[max(shape.top_level for shape in together)])
    over = np.concatenate([graph.level_m[graph.node_level[shape.nodes] + 1] for shape in together])
    filled = np.concatenate([graph.node_volume_m3[shape.nodes] * shape.shares for shape in together])
    space = np.array([float(filled[over <= low + 1e-9].sum()) for low in low_m])
    arrives = np.array([arrival(foam, volume, foam_kg) for volume in space])
    return np.where(low_m >= top_m - 1e-9, np.inf, arrives)


def _shut_from(foam: FoamAtShop, limits: ShopLimits, shape: PourShape) -> float:
    density = foam.closed_density_kg_m3 if shape.sealed else foam.open_density_kg_m3
    liquid = parts_for(foam, density.nominal * shape.volume_m3).total_m3
    return shut_from(limits, liquid / batches_for(liquid, batch_cap(foam, limits)))


def _first_choice(
    foam_s: np.ndarray,
    shut: np.ndarray,
    lands_m: np.ndarray,
    order: tuple[np.ndarray, ...],
) -> np.ndarray:
    """Candidates to take first: those that can be shut in time, by no vent, and of these that foam gets to last.

    ``order`` as of `_order`: those that the liquid can get down from come before all others, of these those with room
    for their hole, and of these the easy ones. One by a vent is not given up for one whose liquid falls less deep
    (``lands_m``), which would have to run there.
    """
    good = shut if shut.any() else np.ones(len(foam_s), bool)
    *first, off_vent = order
    for better in first:
        good = good & better if (good & better).any() else good
    free = good & off_vent
    if free.any() and lands_m[free].min() <= lands_m[good].min() + AS_DEEP_M:
        good = free
    last = float(foam_s[good].max(initial=0.0))
    return good & (foam_s >= (LATE_ENOUGH * last if np.isfinite(last) else np.inf))


def _order(drops: Drops, which: np.ndarray, lift: int) -> tuple[np.ndarray, ...]:
    """Of candidates: whether liquid gets down, past what is set in, the hole has its room, the way is easy; no vent."""
    roomy = (drops.round_m - 0.5 * drops.hole_m >= -judged.ROOM_KNOWN.value) | (drops.opening >= 0)
    falls = drops.falls
    down = (falls.way < NONE)[which, lift]
    return down, ~falls.over[which, lift], roomy[which], falls.easy[which, lift], ~drops.by_vent[which]


def _in_plan(floor: Floor) -> csr_array:
    """Steps of a floor by their length in plan; never quite nothing, which a sparse matrix would drop."""
    ways = floor.ways.tocoo()
    a, b = ways.coords
    step = floor.spots_standing_m[a, :2] - floor.spots_standing_m[b, :2]
    return coo_array((np.maximum(np.hypot(*step.T), 1e-9), (a, b)), shape=ways.shape).tocsr()


def cost_of(drops: Drops, limits: ShopLimits) -> np.ndarray:
    """What each candidate costs in the cover: a hole counts one, an opening or a hole that is there next to nothing.

    Steep skin counts more, and so do the front, a place without room for a bung's flange, and a fall that needs a tube;
    of the holes that are there the last of their list is preferred.
    """
    flow_distance_m = limits.flow_distance_m
    there = 0.02 + 0.005 * (1.0 - (drops.made + 1.0) / max(int(drops.made.max(initial=-1)) + 1, 1))
    off = np.minimum(drops.off_m / flow_distance_m, 10.0)
    steep = np.where(drops.upward < judged.STEEP.value, 1.0, 0.0) + np.where(drops.upward < 0.2, 3.0, 0.0)
    steep = np.where(drops.sideways, GLASSED, steep)
    small = 1.0 - drops.hole_m / judged.PORT_HOLE.value
    prefer = limits.holes.prefer
    shows = np.where(drops.side == FRONT, SHOWS, np.where(drops.side == HIDDEN, 0.0, 0.3 * (prefer == "hidden")))
    tight = 0.5 * drops.hole_m + FLANGE_LAPS.value > drops.round_m + 1e-9
    way = np.where(drops.serves >= 0, drops.falls.way, STRAIGHT)
    tube = 0.1 * (way > STRAIGHT).mean(axis=1) + 0.5 * (way == NONE).mean(axis=1)
    asked = shows * (prefer != "any") + tube + np.where(tight, TIGHT, 0.0)
    drilled = np.where(drops.made >= 0, there, 1.0 + steep + 0.2 * small + asked)
    over = (drops.falls.over & (drops.serves >= 0)).any(axis=1)
    return np.where(drops.opening >= 0, 0.02, drilled) + 0.01 * off + ON_A_THING * over


def choose(pieces: list[Piece], drops: Drops, limits: ShopLimits) -> tuple[dict[int, Served], np.ndarray]:
    """Ports for every pour: which candidates each uses, and all candidates that are used.

    The cover has a row for every pour that anything can land in, and rows for patches of floor that were found too far
    from every port; those are added, worst first, until none is left that a candidate could reach.
    """
    flow_distance_m = limits.flow_distance_m
    cost = cost_of(drops, limits)
    allowed = [piece.best.copy() for piece in pieces]
    far: list[np.ndarray] = []
    seen: set[tuple[int, int]] = set()
    chosen = np.zeros(0, np.int64)
    for _ in range(ROUNDS):
        chosen, clash = _apart([*_a_row_each(pieces, drops, allowed), *far], cost, drops)
        more, wider = [], False
        for k, piece in enumerate(pieces):
            if len(clash) and np.isin(piece.drops, clash).any() and (piece.shut & ~allowed[k]).any():
                allowed[k] |= piece.shut  # holes that run into each other: what is not the first choice will do
                wider = True
            used = np.flatnonzero(np.isin(piece.drops, chosen) & allowed[k])
            if len(used):
                before = allowed[k].copy()
                more += _too_far(k, piece, used, flow_distance_m, seen, allowed[k], drops)
                wanted = piece.drops[allowed[k] & ~before]
                for other, may in zip(pieces, allowed, strict=True):  # a hole that one pour asks for will do for others
                    may |= other.shut & np.isin(other.drops, wanted)
        if not more and not wider:
            break
        far += more
    served: dict[int, Served] = {}
    for piece, mine in zip(pieces, allowed, strict=True):
        served.update(_landings(piece, drops, chosen, cost, flow_distance_m, mine))
    used_at_all = np.unique(np.concatenate([np.zeros(0, np.int64), *(np.array(s.drops) for s in served.values())]))
    return served, used_at_all.astype(np.int64)


def _a_row_each(pieces: list[Piece], drops: Drops, allowed: list[np.ndarray]) -> list[np.ndarray]:
    """For every pour that anything can land in, the candidates it may take."""
    rows = [
        piece.drops[mine & (drops.serves[piece.drops, piece.lift] == pour)]
        for piece, mine in zip(pieces, allowed, strict=True)
        for pour in piece.pours
    ]
    return [row for row in rows if len(row)]


def _apart(rows: list[np.ndarray], cost: np.ndarray, drops: Drops) -> tuple[np.ndarray, np.ndarray]:
    """A cover of which no two drilled holes run into each other, and those of it that do where there is none."""
    pairs: list[np.ndarray] = []
    there = drops.made >= 0  # holes that are there cost nothing more, whoever uses them
    chosen = _cover(rows, cost, pairs, there)
    for _ in range(ROUNDS):
        drilled = chosen[drops.opening[chosen] < 0]
        near = KDTree(drops.exit_m[drilled]).query_pairs(judged.PORT_HOLE.value + judged.BOARD_LAPS.value)
        near = {pair for pair in near if (drops.made[drilled[list(pair)]] < 0).any()}  # what is there is there
        if not near:
            return chosen, np.zeros(0, np.int64)
        pairs += [drilled[list(pair)] for pair in sorted(near)]
        found = _cover(rows, cost, pairs, there)
        if not len(found):
            break
        chosen = found
    return chosen, np.unique(np.concatenate([np.zeros(0, np.int64), *pairs]))


def _cover(rows: list[np.ndarray], cost: np.ndarray, pairs: list[np.ndarray], there: np.ndarray) -> np.ndarray:
    """Cheapest set of candidates that has at least one of each row and at most one of each pair; none: empty.

    It has all that are ``there`` (n,).
    """
    if not rows:
        return np.flatnonzero(there)
    if pairs:
        ends = np.concatenate(pairs)
        both = csr_array((np.ones(len(ends)), (np.arange(len(ends)) // 2, ends)), shape=(len(pairs), len(cost)))
        only = [LinearConstraint(both, ub=1)]
    else:
        only = []
    at = np.repeat(np.arange(len(rows)), [len(row) for row in rows])
    matrix = csr_array((np.ones(len(at)), (at, np.concatenate(rows))), shape=(len(rows), len(cost)))
    found = milp(
        cost,
        constraints=[LinearConstraint(matrix, lb=1), *only],
        integrality=np.ones(len(cost)),
        bounds=Bounds(there.astype(float), 1),
        options={"mip_rel_gap": 1e-6, "node_limit": MOST_NODES},
    )
    if found.x is None and pairs:
        return np.zeros(0, np.int64)
    if found.x is None:  # the tree was cut before a cover was found: all of it is one
        return np.unique(np.concatenate([np.flatnonzero(there), *rows]))
    return np.flatnonzero(found.x > 0.5)


def _too_far(
    k: int,
    piece: Piece,
    used: np.ndarray,
    flow_distance_m: float,
    seen: set[tuple[int, int]],
    allowed: np.ndarray,
    drops: Drops,
) -> list[np.ndarray]:
    """Rows for the patches farthest from the ports in use, where another candidate is nearer.

    Where none of the first choice is within reach of a patch, those that are become ``allowed`` too.
    """
    way, _ = piece.run(used)
    rows: list[np.ndarray] = []
    for _ in range(PATCHES_A_ROUND):
        far = int(np.argmax(way))
        if way[far] <= flow_distance_m:
            break
        from_far = dijkstra(piece.ways, directed=False, indices=far)
        way = np.minimum(way, np.where(from_far <= 0.5 * flow_distance_m, 0.0, np.inf))
        if (k, far) in seen:
            continue
        seen.add((k, far))
        ahead = from_far[piece.patch]
        near = (ahead <= flow_distance_m) & piece.shut
        if near.any() and not (allowed & (ahead <= flow_distance_m)).any():
            allowed[near] |= _first_choice(
                piece.foam_s[near],
                piece.shut[near],
                np.zeros(int(near.sum())),
                _order(drops, piece.drops[near], piece.lift),
            )
        rows.append(piece.drops[allowed & (ahead <= max(flow_distance_m, 1.05 * float(ahead[allowed].min())))])
    return rows


def _landings(
    piece: Piece, drops: Drops, chosen: np.ndarray, cost: np.ndarray, flow_distance_m: float, allowed: np.ndarray
) -> dict[int, Served]:
    """Of the chosen candidates that land in a piece, those it needs; first to go is what foam gets to first."""
    used = [int(i) for i in np.flatnonzero(np.isin(piece.drops, chosen) & allowed)]
    pour = drops.serves[piece.drops, piece.lift]
    if used:
        farthest = max(flow_distance_m, float(piece.run(np.array(used))[0].max()))
        for i in sorted(used, key=lambda j: (piece.best[j], -cost[piece.drops[j]], piece.drops[j])):
            rest = [j for j in used if j != i]
            if (
                not drops.asked[piece.drops[i]]
                and any(pour[j] == pour[i] for j in rest)
                and piece.run(np.array(rest))[0].max() <= farthest + 1e-9
            ):
                used = rest
    out: dict[int, Served] = {}
    way, start = piece.run(np.array(used)) if used else (np.zeros(0), np.zeros(0))
    for number in piece.pours:
        mine = [j for j in used if pour[j] == number]
        far = tuple(float(way[start == piece.patch[j]].max(initial=0.0)) for j in mine)
        floor = np.array([float((start == piece.patch[j]).sum()) for j in mine])
        share = floor / floor.sum() if floor.sum() > 0 else np.full(len(mine), 1.0 / max(len(mine), 1))
        out[number] = Served(tuple(int(piece.drops[j]) for j in mine), far, tuple(share.tolist()))
    return out
