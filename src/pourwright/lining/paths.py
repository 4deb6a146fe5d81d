"""Ways a piece can be rolled: once round an axis, level or with one end raised, as whoever turns it can reach."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from pourwright.lining.rules import Rules

STEP_RAD = math.radians(15.0)
"""Ways up are followed so far apart; our judgement."""
HAND_TILTS = (90.0, 60.0, 120.0)
"""Between axis and up [deg], where hands roll a piece: level, or one end raised as a bench lets it; our judgement."""
FRAME_TILTS = (90.0, 60.0, 120.0, 30.0, 150.0)
"""The same of a frame's inner axis, which its outer one holds at any angle; our judgement how many are looked at."""
FRAME_TURNS = (0.0, 45.0, 90.0, 135.0)
"""Inner turns [deg] at which the outer axis is rolled about; our judgement how many are looked at."""


@dataclass(frozen=True, eq=False)
class Roll:
    """Once round an axis, or to a stop. Standing axes."""

    axis: np.ndarray  # (3,) unit
    tilt_rad: float  # between axis and up: a right angle rolls about a level axis
    turn_rad: float = 2.0 * math.pi  # so far round; less where a cradle stops
    start: np.ndarray | None = None  # (3,) way up it begins with; None: the nearest to where the piece is

    @property
    def still(self) -> bool:
        """Whether it only sets the piece down, its axis up."""
        return self.tilt_rad == 0.0

    @property
    def steps(self) -> int:
        """Steps that it is followed in once it has begun."""
        return max(1, math.ceil(abs(self.turn_rad) * math.sin(self.tilt_rad) / STEP_RAD))

    def path(self, now: np.ndarray) -> np.ndarray:
        """Ways up (p, 3), unit, from ``now`` to its beginning and along it.

        >>> level = Roll(np.array([1.0, 0, 0]), 0.5 * math.pi).path(np.array([0.0, 0, 1]))
        >>> bool(np.allclose(level[:, 0], 0)), bool(np.allclose(level[0], level[-1]))
        (True, True)
        """
        axis = self.axis
        lead = now if self.start is None else self.start
        side = lead - (lead @ axis) * axis
        if np.linalg.norm(side) < 1e-6:
            side = np.eye(3)[int(np.argmin(np.abs(axis)))]
            side = side - (side @ axis) * axis
        side = side / np.linalg.norm(side)
        other = np.cross(axis, side)
        at = np.linspace(0.0, self.turn_rad, self.steps + 1)
        ring = np.cos(at)[:, None] * side + np.sin(at)[:, None] * other
        round_ = math.cos(self.tilt_rad) * axis + math.sin(self.tilt_rad) * ring
        return np.vstack([between(now, round_[0], axis), round_])


def between(a: np.ndarray, b: np.ndarray, about: np.ndarray) -> np.ndarray:
    """Ways up (p, 3) from ``a`` on the way to ``b``, without ``b``; ``a`` alone where they are one.

    Where ``b`` is opposite to ``a``, and no way is shorter than another, it leads ``about`` an axis (3,).

    >>> x, z = np.array([1.0, 0, 0]), np.array([0.0, 0, 1])
    >>> between(z, x, x).shape
    (6, 3)
    >>> between(z, -z, x)[6].round(6) + 0.0
    array([ 0., -1.,  0.])
    """
    angle = float(np.arccos(np.clip(a @ b, -1.0, 1.0)))
    side = b - (a @ b) * a
    if np.linalg.norm(side) < 1e-6:
        side = np.cross(about, a)
    if np.linalg.norm(side) < 1e-6:
        side = np.eye(3)[int(np.argmin(np.abs(a)))] - a[int(np.argmin(np.abs(a)))] * a
    side = side / np.linalg.norm(side)
    at = np.arange(max(1, math.ceil(angle / STEP_RAD - 1e-9))) * (angle / max(1, math.ceil(angle / STEP_RAD - 1e-9)))
    return np.cos(at)[:, None] * a + np.sin(at)[:, None] * side


def moved_rad(path: np.ndarray) -> float:
    """How far a piece is moved along ways up (p, 3).

    >>> round(moved_rad(np.array([[0.0, 0, 1], [1.0, 0, 0], [0, 0, 1.0]])), 4)
    3.1416
    """
    return float(np.arccos(np.clip((path[1:] * path[:-1]).sum(axis=1), -1.0, 1.0)).sum())


def plain_axes() -> np.ndarray:
    """Thirteen axes (13, 3) that words can tell: along an edge of a box, across its edges, corner to corner.

    >>> plain_axes().shape
    (13, 3)
    """
    out = [np.array(one, float) for one in itertools.product((-1, 0, 1), repeat=3) if any(one)]
    half = [one for one in out if next(v for v in one[[1, 0, 2]] if v != 0) > 0]
    return np.array([one / np.linalg.norm(one) for one in sorted(half, key=lambda one: np.abs(one).sum())])


def rolls_for(rules: Rules, axis: np.ndarray) -> list[Roll]:
    """What the hands, frame or cradle of a job can do.

    Parameters
    ----------
    axis : ndarray (3,)
        The inner axis of a frame or the one axis of a cradle, standing axes.
    """
    if rules.turning == "hand":
        tilts = [math.radians(one) for one in HAND_TILTS]
        return [Roll(one, tilt) for tilt in tilts for one in plain_axes()]
    if rules.turning == "frame":
        side = np.eye(3)[int(np.argmin(np.abs(axis)))]
        side = np.cross(axis, side) / np.linalg.norm(np.cross(axis, side))
        other = np.cross(axis, side)
        turned = [math.radians(one) for one in FRAME_TURNS]
        outer = [Roll(math.cos(t) * side + math.sin(t) * other, 0.5 * math.pi) for t in turned]
        return [*outer, *(Roll(axis, math.radians(one)) for one in FRAME_TILTS)]
    return []


def downs_for(rules: Rules) -> list[Roll]:
    """Ways up that hands or a frame can set a piece down in; a cradle stays where it stopped.

    >>> len(downs_for(Rules("lining", 0.05, "hand"))), len(downs_for(Rules("lining", 0.05, "cradle")))
    (26, 0)
    """
    if rules.turning == "cradle":
        return []
    return [Roll(sign * axis, 0.0, 0.0) for axis in plain_axes() for sign in (1.0, -1.0)]


def stops_of(rules: Rules, axis: np.ndarray, up: np.ndarray) -> list[Roll]:
    """A cradle's rolls from stop to stop, in their order; the first from ``up``."""
    side = up - (up @ axis) * axis
    side = side / np.linalg.norm(side)
    other = np.cross(axis, side)
    out, before = [], 0.0
    for stop in rules.stops_rad:
        start = math.cos(before) * side + math.sin(before) * other
        out.append(Roll(axis, 0.5 * math.pi, stop - before, start))
        before = stop
    return out
