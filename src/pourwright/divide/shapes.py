"""The pours of one band: which pools it holds, where they join, and how they share what lies above a join.

Pools that join inside a band are poured together and rise together. Each takes a share of what lies above the join in
proportion to the volume it has filled below it: foam swells by the same factor at the same time everywhere, so with
these shares all of them arrive at the join at the same moment and none runs over into another.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.divide.bands import folds


@dataclass(frozen=True, eq=False)
class PourShape:
    """The part of a band that one pour fills. Arrays read-only.

    ``own`` are the nodes below any join (the liquid must land there); ``nodes`` and ``shares`` all of them.
    ``piece`` numbers the connected piece of the band; pours of one piece rise together.
    """

    piece: int
    nodes: np.ndarray
    shares: np.ndarray
    own: np.ndarray
    bottom_level: int
    top_level: int  # one past its last level
    join_level: int  # first level that it shares; top_level where it shares none
    volume_m3: float
    centroid_m: np.ndarray  # (3,) standing
    sealed: bool  # nothing of its piece is open above, neither cavity nor opening
    on_foam: bool  # what it stands on was poured before


@dataclass
class _Mass:
    """A connected piece while its levels are added: volume of each of its pours so far, and their nodes."""

    floor: int
    volume: dict[int, float]
    nodes: list[int] = field(default_factory=list)


def shapes_of(
    graph: LevelGraph,
    bottom: int,
    top: int,
    ripple_m: float,
    opening: np.ndarray,
    least_m3: float = 0.0,
    spill_m: float = 0.0,
) -> tuple[PourShape, ...]:
    """Pours of the band ``bottom <= level < top``, from left to right.

    Parameters
    ----------
    graph : LevelGraph
    bottom, top : int
        Levels of the band.
    ripple_m : float
        A pool shallower than this [m] below its join counts with its neighbour.
    opening : (n,) bool
        Nodes that touch an opening that looks up.
    least_m3, spill_m : float
        A pool of less than the one [m3], no deeper below its join than the other [m], counts with its neighbour too.
    """
    start, stop = np.searchsorted(graph.node_level, (bottom, top))
    below: list[list[int]] = [[] for _ in range(stop - start)]
    inside = (graph.edge_upper >= start) & (graph.edge_upper < stop)
    for low, high in zip(graph.edge_lower[inside].tolist(), graph.edge_upper[inside].tolist(), strict=True):
        if low >= start:
            below[high - start].append(low)
    volumes = graph.node_volume_m3[start:stop].tolist()
    levels = graph.node_level[start:stop].tolist()
    mass_of: list[int] = []
    masses: dict[int, _Mass] = {}
    part: list[dict[int, float]] = []  # share of each node by pour
    for i, volume in enumerate(volumes):
        found = sorted({mass_of[low - start] for low in below[i]}, key=lambda m: _elder(masses[m], m))
        if not found:
            mass = i
            masses[i] = _Mass(levels[i], {i: 0.0})
        else:
            mass = found[0]
            for younger in found[1:]:
                depth = float(graph.level_m[levels[i]] - graph.level_m[masses[younger].floor])
                brought = sum(masses[younger].volume.values())
                fold = bool(folds(depth, brought, ripple_m, least_m3, spill_m))
                _join(masses[mass], masses[younger], part, fold=fold)
                for node in masses[younger].nodes:
                    mass_of[node] = mass
                masses[mass].nodes += masses.pop(younger).nodes
        whole = masses[mass].volume
        total = sum(whole.values())
        part.append({p: v / total if total > 0 else 1.0 / len(whole) for p, v in whole.items()})
        for p, share in part[i].items():
            whole[p] += share * volume
        mass_of.append(mass)
        masses[mass].nodes.append(i)
    shapes = []
    for piece, one in enumerate(masses.values()):
        shapes += _shapes(graph, one, part, piece, int(start), top, opening)
    return tuple(sorted(shapes, key=lambda s: (*np.round(s.centroid_m[:2], 9), s.bottom_level)))


def _elder(mass: _Mass, key: int) -> tuple[int, float, int]:
    return (mass.floor, -round(sum(mass.volume.values()), 12), key)


def _join(elder: _Mass, younger: _Mass, part: list[dict[int, float]], *, fold: bool) -> None:
    """Put the younger mass with the elder; a ripple gives its nodes to the elder's pours."""
    if not fold:
        elder.volume.update(younger.volume)
        return
    rest = sum(elder.volume.values())
    split = {p: v / rest if rest > 0 else 1.0 / len(elder.volume) for p, v in elder.volume.items()}
    brought = sum(younger.volume.values())
    for p, share in split.items():
        elder.volume[p] += share * brought
    for node in younger.nodes:
        part[node] = dict(split)


def _shapes(
    graph: LevelGraph,
    mass: _Mass,
    part: list[dict[int, float]],
    piece: int,
    start: int,
    top: int,
    opening: np.ndarray,
) -> list[PourShape]:
    everything = np.array(mass.nodes) + start
    rising = np.isin(everything, graph.edge_lower) & (graph.node_level[everything] == top - 1)
    sealed = not rising.any() and not opening[everything].any()
    shapes = []
    for pour in mass.volume:
        local = sorted(i for i in mass.nodes if part[i].get(pour, 0.0) > 0.0)
        nodes = np.array(local) + start
        shares = np.array([part[i][pour] for i in local])
        alone = np.array([len(part[i]) == 1 for i in local])
        filled = graph.node_volume_m3[nodes] * shares
        level = graph.node_level[nodes]
        centroid = graph.node_centroid_m[nodes]
        weight = np.where(alone, graph.node_volume_m3[nodes], 0.0)
        floor = nodes[level == level.min()]
        for array in (nodes, shares):
            array.setflags(write=False)
        shapes.append(
            PourShape(
                piece=piece,
                nodes=nodes,
                shares=shares,
                own=_frozen(nodes[alone]),
                bottom_level=int(level.min()),
                top_level=int(level.max()) + 1,
                join_level=int(level[~alone].min()) if (~alone).any() else int(level.max()) + 1,
                volume_m3=float(filled.sum()),
                centroid_m=_frozen(np.average(centroid, axis=0, weights=weight if weight.sum() > 0 else None)),
                sealed=bool(sealed),
                on_foam=bool(np.isin(floor, graph.edge_upper).any()),
            )
        )
    return shapes


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
