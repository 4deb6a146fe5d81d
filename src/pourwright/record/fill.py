"""Which part of the cavity is full of set foam, from the heights that were reached."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import breadth_first_order

from pourwright.cavity import Cavity, LevelGraph
from pourwright.errors import UsageError
from pourwright.foam import Conditions, FoamAtShop, FoamGrade, at_conditions
from pourwright.record.model import Entry, Point
from pourwright.record.yields import Reading, reading_of


@dataclass(frozen=True, eq=False)
class Mass:
    """Foam of one or several pours that rose into each other, with all that was poured and topped up."""

    lift: int  # number on the sheet it was poured from
    issue: int
    pours: tuple[str, ...]
    entries: tuple[Entry, ...]
    nodes: np.ndarray  # of the level graph, none of them in an earlier mass
    bottom_m: float
    top_m: float  # as read
    volume_m3: float  # of the cavity up to ``top_m``
    reading: Reading | None  # None: closed, or no height read

    @property
    def kg(self) -> float:
        """Liquid poured, which is the foam in place but for what gas carries off."""
        return sum(entry.kg for entry in self.entries)


@dataclass(frozen=True, eq=False)
class Filled:
    """All masses in the order they were poured, and which nodes are full."""

    masses: tuple[Mass, ...]
    full: np.ndarray  # (nodes,) bool

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Those that tell of the yield."""
        return tuple(mass.reading for mass in self.masses if mass.reading is not None)


def filled_of(
    cavity: Cavity, graph: LevelGraph, grade: FoamGrade, conditions: Conditions, entries: Sequence[Entry]
) -> Filled:
    """What the entries filled.

    A pour fills, from where its liquid landed, every node it can get to below the height that was read, without running
    down into the pools of the other pours of its lift. Heights are taken to the nearest cut of the level graph for what
    is full, and as they were read for the yield. Pours that came to share a node are one mass.

    Parameters
    ----------
    cavity, graph
        Of the piece.
    grade, conditions
        As the plan had them; an entry's own temperatures replace those of the shop.
    entries : sequence of Entry
        In order; without those that were struck.

    Raises
    ------
    UsageError
        A top-up names a pour that was not recorded.
    """
    full = np.zeros(len(graph.node_level), bool)
    masses: list[Mass] = []
    poured = [entry for entry in entries if entry.kind == "pour"]
    extra = [entry for entry in entries if entry.kind == "top-up"]
    for issue, lift in dict.fromkeys((entry.issue, entry.planned.lift) for entry in poured):
        mine = [entry for entry in poured if (entry.issue, entry.planned.lift) == (issue, lift)]
        masses += _lift(cavity, graph, grade, conditions, mine, extra, full)
    names = {(mass.issue, name) for mass in masses for name in mass.pours}
    for entry in extra:
        if not any(name == entry.pour for _, name in names):
            raise UsageError(f"pour {entry.pour} was topped up but never recorded: record the pour first")
    full.setflags(write=False)
    return Filled(tuple(masses), full)


def _lift(
    cavity: Cavity,
    graph: LevelGraph,
    grade: FoamGrade,
    conditions: Conditions,
    entries: list[Entry],
    extra: list[Entry],
    full: np.ndarray,
) -> list[Mass]:
    """Masses of one lift; marks their nodes in ``full``."""
    heights = {}
    for entry in entries:  # a later reading of the same pour replaces the earlier one
        top = entry.reached_m
        heights[entry.pour] = entry.planned.top_m if top is None else top
    for entry in extra:
        if entry.pour in heights and entry.reached_m is not None:
            heights[entry.pour] = entry.reached_m
    first = {entry.pour: entry for entry in reversed(entries)}
    groups: list[tuple[set[str], np.ndarray]] = []
    for name in heights:
        nodes = _reach(cavity, graph, first[name], heights[name], full)
        names, merged = {name}, nodes
        for other in [group for group in groups if np.intersect1d(group[1], merged).size]:
            groups.remove(other)
            names, merged = names | other[0], np.union1d(other[1], merged)
        groups.append((names, merged))
    masses = []
    for names, nodes in groups:
        order = tuple(name for name in heights if name in names)
        mine = tuple(entry for entry in [*entries, *extra] if entry.pour in names)
        masses.append(_mass(graph, grade, conditions, order, mine, nodes, max(heights[name] for name in names)))
    for mass in masses:
        full[mass.nodes] = True
    return masses


def _mass(
    graph: LevelGraph,
    grade: FoamGrade,
    conditions: Conditions,
    names: tuple[str, ...],
    entries: tuple[Entry, ...],
    nodes: np.ndarray,
    top_m: float,
) -> Mass:
    planned = entries[0].planned
    volume = float(graph.node_volume_m3[nodes].sum())
    area = 0.0
    if len(nodes):
        last = nodes[graph.node_level[nodes] == graph.node_level[nodes].max()]
        area = float(graph.node_area_m2[last].sum())
        volume += area * (top_m - float(graph.level_m[int(graph.node_level[last[0]]) + 1]))
    reading = None
    read = any(entry.reached_m is not None for entry in entries)
    if read and not planned.closes and volume > 0 and sum(entry.kg for entry in entries) > 0:
        expected = np.mean([_at(grade, conditions, entry).open_density_kg_m3.nominal for entry in entries])
        reading = reading_of(sum(entry.kg for entry in entries), float(expected) * volume, volume, area, names)
    nodes.setflags(write=False)
    return Mass(
        planned.lift, entries[0].issue, names, entries, nodes, planned.bottom_m, top_m, max(volume, 0.0), reading
    )


def _at(grade: FoamGrade, conditions: Conditions, entry: Entry) -> FoamAtShop:
    return at_conditions(grade, conditions_of(conditions, entry))


def conditions_of(conditions: Conditions, entry: Entry) -> Conditions:
    """The shop with an entry's own temperatures in it."""
    return Conditions(
        air_k=conditions.air_k if entry.air_k is None else entry.air_k,
        parts_k=conditions.parts_k if entry.parts_k is None else entry.parts_k,
        skin_k=conditions.skin_k if entry.skin_k is None else entry.skin_k,
        pressure_pa=conditions.pressure_pa,
    )


def level_at(graph: LevelGraph, height_m: float) -> int:
    """Index of the cut nearest to a height."""
    return int(np.argmin(np.abs(graph.level_m - height_m)))


def _reach(cavity: Cavity, graph: LevelGraph, entry: Entry, top_m: float, full: np.ndarray) -> np.ndarray:
    planned = entry.planned
    top = level_at(graph, top_m)
    free = ~full & (graph.node_level < top)
    others = [_node(cavity, graph, point, ~full) for point in planned.others_m]
    seed = _node(cavity, graph, planned.seed_m, free) if planned.seed_m is not None else None
    if seed is None:
        low = np.flatnonzero(free & (graph.node_level == min(level_at(graph, planned.bottom_m), top - 1)))
        if not len(low):
            return np.zeros(0, np.int64)
        seed = int(low[np.argmax(graph.node_volume_m3[low])])
    mine = _upward(graph, seed, ~full)
    for other in others:
        if other is not None and other != seed:
            free &= ~(_upward(graph, other, ~full) & ~mine)
    free[seed] = not full[seed] and graph.node_level[seed] < top
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
