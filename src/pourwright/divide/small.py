"""Pieces of a lift that nobody would mix a cup for: who else fills them, or that they stay empty.

Cuts between lifts leave bumps of the cavity just over a cut, and tips just under one. A piece below the least pour
goes, in this order: to the pour of the lift below that it stands on, whose foam rises into it; to the pour of the lift
above that covers it, if it is shallow enough for that foam to run down into it; to nobody. Where it is a stretch of a
limb that goes on above it, it is never left empty: it stays a pour, however small.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.divide.bands import Rules
from pourwright.divide.shapes import PourShape


@dataclass(eq=False)
class _Piece:
    """A connected piece of a band while small ones are given away: its pours and what each has of every node."""

    band: int
    shapes: list[PourShape]
    share: list[dict[int, float]]
    gone: bool = False

    def nodes(self) -> np.ndarray:
        return np.unique(np.concatenate([np.fromiter(one, np.int64) for one in self.share]))


@dataclass(frozen=True, eq=False)
class Given:
    """Pours of every band after small pieces were given away, and the nodes of each piece that stays empty."""

    bands: list[list[PourShape]]
    empty: tuple[np.ndarray, ...]


def give_away(
    graph: LevelGraph,
    bands: list[list[PourShape]],
    rules: Rules,
    opening: np.ndarray,
    strength_pa: np.ndarray,
    tall_m: np.ndarray | None = None,
) -> Given:
    """Give every piece below ``rules.least_m3`` to a pour beside it, as long as that pour keeps its limits.

    Parameters
    ----------
    graph : LevelGraph
    bands : list of lists of PourShape
        Pours of each band from the lowest up, as `shapes_of` made them.
    rules : Rules
    opening, strength_pa : (n,) arrays
        Nodes that touch an opening that looks up; what the skin beside each node stands [Pa].
    tall_m : (levels,) array, optional
        Thickness that a pour through each level must keep besides the general one [m].

    Returns
    -------
    Given
        What the liquid must land on (``own``) does not change. With the empty nodes the shares still add up to one.
    """
    tall_m = np.full(graph.levels, np.inf) if tall_m is None else tall_m
    pieces: list[_Piece] = []
    home = np.full(len(graph.node_level), -1)
    for band, shapes in enumerate(bands):
        for number in sorted({shape.piece for shape in shapes}):
            mine = [shape for shape in shapes if shape.piece == number]
            share = [dict(zip(s.nodes.tolist(), s.shares.tolist(), strict=True)) for s in mine]
            home[np.concatenate([s.nodes for s in mine])] = len(pieces)
            pieces.append(_Piece(band, mine, share))
    empty = []
    for number, piece in enumerate(pieces):
        nodes = piece.nodes()
        if graph.node_volume_m3[nodes].sum() >= rules.least_m3:
            continue
        below, above = _beside(graph, home, number)
        spills = _height(graph, nodes) <= rules.spill_m + 1e-9
        for neighbours in (below, above if spills else []):
            taker = next(
                (t for t in neighbours if _keeps(graph, pieces[t[0]], nodes, rules, opening, strength_pa, tall_m)), None
            )
            if taker is not None:
                _give(piece, pieces[taker[0]], taker[1], nodes)
                home[nodes] = taker[0]
                break
        else:
            if not above and len(pieces) > 1:
                piece.gone = True
                home[nodes] = -1
                empty.append(nodes)
    out: list[list[PourShape]] = [[] for _ in bands]
    for piece in pieces:
        if not piece.gone:
            out[piece.band] += _remade(graph, piece, opening)
    kept = [[s for s in band if any(s.own is t.own for t in out[k])] for k, band in enumerate(bands)]
    order = [[next(t for t in out[k] if t.own is s.own) for s in band] for k, band in enumerate(kept)]
    return Given(order, tuple(empty))


def _beside(graph: LevelGraph, home: np.ndarray, number: int) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Pieces below and above a piece, the one with the largest contact first, each with its node of largest contact."""
    found = []
    for inner, outer in ((graph.edge_upper, graph.edge_lower), (graph.edge_lower, graph.edge_upper)):
        at = np.flatnonzero((home[inner] == number) & (home[outer] != number) & (home[outer] >= 0))
        contact: dict[int, float] = {}
        most: dict[int, tuple[float, int]] = {}
        for edge in at.tolist():
            other, area = int(home[outer[edge]]), float(graph.edge_overlap_m2[edge])
            contact[other] = contact.get(other, 0.0) + area
            most[other] = max(most.get(other, (-1.0, 0)), (area, int(outer[edge])))
        found.append([(other, most[other][1]) for other in sorted(contact, key=lambda o: (-contact[o], o))])
    return found[0], found[1]


def _height(graph: LevelGraph, nodes: np.ndarray) -> float:
    levels = graph.node_level[nodes]
    return float(graph.level_m[levels.max() + 1] - graph.level_m[levels.min()])


def _sealed(graph: LevelGraph, nodes: np.ndarray, opening: np.ndarray) -> bool:
    """Nothing of it is open above: neither cavity that is not its own, nor an opening."""
    rising = np.isin(graph.edge_lower, nodes) & ~np.isin(graph.edge_upper, nodes)
    return not rising.any() and not bool(opening[nodes].any())


def _keeps(
    graph: LevelGraph,
    taker: _Piece,
    nodes: np.ndarray,
    rules: Rules,
    opening: np.ndarray,
    strength_pa: np.ndarray,
    tall_m: np.ndarray,
) -> bool:
    """Whether the taker keeps thickness, liquid and pressure with ``nodes`` added."""
    both = np.union1d(taker.nodes(), nodes)
    sealed = _sealed(graph, both, opening)
    liquid = graph.node_volume_m3[both].sum() * (rules.closed_share if sealed else rules.open_share)
    newly = sealed and not taker.shapes[0].sealed
    weakest = np.nanmin(np.append(strength_pa[both], np.inf))
    return bool(
        _height(graph, both) <= min(rules.lift_m, tall_m[graph.node_level[both]].min()) * (1 + 1e-9)
        and liquid <= rules.liquid_m3 * (1 + 1e-9)
        and not (newly and rules.closing_pa > weakest)
    )


def _give(piece: _Piece, taker: _Piece, node: int, nodes: np.ndarray) -> None:
    """Share the nodes of a piece among the pours of its taker as they share the node it touches."""
    for share in taker.share:
        part = share.get(node, 0.0)
        if part > 0:
            share.update(dict.fromkeys(nodes.tolist(), part))
    piece.gone = True


def _remade(graph: LevelGraph, piece: _Piece, opening: np.ndarray) -> list[PourShape]:
    if all(len(share) == len(shape.nodes) for share, shape in zip(piece.share, piece.shapes, strict=True)):
        return piece.shapes
    sealed = _sealed(graph, piece.nodes(), opening)
    out = []
    for shape, share in zip(piece.shapes, piece.share, strict=True):
        nodes = np.array(sorted(share))
        shares = np.array([share[node] for node in nodes.tolist()])
        for array in (nodes, shares):
            array.setflags(write=False)
        level = graph.node_level[nodes]
        out.append(
            replace(
                shape,
                nodes=nodes,
                shares=shares,
                bottom_level=int(level.min()),
                top_level=int(level.max()) + 1,
                volume_m3=float((graph.node_volume_m3[nodes] * shares).sum()),
                sealed=sealed,
            )
        )
    return out
