"""Which way up, and in which order: positions whose pools together cover the inside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.lining._flood import below, flood, run_down
from pourwright.lining.surface import Inside

DIRECTIONS = 400
"""Ways up that are looked at, evenly over the sphere: 10 degrees apart."""
ENOUGH = 0.9995
"""Share of what can be covered at all from which no position is added."""
LEAST_GAIN = 0.0008
"""Share of the inside a position must add to be worth it; our judgement."""


@dataclass(frozen=True, eq=False)
class Covered:
    """What each direction covers. Rows are directions, columns faces of the inside."""

    ups: np.ndarray  # (k, 3) shell axes
    wet: np.ndarray  # (k, n) bool


def directions(count: int = DIRECTIONS) -> np.ndarray:
    """Even directions (count, 3) over the sphere, by the golden angle.

    >>> ups = directions(200)
    >>> ups.shape, bool(np.allclose(np.linalg.norm(ups, axis=1), 1.0)), round(float(np.abs(ups.mean(axis=0)).max()), 2)
    ((200, 3), True, 0.0)
    """
    k = np.arange(count)
    z = 1.0 - (2.0 * k + 1.0) / count
    turn = k * math.pi * (3.0 - math.sqrt(5.0))
    flat = np.sqrt(1.0 - z**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


def cover(
    inside: Inside, starts_m: Sequence[np.ndarray], liquid_m3: float, film_m: float, rock_rad: float, ups: np.ndarray
) -> Covered:
    """What liquid wets in each position: where it stands, and where it runs as the piece is tipped and rolled round.

    The liquid is let go, stands, the piece is tipped to one side by ``rock_rad``, rolled once round so, and set upright
    again. Between two of these the pool runs down as a sheet that leaves a film; what brings no whole film does not
    count.

    Parameters
    ----------
    starts_m : sequence of ndarray (3,)
        Where the liquid is let go: the middle of each chamber, by a hose.
    liquid_m3 : float
        That is on the move.
    film_m : float
        Liquid that a wall keeps when it has run over it.
    rock_rad : float
        How far the piece is tipped from the position; 0: it stands still.
    ups : ndarray (k, 3)

    Returns
    -------
    Covered
    """
    work = _Work(inside, liquid_m3, film_m)
    wet = np.zeros((len(ups), len(inside.area_m2)), np.uint8)
    for start_m in starts_m:
        for k, up in enumerate(ups):
            face = below(inside.triangles_m, np.asarray(start_m, float), -up)
            if face >= 0:
                work.position(up, face, rocked(up, rock_rad), wet[k])
    return Covered(ups, wet.astype(bool))


class _Work:
    """Work space of the search."""

    def __init__(self, inside: Inside, liquid_m3: float, film_m: float) -> None:
        n = len(inside.area_m2)
        self.inside, self.liquid_m3, self.film_m = inside, liquid_m3, film_m
        self.seen, self.pool, self.held, self.stamp = np.full(n, -1, np.int64), np.empty(n, np.int64), np.zeros(n), 0
        self.depth = np.zeros(n)

    def position(self, up: np.ndarray, face: int, steps: np.ndarray, wet: np.ndarray) -> None:
        """Stand, then every step, marking what is wetted."""
        faces = self._stand(up, face, wet)
        for step in steps:
            on = self.depth[faces] * self.inside.area_m2[faces]
            height = self.inside.middle_m @ step
            inside = self.inside
            amount = on * (self.liquid_m3 / max(float(on.sum()), 1e-15))
            rest = run_down(
                inside.neighbour, inside.middle_m, height, inside.area_m2, self.film_m, faces, amount, wet, self.held
            )
            faces = self._stand(step, int(rest), wet)

    def _stand(self, up: np.ndarray, face: int, wet: np.ndarray) -> np.ndarray:
        inside, self.stamp = self.inside, self.stamp + 1
        floor = -(inside.normal @ up) * inside.area_m2
        _, count = flood(
            inside.neighbour, inside.middle_m @ up, floor, face, self.liquid_m3, self.depth, self.pool, self.seen,
            self.stamp,
        )  # fmt: skip
        faces = self.pool[:count].copy()
        wet[faces] = 1
        return faces


def rocked(up: np.ndarray, rock_rad: float, count: int = 12) -> np.ndarray:
    """Directions (k, 3) passed when a piece is tipped by ``rock_rad``, rolled once round and set upright again.

    >>> up = np.array([0.0, 0.0, 1.0])
    >>> rocked(up, 0.0).shape, rocked(up, 0.5).shape, bool(np.isclose((rocked(up, 0.5) @ up).min(), math.cos(0.5)))
    ((0, 3), (14, 3), True)
    """
    if rock_rad <= 0:
        return np.zeros((0, 3))
    side = np.cross(up, np.eye(3)[int(np.argmin(np.abs(up)))])
    side = side / np.linalg.norm(side)
    turn = 2 * np.pi * np.arange(count + 1) / count
    ring = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(up, side)
    return np.vstack([np.cos(rock_rad) * up + np.sin(rock_rad) * ring, up])


def chosen(covered: Covered, inside: Inside) -> list[int]:
    """Fewest directions found whose pools cover all that can be covered: greedy by area, then what is spare left out.

    Greedy covers take at most ``1 + ln n`` times the fewest; V. Chvatal, A greedy heuristic for the set-covering
    problem, Mathematics of Operations Research 4 (1979) 233-235 (from memory).
    """
    weight = np.where(inside.counts, inside.area_m2, 0.0)
    whole = float(weight.sum())
    reach = float(weight @ covered.wet.any(axis=0))
    left, out = weight.copy(), []
    while whole - (have := float(left.sum())) < ENOUGH * reach:
        gain = covered.wet @ left
        best = int(np.argmax(np.round(gain, 12)))
        if gain[best] < LEAST_GAIN * whole or have <= 0:
            break
        out.append(best)
        left[covered.wet[best]] = 0.0
    return _without_spare(covered, weight, out)


def _without_spare(covered: Covered, weight: np.ndarray, picked: list[int]) -> list[int]:
    times = covered.wet[picked].sum(axis=0)
    for k in list(picked):
        alone = covered.wet[k] & (times == 1)
        if float(weight @ alone) < 0.5 * LEAST_GAIN * float(weight.sum()):
            picked = [p for p in picked if p != k]
            times = times - covered.wet[k]
    return picked


def ordered(ups: np.ndarray, first: np.ndarray) -> list[int]:
    """Order of positions that moves the piece least, from the one nearest to ``first``: nearest next, then uncrossed.

    >>> ordered(np.array([[0, 0, -1.0], [0, 0, 1.0], [1.0, 0, 0]]), np.array([0, 0, 1.0]))
    [1, 2, 0]
    """
    turn = np.arccos(np.clip(ups @ ups.T, -1.0, 1.0))
    path = [int(np.argmax(ups @ first))]
    while len(path) < len(ups):
        rest = [k for k in range(len(ups)) if k not in path]
        path.append(min(rest, key=lambda k: (round(float(turn[path[-1], k]), 9), k)))
    better = True
    while better:
        better = False
        for i in range(1, len(path) - 1):
            for j in range(i + 1, len(path)):
                end = turn[path[j], path[j + 1]] if j + 1 < len(path) else 0.0
                new = turn[path[i], path[j + 1]] if j + 1 < len(path) else 0.0
                if turn[path[i - 1], path[j]] + new < turn[path[i - 1], path[i]] + end - 1e-9:
                    path[i : j + 1] = path[i : j + 1][::-1]
                    better = True
    return path
