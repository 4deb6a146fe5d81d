"""One mix on its way through a piece that is turned: what it coats, roll by roll, and what is left of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from queue import SimpleQueue
from typing import TypeAlias, TypeVar

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.lining._flood import below, flood
from pourwright.lining._sweep import MOST_POOLS, sweep
from pourwright.lining.paths import Roll, moved_rad
from pourwright.lining.surface import Inside
from pourwright.processors import thread_count

T = TypeVar("T")

WHOLE = 0.99
"""Share of a film from which a face counts as coated; our judgement."""
Growth: TypeAlias = tuple[np.ndarray, np.ndarray]
"""Seconds since mixing began, and the volume of the mix then, as many times that of its liquids."""


@dataclass(frozen=True, eq=False)
class State:
    """A mix between two rolls. Volumes of liquid; arrays are not changed."""

    up: np.ndarray  # (3,) way up now, shell axes
    places: np.ndarray  # (k,) a face under each pool
    volumes_m3: np.ndarray  # (k,)
    laid_m3: np.ndarray  # (n,) on each face
    film_m: float  # liquid that a whole film takes
    time_s: float  # since mixing began
    moved_rad: float = 0.0

    @property
    def left_m3(self) -> float:
        """Liquid that is still in pools."""
        return float(self.volumes_m3.sum())


@dataclass(eq=False)
class _Space:
    """What one sweep at a time works in."""

    arrays: tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray]
    stamp: int = 0

    @classmethod
    def of(cls, n: int) -> _Space:
        """For so many faces."""
        whole = [np.full(n, -1, np.int64) for _ in range(5)]
        return cls((np.zeros(n), whole[0], whole[1], whole[2], whole[3], whole[4], np.zeros(n)))


class Sweeper:
    """Work space for many trials on one inside, some of them side by side."""

    def __init__(self, inside: Inside, to_shell: np.ndarray, growth: Growth) -> None:
        """``to_shell`` (3, 3): ``standing @ to_shell`` is in shell axes."""
        n = len(inside.area_m2)
        self.inside, self.to_shell, self.growth = inside, to_shell, growth
        self._shape = (
            np.ascontiguousarray(inside.around), np.ascontiguousarray(inside.middle_m),
            np.ascontiguousarray(inside.normal), np.ascontiguousarray(inside.area_m2),
        )  # fmt: skip
        self._free: SimpleQueue[_Space] = SimpleQueue()
        for _ in range(thread_count()):
            self._free.put(_Space.of(n))
        rows, sides = np.nonzero(inside.around >= 0)
        links = coo_array((np.ones(len(rows)), (rows, inside.around[rows, sides])), (n, n))
        self.part = connected_components(links, directed=False)[1]

    def poured(
        self, up: np.ndarray, starts_m: Sequence[np.ndarray], liquid_m3: float, film_m: float, time_s: float
    ) -> State:
        """Liquid let go at points, shared by the area that each of their hollows has to be coated."""
        faces = [below(self.inside.triangles_m, np.asarray(at, float), -up) for at in starts_m]
        faces = [face for face in faces if face >= 0]
        size = np.bincount(self.part, self.inside.area_m2)
        parts = np.array([self.part[face] for face in faces])
        share = np.array([size[part] / (parts == part).sum() for part in parts]) if faces else np.zeros(0)
        volumes = liquid_m3 * share / max(float(share.sum()), 1e-30)
        return State(up, np.array(faces, np.int64), volumes, np.zeros(len(self.inside.area_m2)), film_m, time_s)

    def each(self, trial: Callable[[Roll], T], rolls: Sequence[Roll]) -> list[T]:
        """What a trial of each of some rolls finds, in their order: they are followed side by side."""
        with ThreadPoolExecutor(thread_count()) as pool:
            return list(pool.map(trial, rolls))

    def coated(self, state: State, share: float = WHOLE) -> np.ndarray:
        """Faces (n,) bool that hold so much of a film."""
        return np.asarray(state.laid_m3 >= share * state.film_m * self.inside.area_m2)

    def standing(self, state: State) -> np.ndarray:
        """Liquid (n,) that stands over each face where the pools of a mix set at last [m3], by depth."""
        inside, out = self.inside, np.zeros(len(self.inside.area_m2))
        height, floor = inside.middle_m @ state.up, -(inside.normal @ state.up) * inside.area_m2
        growth = float(np.interp(state.time_s, *self.growth))
        pool = np.zeros(len(out), np.int64)
        for place, volume in zip(state.places, state.volumes_m3, strict=True):
            depth, seen = np.zeros(len(out)), np.zeros(len(out), np.int64)
            _, wet = flood(self._shape[0], height, floor, int(place), growth * float(volume), depth, pool, seen, 1)
            share = depth[pool[:wet]] * inside.area_m2[pool[:wet]]
            np.add.at(out, pool[:wet], volume * share / share.sum())
        return out

    def rolled(self, state: State, roll: Roll, seconds: float) -> State:
        """After one roll more that takes so long."""
        path = np.ascontiguousarray(roll.path(state.up @ self.to_shell.T) @ self.to_shell)
        return self.along(state, path, seconds)

    def along(self, state: State, path: np.ndarray, seconds: float) -> State:
        """After a path of ways up (p, 3), shell axes."""
        end = state.time_s + seconds
        growth = np.interp(np.linspace(state.time_s, end, len(path)), *self.growth)
        places, volumes = np.zeros(MOST_POOLS, np.int64), np.zeros(MOST_POOLS)
        count = min(len(state.places), MOST_POOLS)
        places[:count], volumes[:count] = state.places[:count], state.volumes_m3[:count]
        laid = state.laid_m3.copy()
        space = self._free.get()
        try:
            left, space.stamp = sweep(
                self._shape, path, growth, state.film_m, (places, volumes), count, laid, space.arrays, space.stamp + 1
            )
        finally:
            self._free.put(space)
        moved = state.moved_rad + moved_rad(np.vstack([state.up[None], path]))
        return State(path[-1], places[:left], volumes[:left], laid, state.film_m, end, moved)
