"""How far foam gets in the level graph, and who has what of it where pours of one lift meet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order

from pourwright.cavity import Cavity, LevelGraph
from pourwright.lifts import Landing
from pourwright.record.ground import fits
from pourwright.record.model import Planned, Point


@dataclass(frozen=True)
class Claim:
    """A pour of one lift, and up to where."""

    name: str
    planned: Planned
    top_m: float
    recorded: bool


def level_at(graph: LevelGraph, height_m: float) -> int:
    """Index of the cut nearest to a height."""
    return int(np.argmin(np.abs(graph.level_m - height_m)))


def claims_of(
    cavity: Cavity, graph: LevelGraph, claims: Sequence[Claim], taken: np.ndarray, above: np.ndarray
) -> dict[str, np.ndarray]:
    """Nodes of each pour of a lift; pours that meet have some of them in common.

    ``taken`` (n,) is not for them; ``above`` (n,) is foam of lifts over this one, which a pour to come cannot have.
    """
    planned = {claim.name: _planned(claim.planned, graph) for claim in claims}
    out: dict[str, np.ndarray] = {}
    foam = np.zeros(len(graph.node_level), bool)
    for claim in [*(c for c in claims if c.recorded), *(c for c in claims if not c.recorded)]:
        mine = planned[claim.name]
        free = ~taken if claim.recorded else ~(taken | above)
        if mine is None:
            if not claim.recorded:  # what stands there already is not its own
                free &= ~foam
            out[claim.name] = _fallen(cavity, graph, claim.planned, claim.top_m, free)
        else:
            theirs = [own for name, own in planned.items() if name != claim.name and own is not None]
            others = np.any([np.zeros_like(mine), *theirs], axis=0) & ~mine
            if not claim.recorded:
                # What a recorded pour beside it left of its own is filled by the foam that runs over into it.
                others = np.zeros_like(mine)
                for other in claims:
                    own = planned[other.name]
                    if own is not None and not other.recorded and other.name != claim.name:
                        others |= own & ~mine
                shared = np.any([np.zeros_like(mine), *theirs], axis=0) & mine
                free &= ~foam | shared
            out[claim.name] = _grown(graph, claim, mine, others, free)
        if claim.recorded:
            foam[out[claim.name]] = True
    return out


def landed(one: Landing, nodes: np.ndarray, cavity: Cavity, graph: LevelGraph) -> Landing | None:
    """Where liquid through a hole lands in a space, with its fall and its tube as long as that asks.

    Parameters
    ----------
    one : Landing
        As it was planned. A hose is led along a limb, not straight down: it stays.
    nodes : (n,) int
        Of the level graph, that are to be filled now.

    Returns
    -------
    Landing or None
        None where nothing of the space lies straight under the hole.
    """
    if one.tube is not None and not one.tube.stiff:
        return one
    at = cavity.frame.to_standing(one.point_m)
    x, y, _ = np.floor((at - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int).tolist()
    if not (0 <= x < graph.label.shape[0] and 0 <= y < graph.label.shape[1]):
        return None
    under = np.flatnonzero(np.isin(graph.label[x, y, :] - 1, nodes))
    if not len(under):
        return None
    height = float(cavity.grid.origin_m[2] + int(under[0]) * cavity.grid.cell_m)
    deeper = float(at[2]) - height
    point = cavity.frame.to_shell(np.array([at[0], at[1], height]))
    point.setflags(write=False)
    tube = None if one.tube is None else replace(one.tube, length_m=max(one.tube.length_m + deeper, 0.1))
    return replace(one, point_m=point, fall_m=one.fall_m + deeper, tube=tube)


def foam_of(graph: LevelGraph, claim: Claim) -> np.ndarray:
    """Nodes (n,) bool that a recorded pour was to fill, below the height it reached; none where they are not known."""
    mine = _planned(claim.planned, graph)
    if mine is None:
        return np.zeros(len(graph.node_level), bool)
    return mine & (graph.node_level < level_at(graph, claim.top_m))


def shares_of(
    graph: LevelGraph, claims: Sequence[Claim], reached: Mapping[str, np.ndarray]
) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Nodes of each pour with its share of each: whole where it is alone, as planned or by volume where pours meet."""
    count = np.zeros(len(graph.node_level), int)
    for nodes in reached.values():
        count[nodes] += 1
    weights: dict[str, np.ndarray] = {}
    own = {
        name: max(float(graph.node_volume_m3[nodes[count[nodes] == 1]].sum()), 1e-12) for name, nodes in reached.items()
    }
    sure = {claim.name: fits(claim.planned, graph) for claim in claims}
    for claim in claims:
        weight = np.zeros(len(count))
        weight[reached[claim.name]] = own[claim.name]
        weights[claim.name] = weight
    for node in np.flatnonzero(count > 1).tolist():
        there = [claim for claim in claims if weights[claim.name][node] > 0]
        asked = [_share(claim.planned, node) if sure[claim.name] else 0.0 for claim in there]
        if all(share > 0 for share in asked):
            for claim, share in zip(there, asked, strict=True):
                weights[claim.name][node] = share
        elif any(claim.recorded for claim in there):  # not as planned: what is in it is in it
            for claim in there:
                if not claim.recorded:
                    weights[claim.name][node] = 0.0
    total = np.sum([np.zeros(len(count)), *weights.values()], axis=0)
    out = {}
    for name, weight in weights.items():
        nodes = np.flatnonzero(weight)
        out[name] = nodes, weight[nodes] / total[nodes]
    return out


def _share(planned: Planned, node: int) -> float:
    return next((share for one, share in zip(planned.nodes, planned.shares, strict=True) if one == node), 0.0)


def _planned(planned: Planned, graph: LevelGraph) -> np.ndarray | None:
    """Nodes (n,) bool a pour was to fill; None where its sheet did not keep them, or they are of another graph."""
    if not fits(planned, graph):
        return None
    out = np.zeros(len(graph.node_level), bool)
    out[np.array(planned.nodes)] = True
    return out


def _grown(graph: LevelGraph, claim: Claim, mine: np.ndarray, others: np.ndarray, free: np.ndarray) -> np.ndarray:
    """Nodes of a pour whose planned ones are known: those, the gap under them, and what it rose into over its top."""
    top = level_at(graph, claim.top_m)
    open_to = free & ~others
    core = mine & free
    under = core | _spread(graph, core, open_to, up=False)
    below = graph.node_level < top
    if claim.recorded and top > level_at(graph, claim.planned.top_m):
        theirs = _spread(graph, others, free, down=False) & ~_spread(graph, core, free, down=False)
        return np.flatnonzero(_spread(graph, under & below, (under | open_to) & below & ~theirs))
    return np.flatnonzero(under & below)


def _spread(
    graph: LevelGraph, start: np.ndarray, allowed: np.ndarray, *, up: bool = True, down: bool = True
) -> np.ndarray:
    """Nodes (n,) bool that can be got to from ``start`` through ``allowed``, ``start`` among them."""
    found = start.copy()
    while True:
        more = np.zeros_like(found)
        if down:
            more[graph.edge_lower[found[graph.edge_upper]]] = True
        if up:
            more[graph.edge_upper[found[graph.edge_lower]]] = True
        more &= allowed & ~found
        if not more.any():
            return found
        found |= more


def _fallen(cavity: Cavity, graph: LevelGraph, planned: Planned, top_m: float, space: np.ndarray) -> np.ndarray:
    """Nodes of a pour of which only the place is known where its liquid lands; ``space`` (n,) is open to it."""
    top = level_at(graph, top_m)
    free = space & (graph.node_level < top)
    others = [_node(cavity, graph, point, space) for point in planned.others_m]
    seed = _node(cavity, graph, planned.seed_m, free) if planned.seed_m is not None else None
    if seed is None:
        low = np.flatnonzero(free & (graph.node_level == min(level_at(graph, planned.bottom_m), top - 1)))
        if not len(low):
            return np.zeros(0, np.int64)
        seed = int(low[np.argmax(graph.node_volume_m3[low])])
    mine = _upward(graph, seed, space)
    for other in others:
        if other is not None and other != seed:
            free &= ~(_upward(graph, other, space) & ~mine)
    free[seed] = space[seed] and graph.node_level[seed] < top
    return _connected(graph, seed, free)


def _node(cavity: Cavity, graph: LevelGraph, point_m: Point, free: np.ndarray) -> int | None:
    """The free node nearest to a point: in its own column, on the foam that is there, else by its centroid."""
    standing = cavity.frame.to_standing(np.asarray(point_m))
    nodes = np.flatnonzero(free)
    if not len(nodes):
        return None
    x, y, z = np.floor((standing - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
    nx, ny, _ = cavity.grid.shape
    if 0 <= x < nx and 0 <= y < ny:
        column = graph.label[x, y, :].astype(int) - 1
        open_to = np.flatnonzero((column >= 0) & np.append(free, False)[column])
        above = open_to[open_to >= z - 2]
        if len(above):  # where the liquid lands: on the foam that is there, lower or higher than was planned
            k = int(above[0])
            while k > 0 and column[k - 1] >= 0 and free[column[k - 1]]:
                k -= 1
            return int(column[k])
    centre = graph.node_centroid_m[nodes]
    return int(nodes[np.argmin(((centre - standing) ** 2).sum(axis=1))])


def _upward(graph: LevelGraph, seed: int, free: np.ndarray) -> np.ndarray:
    """Nodes (n,) bool that can be reached from ``seed`` without going down."""
    return _search(graph.edge_lower, graph.edge_upper, seed, free, directed=True)


def _connected(graph: LevelGraph, seed: int, free: np.ndarray) -> np.ndarray:
    if not free[seed]:
        return np.zeros(0, np.int64)
    return np.flatnonzero(_search(graph.edge_lower, graph.edge_upper, seed, free, directed=False))


def _search(lower: np.ndarray, upper: np.ndarray, seed: int, free: np.ndarray, *, directed: bool) -> np.ndarray:
    keep = free[lower] & free[upper]
    count = len(free)
    edges = coo_matrix((np.ones(int(keep.sum()), np.int8), (lower[keep], upper[keep])), shape=(count, count)).tocsr()
    found = breadth_first_order(edges, seed, directed=directed, return_predecessors=False)
    out = np.zeros(count, bool)
    out[found] = True
    return out
