"""The division of what is left: lifts that are begun stay, and above them the cavity is divided again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import Cavity, LevelGraph, build_levels
from pourwright.errors import LimitError
from pourwright.lifts import Division, Kept, KeptLifts, Measures, Port, Pour, Tighter, Unfilled, keep_pours, plan_lifts
from pourwright.plan import Case
from pourwright.progress import Progress, silent
from pourwright.record.names import Names, renamed

Divide = Callable[[tuple[Tighter, ...], bool], Division]


@dataclass(frozen=True, eq=False)
class Rest:
    """What is left of a cavity: ``divide`` gives its lifts in nodes of the whole graph."""

    divide: Divide
    left_m3: float  # not full of foam


def rest_of(
    case: Case,
    taken: np.ndarray,
    kept: tuple[Kept, ...],
    names: Names,
    made: tuple[Port, ...],
    progress: Progress = silent,
) -> Rest:
    """How to divide what is left.

    Parameters
    ----------
    case : Case
    taken : (nodes,) bool
        Nodes with foam in them, or spoken for by ``kept``.
    kept : tuple of Kept
        Pours of lifts that are begun.
    names : Names
    made : tuple of Port
        Drilled holes to use.

    Returns
    -------
    Rest
        With what is poured, its pours and what stays empty add up to the cavity.
    """
    space, foam, limits = case.space, case.foam, case.limits
    cavity, graph = space.cavity, space.graph
    start, dropped = _start(graph, taken, limits.least_pour_m3)
    left = ~taken
    left[dropped] = False
    volume = graph.node_volume_m3
    begun = keep_pours(space, foam, limits, kept)
    left_m3 = float(volume[left].sum()) + sum(lift.volume_m3 for lift in begun.lifts)
    empty = Division((), (), (), "nothing is left to pour", 0.0, ())
    if volume[left].sum() < limits.least_pour_m3 or not left.any():
        stray_voids = _stray_voids(cavity, graph, np.union1d(dropped, np.flatnonzero(left)))
        whole = _with_kept(replace(empty, unfilled=stray_voids), begun)
        return Rest(lambda tighter, by_panels: whole, left_m3)
    above = left | (graph.node_level < start)
    cells = np.concatenate([[False], above])[graph.label]
    part = replace(cavity, fraction=np.where(cells, cavity.fraction, 0).astype(np.uint8), volume_m3=volume[above].sum())
    part.fraction.setflags(write=False)
    smaller = build_levels(part, ripple_m=graph.ripple_m, progress=progress)
    whole_of = _match(graph, smaller, part.fraction)
    smaller = _standing_on_foam(graph, smaller, whole_of, taken, start)

    def divide(tighter: tuple[Tighter, ...], by_panels: bool) -> Division:
        try:
            plan = plan_lifts(
                replace(space, cavity=part, graph=smaller), foam, limits, progress, start, tighter, by_panels, made
            )
        except LimitError:
            stray_voids = _stray_voids(cavity, graph, np.union1d(dropped, np.flatnonzero(left)))
            return _with_kept(replace(empty, unfilled=stray_voids), begun)
        plan = renamed(_in_whole(plan, whole_of, smaller.node_volume_m3), names, graph)
        plan = replace(plan, unfilled=(*plan.unfilled, *_stray_voids(cavity, graph, dropped)))
        return _with_kept(plan, begun)

    return Rest(divide, left_m3)


def _with_kept(plan: Division, begun: KeptLifts) -> Division:
    """A division with the lifts that are begun before it, their holes and the level ceilings over them."""
    pours = [pour for lift in begun.lifts for pour in lift.pours]
    ports = {port.name: port for port in [*(one.port for p in pours for one in p.landings), *plan.ports]}
    vents = {vent.name: vent for vent in [*plan.vents, *(vent for pour in pours for vent in pour.vents)]}
    return replace(
        plan,
        lifts=(*begun.lifts, *plan.lifts),
        ports=tuple(ports.values()),
        vents=tuple(vents.values()),
        unreached_m3=plan.unreached_m3 + sum(pour.volume_m3 for pour in pours if not pour.landings),
        ceilings=tuple(
            replace(one, name=f"C{number}") for number, one in enumerate((*begun.ceilings, *plan.ceilings), start=1)
        ),
        warnings=tuple(dict.fromkeys([*begun.told, *plan.warnings])),
    )


def _start(graph: LevelGraph, full: np.ndarray, least_m3: float) -> tuple[int, np.ndarray]:
    """Lowest level that is not full, leaving out what is too little to pour and has foam all above it."""
    free = ~full
    keep = free[graph.edge_lower] & free[graph.edge_upper]
    ends = (graph.edge_lower[keep], graph.edge_upper[keep])
    count, piece = connected_components(
        coo_matrix((np.ones(int(keep.sum()), np.int8), ends), shape=(len(free), len(free))), directed=False
    )
    volume = np.bincount(piece, weights=np.where(free, graph.node_volume_m3, 0.0), minlength=count)
    small = free & (volume[piece] < least_m3) & full.any()
    left = free & ~small
    start = int(graph.node_level[left].min()) if left.any() else graph.levels
    return start, np.flatnonzero(small)


def _match(whole: LevelGraph, part: LevelGraph, share: np.ndarray) -> np.ndarray:
    """For each node of ``part``, the node of ``whole`` it is or lies in: the one with most of it, by the cells' shares.

    Thin cells may count with another node of ``whole`` than the rest of theirs.
    """
    both = (part.label > 0) & (whole.label > 0)
    pairs = (part.label[both] - 1, whole.label[both] - 1)
    shape = (len(part.node_level), len(whole.node_level))
    return np.asarray(coo_matrix((share[both].astype(np.int64), pairs), shape=shape).tocsr().argmax(axis=1)).ravel()


def _standing_on_foam(
    whole: LevelGraph, part: LevelGraph, whole_of: np.ndarray, full: np.ndarray, start: int
) -> LevelGraph:
    """``part`` with what stands on set foam joined to a node below ``start``, so that it is known to stand on foam."""
    on = np.zeros(len(whole.node_level), bool)
    on[whole.edge_upper[full[whole.edge_lower]]] = True
    bare = ~np.isin(np.arange(len(part.node_level)), part.edge_upper)
    upper = np.flatnonzero(on[whole_of] & bare & (part.node_level >= start))
    if not len(upper) or not (part.node_level < start).any():
        return part
    return replace(
        part,
        edge_lower=np.concatenate([part.edge_lower, np.zeros(len(upper), part.edge_lower.dtype)]),
        edge_upper=np.concatenate([part.edge_upper, upper.astype(part.edge_upper.dtype)]),
        edge_overlap_m2=np.concatenate([part.edge_overlap_m2, part.node_area_m2[upper]]),
    )


def _in_whole(plan: Division, whole_of: np.ndarray, volume: np.ndarray) -> Division:
    """A division of a part in nodes of the whole; ``volume`` (n,) is that of the part's nodes."""
    vents = {vent.name: replace(vent, node=int(whole_of[vent.node]) if vent.node >= 0 else -1) for vent in plan.vents}
    there = np.bincount(whole_of, weights=volume)

    def pour_in_whole(pour: Pour) -> Pour:
        mine = np.bincount(whole_of[pour.nodes], weights=volume[pour.nodes] * pour.shares, minlength=len(there))
        nodes = np.unique(whole_of[pour.nodes])
        return replace(
            pour,
            nodes=_frozen(nodes),
            shares=_frozen(mine[nodes] / there[nodes]),
            vents=tuple(vents[vent.name] for vent in pour.vents),
        )

    lifts = tuple(replace(lift, pours=tuple(pour_in_whole(pour) for pour in lift.pours)) for lift in plan.lifts)
    unfilled = tuple(replace(space, nodes=_frozen(np.unique(whole_of[space.nodes]))) for space in plan.unfilled)
    ceilings = tuple(
        replace(one, ceiling=replace(one.ceiling, nodes=_frozen(whole_of[one.ceiling.nodes]))) for one in plan.ceilings
    )
    return replace(plan, lifts=lifts, vents=tuple(vents.values()), unfilled=unfilled, ceilings=ceilings, tilt=None)


def _stray_voids(cavity: Cavity, graph: LevelGraph, dropped: np.ndarray) -> tuple[Unfilled, ...]:
    """What is left empty below the foam, each too little for a pour, as one space."""
    if not len(dropped):
        return ()
    largest = int(dropped[np.argmax(graph.node_volume_m3[dropped])])
    centre = graph.node_centroid_m[largest]
    left, front, base = (float(value) for value in centre)
    return (
        Unfilled(
            nodes=_frozen(dropped),
            volume_m3=float(graph.node_volume_m3[dropped].sum()),
            point_m=_frozen(cavity.frame.to_shell(centre)),
            measures=Measures(base, left, front),
        ),
    )


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array)
    array.setflags(write=False)
    return array
