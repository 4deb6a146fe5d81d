"""A piece turned on two plumb hooks, from one pose to another."""

from __future__ import annotations

import math

import numpy as np

from pourwright.outcome.moving.model import Tailing, TailStep
from pourwright.ranges import Range

STEPS = 13
SLIGHT_RAD = math.radians(5.0)


def tail_share(along_m: np.ndarray, below_m: np.ndarray, apart_m: float, below_rad: float) -> np.ndarray:
    """Share of the weight on the tail hook, s / L - (p / L) tan(phi).

    ``along_m`` (c,) is how far the centre of mass lies along the line from the main point to the tail, ``below_m`` (c,)
    how far beside that line; the piece hangs freely, so it lies below it. Moments about the main hook's plumb line.

    >>> tail_share(np.array([0.5]), np.array([0.2]), 1.0, 0.0).tolist()
    [0.5]
    >>> round(float(tail_share(np.array([0.5]), np.array([0.5]), 1.0, math.radians(45.0))[0]), 12) + 0.0
    0.0
    """
    return np.asarray(along_m / apart_m - below_m / apart_m * math.tan(below_rad))


def tailing(
    main: np.ndarray, tail: np.ndarray, weights_n: np.ndarray, centres_m: np.ndarray, points_m: np.ndarray,
    up: np.ndarray, out: np.ndarray | None,
) -> Tailing:  # fmt: skip
    """Turn a piece from where it stands (up is +z) until ``up`` (3,) is upwards, on two hooks that stay plumb.

    Parameters
    ----------
    main, tail : ndarray (3,)
        Where the hooks hold it; rigid, each rope turns freely.
    weights_n, centres_m : ndarray (c,) and (c, 3)
        At every corner of what is not known; row 0 nominal.
    points_m : ndarray (n, 3)
        Of its outside.
    up : ndarray (3,)
        Unit.
    out : ndarray (3,) or None
        Out of the wall that it will hang on, unit.
    """
    line = tail - main
    apart = float(np.linalg.norm(line))
    along = line / apart
    arms = centres_m - main
    s = arms @ along
    beside = arms - s[:, None] * along
    p = np.linalg.norm(beside, axis=1)
    down = _across(np.array([0.0, 0.0, -1.0]), along)
    side = beside[0] / p[0] if p[0] > 1e-6 * apart else down
    start, end = (math.asin(float(np.clip(-(along @ way), -1.0, 1.0))) for way in (np.array([0.0, 0.0, 1.0]), up))
    slack = math.atan2(float(s[0]), float(p[0]))
    last = min(end, slack)
    steps = tuple(
        _step(float(phi), (s, p, apart), weights_n, (points_m - main) @ np.array([along, side]).T, points_m - main)
        for phi in np.linspace(start, last, STEPS)
    )
    possible = bool((s > 0).all() and (s < apart).all() and abs(last) < math.radians(89.9))
    hang = -arms[0] / np.linalg.norm(arms[0])
    off = math.acos(float(np.clip(hang @ up, -1.0, 1.0)))
    roll = math.acos(float(np.clip(side @ down, -1.0, 1.0))) if p[0] > 1e-6 * apart else 0.0
    wall = None if out is None else float(centres_m[0] @ out - (points_m @ out).min())
    high = float(weights_n.max())
    return Tailing(
        apart, roll, steps, slack,
        max(step.main_n.high for step in steps) if end <= slack else high,
        max(step.tail_n.high for step in steps),
        off, wall, _words(roll, end, slack, off, possible), possible,
    )  # fmt: skip


def _step(
    phi: float,
    arms: tuple[np.ndarray, np.ndarray, float],
    weights_n: np.ndarray,
    flat: np.ndarray,
    points: np.ndarray,
) -> TailStep:
    share = tail_share(*arms, phi)
    tail, main = weights_n * share, weights_n * (1.0 - share)
    # In the plane of both points and the centre: along = (cos, -sin), side = (-sin, -cos) of level and up.
    up = flat @ np.array([-math.sin(phi), -math.cos(phi)])
    level = flat @ np.array([math.cos(phi), -math.sin(phi)])
    out = np.sqrt(np.maximum((points**2).sum(axis=1) - (flat**2).sum(axis=1), 0.0))
    return TailStep(phi, _range(main), _range(tail), float(-up.min()), float(np.hypot(level, out).max()))


def _across(way: np.ndarray, along: np.ndarray) -> np.ndarray:
    rest = way - (way @ along) * along
    size = float(np.linalg.norm(rest))
    return np.asarray(rest / size if size > 1e-9 else way)


def _range(values: np.ndarray) -> Range:
    return Range(float(values.min()), float(values[0]), float(values.max()))


def _words(roll: float, end: float, slack: float, off: float, possible: bool) -> tuple[str, ...]:
    lines = []
    if not possible:
        lines.append(
            "NOT POSSIBLE so: the centre of mass does not lie between both points, so one hook would have to push. "
            "Move the points."
        )
    if roll > SLIGHT_RAD:
        lines.append(
            f"As it leaves the ground it ROLLS by {math.degrees(roll):.0f} degrees about the line of both points, "
            "until its centre of mass is below that line: hold it with tag lines, or move a point over the centre."
        )
    if end > slack:
        lines.append(
            f"The tail rope goes slack {math.degrees(slack):.0f} degrees below level, before the pose that is wanted "
            f"({math.degrees(end):.0f} degrees): from there the main hook has all of it."
        )
    if off > SLIGHT_RAD:
        lines.append(
            f"On the main hook alone it hangs {math.degrees(off):.0f} degrees off the pose that is wanted: hold it by "
            "hand or by the tail, or move the main point over the centre of mass."
        )
    return tuple(lines)
