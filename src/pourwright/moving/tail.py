"""A piece turned on two plumb hooks, from one pose to another."""

from __future__ import annotations

import math

import numpy as np

from pourwright.findings import Code, Finding, finding
from pourwright.moving.model import Tailing, TailStep
from pourwright.moving.roll import rolled, turns_over
from pourwright.outcome import SLIGHT_RAD
from pourwright.ranges import Range

STEPS = 13
SAME_RAD = math.radians(0.05)
"""A piece turned by no more than this is only lifted: our judgement, no published source."""


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
    slack = np.arctan2(s, p)  # the tail rope, from here on down
    taut = -np.arctan2(apart - s, p)  # the main rope, from here on up
    last = min(end, float(slack[0]))
    rolls = np.array([rolled(line, arm) for arm in arms])
    over = float(rolls.max()) if turns_over(float(rolls.max())) else None
    lost, said = _lost(s, apart, start, last, float(slack.min()), float(taut.max()))
    lost += () if over is None else ("the piece turns over",)
    steps = () if lost else tuple(
        _step(float(phi), (s, p, apart), weights_n, (points_m - main) @ np.array([along, side]).T, points_m - main)
        for phi in np.linspace(start, last, STEPS if abs(last - start) > SAME_RAD else 1)
    )  # fmt: skip
    hang = -arms[0] / np.linalg.norm(arms[0])
    off = math.acos(float(np.clip(hang @ up, -1.0, 1.0)))
    roll = float(rolls[0]) if over is None else over
    wall = None if out is None else float(centres_m[0] @ out - (points_m @ out).min())
    high, least = float(weights_n.max()), float(slack.min())
    return Tailing(
        apart, float(rolls[0]), steps, float(slack[0]), least,
        max(step.main_n.high for step in steps) if steps and end <= least else high,
        max((step.tail_n.high for step in steps), default=math.nan),
        off, wall, lost, (*said, *_same(lost, end - start), *_found(roll, end, float(slack[0]), least, off)),
    )  # fmt: skip


def _lost(
    along_m: np.ndarray, apart_m: float, start: float, last: float, slack: float, taut: float
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Why it cannot be turned so, in short and with figures; angles of the tail below the main point."""
    beyond = max(float(-along_m.min()), float(along_m.max()) - apart_m)
    if beyond >= 0.0:
        return ("not in balance",), (finding(Code.ONE_HOOK_PUSHES, beyond_m=beyond),)
    if slack <= start:
        said = finding(Code.TAIL_SLACK_AT_ONCE, start_rad=start, slack_rad=slack)
        return ("the tail rope is slack from the start",), (said,)
    if taut >= min(start, last):
        said = finding(Code.MAIN_ROPE_SLACK, taut_rad=taut, asked_rad=min(start, last))
        return ("the main rope goes slack",), (said,)
    return (), ()


def _same(lost: tuple[str, ...], turned: float) -> tuple[Finding, ...]:
    return () if lost or abs(turned) > SAME_RAD else (finding(Code.LIFTED_NOT_TURNED),)


def _step(
    phi: float,
    arms: tuple[np.ndarray, np.ndarray, float],
    weights_n: np.ndarray,
    flat: np.ndarray,
    points: np.ndarray,
) -> TailStep:
    share = np.clip(tail_share(*arms, phi), 0.0, 1.0)  # a rope does not push
    tail, main = weights_n * share, weights_n * (1.0 - share)
    # In the plane of both points and the centre: along = (cos, -sin), side = (-sin, -cos) of level and up.
    up = flat @ np.array([-math.sin(phi), -math.cos(phi)])
    level = flat @ np.array([math.cos(phi), -math.sin(phi)])
    out = np.sqrt(np.maximum((points**2).sum(axis=1) - (flat**2).sum(axis=1), 0.0))
    return TailStep(phi, Range.of_rows(main), Range.of_rows(tail), float(-up.min()), float(np.hypot(level, out).max()))


def _across(way: np.ndarray, along: np.ndarray) -> np.ndarray:
    rest = way - (way @ along) * along
    size = float(np.linalg.norm(rest))
    return np.asarray(rest / size if size > 1e-9 else way)


def _found(roll: float, end: float, slack: float, least: float, off: float) -> tuple[Finding, ...]:
    lines = []
    if roll > SLIGHT_RAD:
        lines.append(finding(Code.ROLLS_OFF_THE_GROUND, roll_rad=roll))
    if end > least:
        lines.append(finding(Code.TAIL_GOES_SLACK, slack_rad=slack, least_rad=least, end_rad=end))
    if off > SLIGHT_RAD:
        lines.append(finding(Code.HANGS_OFF_ITS_POSE, off_rad=off))
    return tuple(lines)
