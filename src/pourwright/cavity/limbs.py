"""Limbs: the stretches of a cavity that can be filled without regard to each other.

The level graph is contracted to its branches. A branch ends where two pools join, where the cavity splits upwards, at
its floor or at its top. Branches that are no more than a ripple, and those too small for a pour of their own that a
neighbour fills along with itself, are taken in by the neighbour they touch most. What is left are the limbs: a leg, a
neck, a body between the join of the legs and the root of the neck. Foam put into one does not fill another.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity.model import LevelGraph

Least = float | np.ndarray
MOUTHS = 2.0
"""A small hanging branch fills from above where it is no deeper than this many widths of its mouth. Our judgement."""


@dataclass(frozen=True, eq=False)
class Limb:
    """One stretch between joins. Arrays read-only.

    ``trunk`` are its own nodes by level; ``taken`` the nodes of small branches it fills along with itself and
    ``taken_at`` the level of the trunk that each of them is filled with.
    """

    name: str  # "L1", from the lowest up
    trunk: np.ndarray
    taken: np.ndarray
    taken_at: np.ndarray
    bottom_level: int
    top_level: int  # one past its last level
    below: tuple[int, ...]  # limbs that must be full before foam put into this one stays in it
    above: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Limbs:
    """All limbs, those below before those above them. ``of_node`` (n,) names each node's limb, -1 for none."""

    limbs: tuple[Limb, ...]
    of_node: np.ndarray
    at_level: np.ndarray  # (n,) level of its limb's trunk that each node is filled with

    def only(self, kept: list[int]) -> Limbs:
        """These limbs alone, numbered anew; none of them may lie on one that is left out."""
        number = {old: new for new, old in enumerate(kept)}
        limbs = tuple(
            replace(
                self.limbs[old],
                name=f"L{number[old] + 1}",
                below=tuple(number[b] for b in self.limbs[old].below),
                above=tuple(number[a] for a in self.limbs[old].above),
            )
            for old in kept
        )
        renumbered = np.full(len(self.limbs) + 1, -1)
        renumbered[kept] = np.arange(len(kept))
        return Limbs(limbs, _frozen(renumbered[self.of_node]), self.at_level)


class _Branch:
    """A branch while the graph is contracted."""

    __slots__ = ("alive", "down", "stamp", "taken", "trunk", "up", "volume")

    def __init__(self, node: int, volume: float):
        self.trunk = [node]
        self.taken: list[tuple[int, int]] = []  # node, level of the trunk it goes with
        self.volume = volume
        self.up: dict[int, float] = {}  # branch above: area of contact
        self.down: dict[int, float] = {}
        self.alive = True
        self.stamp = 0


def limbs_of(
    graph: LevelGraph, least_m3: Least, ripple_m: float | None = None, spill_m: float = 0.0, start_level: int = 0
) -> Limbs:
    """Contract a level graph to its limbs.

    Parameters
    ----------
    graph : LevelGraph
    least_m3 : float or array (n,) by node
        Foam that is worth a pour of its own [m3]; a smaller branch is filled with a neighbour where that can be.
    ripple_m : float, optional
        A branch not longer than this [m] is no limb; the graph's own threshold where left out.
    spill_m : float
        A hanging branch no deeper than this [m] fills from above even through a narrow mouth.
    start_level : int
        Levels below are full already and count for nothing.

    Returns
    -------
    Limbs
        Every node from ``start_level`` up belongs to one limb. A branch too small for a pour that hangs deeper than
        it may fill from above is a limb of its own: it is never left empty.
    """
    ripple = graph.ripple_m if ripple_m is None else ripple_m
    work = _Contraction(graph, least_m3, ripple, spill_m, start_level)
    work.run()
    return work.result()


class _Contraction:
    def __init__(self, graph: LevelGraph, least_m3: Least, ripple_m: float, spill_m: float, start_level: int):
        self.graph, self.ripple, self.spill = graph, ripple_m, spill_m
        self.least = np.broadcast_to(least_m3, graph.node_level.shape)
        self.cell = float(graph.level_m[1] - graph.level_m[0])
        self.branches: dict[int, _Branch] = {
            int(i): _Branch(int(i), float(graph.node_volume_m3[i]))
            for i in np.flatnonzero(graph.node_level >= start_level)
        }
        pairs = zip(graph.edge_lower.tolist(), graph.edge_upper.tolist(), graph.edge_overlap_m2.tolist(), strict=True)
        for low, high, area in pairs:
            if low in self.branches and high in self.branches:
                self.branches[low].up[high] = self.branches[low].up.get(high, 0.0) + area
                self.branches[high].down[low] = self.branches[high].down.get(low, 0.0) + area

    def run(self) -> None:
        """Join what goes straight on, then take small branches in, the smallest first, until none is left."""
        for key in sorted(self.branches):
            if key in self.branches:
                self._extend(key)
        queue = [self._rank(key) for key in self.branches]
        heapq.heapify(queue)
        while queue:
            *_, stamp, key = heapq.heappop(queue)
            branch = self.branches.get(key)
            if branch is None or branch.stamp != stamp:
                continue
            taker = self._taker(key, branch)
            if taker is None:
                continue
            self._take_in(taker, key)
            for changed in self._settle(taker):
                heapq.heappush(queue, self._rank(changed))

    def _rank(self, key: int) -> tuple[float, int, int, int]:
        branch = self.branches[key]
        return (round(branch.volume, 12), int(self.graph.node_level[branch.trunk[0]]), branch.stamp, key)

    def _length(self, branch: _Branch) -> float:
        levels = self.graph.node_level[branch.trunk]
        return (int(levels.max()) - int(levels.min()) + 1) * self.cell

    def _taker(self, key: int, branch: _Branch) -> int | None:
        """The neighbour that fills this branch with itself, None where it is a limb."""
        length = self._length(branch)
        small = branch.volume < float(self.least[branch.trunk].min())
        if not (branch.up or branch.down) or not (small or length <= self.ripple + 1e-9):
            return None
        if branch.down and not branch.up:  # a tip: the foam below rises into it
            return max(branch.down, key=lambda k: (branch.down[k], -k))
        if branch.up and not branch.down:  # it hangs: foam put in above has to run down into it
            if length <= max(self.ripple, self.spill) + 1e-9 or length <= MOUTHS * self._mouth(branch):
                return max(branch.up, key=lambda k: (branch.up[k], -k))
            return None
        if len(branch.down) > 1 and len(branch.up) == 1:  # they join in it: the way above begins so much lower
            return next(iter(branch.up))
        # Between others: foam rises into it from below, and nothing closes over it.
        return max(branch.down, key=lambda k: (branch.down[k], -k))

    def _mouth(self, branch: _Branch) -> float:
        top = max(branch.trunk, key=lambda node: (int(self.graph.node_level[node]), -node))
        return float(self.graph.node_width_m[top])

    def _extend(self, key: int) -> None:
        """Join a branch with those that go straight on above it."""
        branch = self.branches[key]
        while len(branch.up) == 1:
            above = next(iter(branch.up))
            if len(self.branches[above].down) != 1 or not self._over(above, key):
                return
            self._append(key, above)

    def _over(self, above: int, key: int) -> bool:
        """Whether all of a branch lies higher than another: beside it, it is none that goes straight on."""
        level = self.graph.node_level
        return int(level[self.branches[above].trunk].min()) > int(level[self.branches[key].trunk].max())

    def _append(self, key: int, above: int) -> None:
        """Put a branch that goes straight on above ``key`` into it."""
        branch, gone = self.branches[key], self.branches.pop(above)
        branch.trunk += gone.trunk
        branch.taken += gone.taken
        branch.volume += gone.volume
        branch.up = gone.up
        for other in gone.up:
            down = self.branches[other].down
            down[key] = down.get(key, 0.0) + down.pop(above)
        branch.stamp += 1

    def _take_in(self, taker: int, key: int) -> None:
        """Take a small branch into a neighbour; its own neighbours become the neighbour's."""
        gone, keeper = self.branches.pop(key), self.branches[taker]
        level = self.graph.node_level
        from_below = taker in gone.down
        own = [int(level[n]) for n in keeper.trunk]
        contact = int(level[gone.trunk].min()) - 1 if from_below else int(level[gone.trunk].max()) + 1
        at = min(max(contact, min(own)), max(own))
        nodes = gone.trunk + [n for n, _ in gone.taken]
        beyond = {k for k in gone.up if k != taker} if from_below else {k for k in gone.down if k != taker}
        if beyond:  # it lies on the way to others: its nodes lengthen the trunk
            keeper.trunk += gone.trunk
            keeper.taken += gone.taken
        else:
            keeper.taken += [(n, at) for n in nodes]
        keeper.volume += gone.volume
        for side, back in (("up", "down"), ("down", "up")):
            for other, area in getattr(gone, side).items():
                neighbour = getattr(self.branches[other], back)
                neighbour.pop(key, None)
                if other == taker:
                    continue
                mine = getattr(keeper, side)
                mine[other] = mine.get(other, 0.0) + area
                neighbour[taker] = neighbour.get(taker, 0.0) + area
        for both in set(keeper.up) & set(keeper.down):  # a ring that closed on itself: it goes with the larger contact
            is_up = keeper.up[both] >= keeper.down[both]
            (keeper.down if is_up else keeper.up).pop(both)
            (self.branches[both].up if is_up else self.branches[both].down).pop(taker, None)
        keeper.stamp += 1

    def _settle(self, key: int) -> list[int]:
        """Join what goes straight on now; the branches whose rank has changed."""
        if len(self.branches[key].down) == 1:
            below = next(iter(self.branches[key].down))
            if len(self.branches[below].up) == 1 and self._over(key, below):
                self._append(below, key)
                key = below
        self._extend(key)
        changed = [key, *self.branches[key].up, *self.branches[key].down]
        for one in changed:
            self.branches[one].stamp += 1
        return changed

    def result(self) -> Limbs:
        graph = self.graph
        level = graph.node_level

        def place(key: int) -> tuple[float, ...]:
            trunk = self.branches[key].trunk
            low = int(level[trunk].min())
            middle = np.average(graph.node_centroid_m[trunk], axis=0, weights=graph.node_volume_m3[trunk])
            return (low, *np.round(middle[:2], 9).tolist(), key)

        order = _upwards({k: tuple(b.down) for k, b in self.branches.items()}, place)
        number = {key: k for k, key in enumerate(order)}
        of_node = np.full(len(level), -1)
        at_level = np.array(level, np.int64)
        limbs = []
        for k, key in enumerate(order):
            branch = self.branches[key]
            trunk = np.array(sorted(branch.trunk), np.int64)
            taken = np.array([n for n, _ in branch.taken], np.int64)
            at = np.array([a for _, a in branch.taken], np.int64)
            of_node[trunk] = k
            of_node[taken] = k
            at_level[taken] = at
            limbs.append(
                Limb(
                    f"L{k + 1}",
                    _frozen(trunk),
                    _frozen(taken),
                    _frozen(at),
                    int(level[trunk].min()),
                    int(level[trunk].max()) + 1,
                    tuple(sorted(number[b] for b in branch.down)),
                    tuple(sorted(number[b] for b in branch.up)),
                )
            )
        return Limbs(tuple(limbs), _frozen(of_node), _frozen(at_level))


def _upwards(below: dict[int, tuple[int, ...]], place: Callable[[int], tuple[float, ...]]) -> list[int]:
    """Every branch after all that lie below it; among those that may come next, the lowest, then from the left."""
    left = {key: set(downs) for key, downs in below.items()}
    done: list[int] = []
    ready = [(place(key), key) for key, downs in left.items() if not downs]
    heapq.heapify(ready)
    while ready:
        _, key = heapq.heappop(ready)
        done.append(key)
        for other, downs in left.items():
            if key in downs:
                downs.discard(key)
                if not downs:
                    heapq.heappush(ready, (place(other), other))
    rest = sorted((key for key in left if key not in set(done)), key=place)
    return done + rest


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
