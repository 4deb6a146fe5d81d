"""Which part of the cavity is full of set foam, from the heights that were reached, and which is spoken for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.errors import UsageError
from pourwright.foam import Conditions, FoamAtShop, FoamGrade, at_conditions
from pourwright.record.model import CoatEntry, Entry, Planned
from pourwright.record.reach import Claim, claims_of, foam_of, shares_of
from pourwright.record.yields import Reading, reading_of


@dataclass(frozen=True, eq=False)
class PourSpace:
    """What one pour has, or is to have, of the cavity. Arrays read-only."""

    name: str
    planned: Planned
    nodes: np.ndarray  # of the level graph
    shares: np.ndarray  # of each of them; the rest of a node is another pour's
    top_m: float  # as read, or as planned

    def volume_m3(self, graph: LevelGraph) -> float:
        """In whole levels."""
        return float((graph.node_volume_m3[self.nodes] * self.shares).sum())


@dataclass(frozen=True, eq=False)
class Mass:
    """Foam of one or several pours that rose into each other, with all that was poured and topped up."""

    lift: int  # number on the sheet it was poured from
    pours: tuple[str, ...]
    entries: tuple[Entry, ...]
    nodes: np.ndarray  # of the level graph
    shares: np.ndarray  # of each of them; below 1 where a pour that is not recorded yet has the rest
    bottom_m: float
    top_m: float  # as read
    volume_m3: float  # of the cavity up to ``top_m``
    expected_kg: float  # of foam in that volume, by the data sheet in the shop of that day
    reading: Reading | None  # None: closed, off its ratio, no height read, or not all of it recorded

    @property
    def kg(self) -> float:
        """Liquid poured, which is the foam in place but for what gas carries off."""
        return sum(entry.kg for entry in self.entries)


@dataclass(frozen=True, eq=False)
class Filled:
    """All masses from the lowest lift up, what each pour has of them, and what pours that are still to come will have.

    No node has more than one lift's foam, and the shares of a node never add up to more than one.
    """

    masses: tuple[Mass, ...]
    spaces: Mapping[str, PourSpace]  # of pours that are recorded
    pending: Mapping[str, PourSpace]  # of pours that are not, in lifts that are begun or have foam above them
    full: np.ndarray  # (nodes,) bool: foam in it
    taken: np.ndarray  # (nodes,) bool: foam in it, or spoken for

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Those that tell of the yield."""
        return tuple(mass.reading for mass in self.masses if mass.reading is not None)


def filled_of(
    cavity: Cavity,
    graph: LevelGraph,
    grade: FoamGrade,
    conditions: Conditions,
    entries: Sequence[Entry],
    pending: Mapping[str, Planned] | None = None,
) -> Filled:
    """What the entries filled, and what is spoken for by pours that were to come before or with them.

    A pour fills what it was planned to fill below the height that was read, with any gap down to the foam under it;
    where the height is over its top, everything it can get to below that height without running down into the pools of
    the other pours of its lift. Lifts are taken from the lowest up, whatever the order of the entries. What a pour that
    is not recorded has been given is not filled by one above it, and it is not given what one above has filled.
    Heights are taken to the nearest cut of the level graph for what is full, and as they were read for the yield. Pours
    that came to share a node are one mass.

    Parameters
    ----------
    cavity, graph
        Of the piece.
    grade, conditions
        As the plan had them; an entry's own temperatures replace those of the shop.
    entries : sequence of Entry
        In order; without those that were struck.
    pending : mapping, optional
        Pours by name that are not recorded and are in a lift of the entries or below one.

    Raises
    ------
    UsageError
        A top-up names a pour that was not recorded.
    """
    waiting = dict(pending or {})
    poured = [entry for entry in entries if entry.kind == "pour"]
    extra = [entry for entry in entries if entry.kind == "top-up"]
    names = {entry.pour for entry in poured}
    for entry in extra:
        if entry.pour not in names:
            raise UsageError(f"pour {entry.pour} was topped up but never recorded: record the pour first")
    full = np.zeros(len(graph.node_level), bool)
    taken = full.copy()
    masses: list[Mass] = []
    spaces: dict[str, PourSpace] = {}
    kept: dict[str, PourSpace] = {}
    recorded = [_claim(entry, extra) for entry in {entry.pour: entry for entry in reversed(poured)}.values()][::-1]
    for lift in sorted({p.lift for p in waiting.values()} | {entry.planned.lift for entry in poured}):
        mine = [entry for entry in poured if entry.planned.lift == lift]
        claims = [claim for claim in recorded if claim.planned.lift == lift]
        claims += [Claim(n, p, p.top_m, False) for n, p in waiting.items() if p.lift == lift and n not in names]
        higher = [foam_of(graph, claim) for claim in recorded if claim.planned.lift > lift]
        above = np.any([np.zeros_like(taken), *higher], axis=0)
        reached = claims_of(cavity, graph, claims, taken, above)
        shared = shares_of(graph, claims, reached)
        for claim in claims:
            nodes, shares = shared[claim.name]
            space = PourSpace(claim.name, claim.planned, _frozen(nodes), _frozen(shares), claim.top_m)
            (spaces if claim.recorded else kept)[claim.name] = space
            taken[nodes] = True
            if claim.recorded:
                full[nodes] = True
        for group in _groups([spaces[claim.name] for claim in claims if claim.recorded]):
            group_names = {space.name for space in group}
            both = tuple(entry for entry in [*mine, *extra] if entry.pour in group_names)
            masses.append(_mass(graph, grade, conditions, group, both))
    for array in (full, taken):
        array.setflags(write=False)
    return Filled(tuple(masses), spaces, kept, full, taken)


def _claim(entry: Entry, extra: Sequence[Entry]) -> Claim:
    """A recorded pour with the height that was read last."""
    read = [one.reached_m for one in [entry, *(e for e in extra if e.pour == entry.pour)] if one.reached_m is not None]
    return Claim(entry.pour, entry.planned, read[-1] if read else entry.planned.top_m, True)


def _groups(spaces: Sequence[PourSpace]) -> list[list[PourSpace]]:
    """Spaces that share a node stand together."""
    groups: list[list[PourSpace]] = []
    for space in spaces:
        touching = [group for group in groups if any(np.intersect1d(one.nodes, space.nodes).size for one in group)]
        groups = [group for group in groups if group not in touching]
        groups.append([one for group in touching for one in group] + [space])
    return groups


def _mass(
    graph: LevelGraph, grade: FoamGrade, conditions: Conditions, spaces: Sequence[PourSpace], entries: tuple[Entry, ...]
) -> Mass:
    share = np.zeros(len(graph.node_level))
    for space in spaces:
        share[space.nodes] += space.shares
    nodes = np.flatnonzero(share)
    share = np.minimum(share[nodes], 1.0)
    top_m = max(space.top_m for space in spaces)
    volume, area = float((graph.node_volume_m3[nodes] * share).sum()), 0.0
    if len(nodes):
        last = graph.node_level[nodes] == graph.node_level[nodes].max()
        area = float((graph.node_area_m2[nodes[last]] * share[last]).sum())
        volume += area * _off_cut(graph, int(graph.node_level[nodes].max()) + 1, top_m)
    planned = entries[0].planned
    density = [_density(grade, conditions, entry) for entry in entries]
    expected = float(np.mean(density)) * max(volume, 0.0)
    kg = sum(entry.kg for entry in entries)
    names = tuple(space.name for space in spaces)
    tells = any(entry.reached_m is not None for entry in entries) and not planned.closes
    whole = bool((share > 1.0 - 1e-9).all()) and not any(entry.off_ratio for entry in entries)
    reading = None
    if tells and whole and expected > 0 and kg > 0:
        reading = reading_of(kg, expected, volume, area, names)
    return Mass(
        lift=planned.lift,
        pours=names,
        entries=entries,
        nodes=_frozen(nodes),
        shares=_frozen(share),
        bottom_m=min(space.planned.bottom_m for space in spaces),
        top_m=top_m,
        volume_m3=max(volume, 0.0),
        expected_kg=expected,
        reading=reading,
    )


def _off_cut(graph: LevelGraph, cut: int, top_m: float) -> float:
    """How far a height is over the cut it was taken to; nothing where the cavity itself ends there."""
    off = top_m - float(graph.level_m[cut])
    return off if abs(off) <= 0.5001 * float(graph.level_m[1] - graph.level_m[0]) else 0.0


def _density(grade: FoamGrade, conditions: Conditions, entry: Entry) -> float:
    """Expected in place [kg/m3]."""
    foam = _at(grade, conditions, entry)
    return (foam.closed_density_kg_m3 if entry.planned.closes else foam.open_density_kg_m3).nominal


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array)
    array.setflags(write=False)
    return array


def _at(grade: FoamGrade, conditions: Conditions, entry: Entry) -> FoamAtShop:
    return at_conditions(grade, conditions_of(conditions, entry))


def conditions_of(conditions: Conditions, entry: Entry | CoatEntry) -> Conditions:
    """The shop with an entry's own temperatures in it."""
    return Conditions(
        air_k=conditions.air_k if entry.air_k is None else entry.air_k,
        parts_k=conditions.parts_k if entry.parts_k is None else entry.parts_k,
        skin_k=conditions.skin_k if entry.skin_k is None else entry.skin_k,
        pressure_pa=conditions.pressure_pa,
    )
