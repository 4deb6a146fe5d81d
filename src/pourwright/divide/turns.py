"""Pours that run into each other: all at the same time where there are hands for every cup, else one after another.

Pools that join inside a lift can rise together, each with its share of what lies above the join; that takes a cup for
each of them in somebody's hands at once. With fewer hands each pool but the deepest is filled up to the join and no
farther, the highest floor first, and has to be risen before the next is mixed. The deepest comes last and fills its own
pool and all that lies above the join, over foam that is set: no liquid lands on that, foam rises over it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.divide.shapes import PourShape

Batches = Callable[[PourShape], int]
"""Mixes that one pour takes."""


def in_turns(graph: LevelGraph, shapes: Sequence[PourShape], batches: Batches, hands: int) -> list[PourShape]:
    """Pours of one lift, those of a piece that needs more batches at once than there are ``hands`` cut to go in turns.

    Parameters
    ----------
    graph : LevelGraph
    shapes : sequence of PourShape
        Of one lift, as `shapes_of` made them.
    batches : callable
        Mixes that a pour takes.
    hands : int
        People who mix at the same time.

    Returns
    -------
    list of PourShape
        In the order they are poured; those that go in turns are pieces of their own. Their volumes add up as before.
    """
    out = list(shapes)
    fresh = max((shape.piece for shape in out), default=0) + 1
    for piece in sorted({shape.piece for shape in shapes}):
        at = [k for k, shape in enumerate(out) if shape.piece == piece]
        if len(at) < 2 or sum(batches(out[k]) for k in at) <= hands:
            continue
        order = sorted((out[k] for k in at), key=lambda s: (-s.bottom_level, round(s.volume_m3, 12)))
        for k, shape in zip(at, _cut(graph, order), strict=True):
            out[k] = replace(shape, piece=fresh)
            fresh += 1
    return out


def _cut(graph: LevelGraph, order: Sequence[PourShape]) -> list[PourShape]:
    """Pours of one piece in the order they are poured, what they shared given to the last of those that share it."""
    owner = np.full(len(graph.node_level), -1)
    share = np.zeros(len(owner))
    for k, shape in enumerate(order):
        owner[shape.nodes] = k
        share[shape.nodes] += shape.shares
    cut = []
    for k, shape in enumerate(order):
        nodes = np.flatnonzero(owner == k)
        level = graph.node_level[nodes]
        cut.append(
            replace(
                shape,
                nodes=_frozen(nodes),
                shares=_frozen(share[nodes]),
                bottom_level=int(level.min()),
                top_level=int(level.max()) + 1,
                join_level=int(level.max()) + 1,
                volume_m3=float((graph.node_volume_m3[nodes] * share[nodes]).sum()),
                sealed=shape.sealed and k == len(order) - 1,
            )
        )
    return cut


def waits_for(graph: LevelGraph, shapes: Sequence[PourShape], k: int) -> list[int]:
    """Pours of a lift whose foam pour ``k`` rises over: they have to be risen before it is mixed."""
    mine = np.zeros(len(graph.node_level), bool)
    mine[shapes[k].nodes] = True
    under = np.unique(graph.edge_lower[mine[graph.edge_upper]])
    under = under[~mine[under]]
    return [
        j
        for j, shape in enumerate(shapes)
        if j != k and shape.piece != shapes[k].piece and bool(np.isin(shape.nodes, under).any())
    ]


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
