"""The smallest tilt of a piece that leads the air of every level ceiling to one vent, and what to put under it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pourwright.access.ceilings import Ceiling
from pourwright.access.judged import CORNER_NEAR, LEVEL, STEEPEST
from pourwright.access.outline import sides_of


@dataclass(frozen=True, eq=False)
class Tilt:
    """How to tilt a piece. Standing axes: x to the right, y to the back."""

    rise: np.ndarray  # (2,) that it gets to the right and to the back, a metre a metre
    to_m: tuple[np.ndarray, ...]  # where the air of each ceiling gathers then, (3,) standing, not tilted; none that
    # air leaves by itself
    right_m: float  # block under its right edge, negative: under its left
    back_m: float  # block under its back edge, negative: under its front

    @property
    def angle_rad(self) -> float:
        """How far it is tilted."""
        return math.atan(float(np.hypot(*self.rise)))

    @property
    def up(self) -> np.ndarray:
        """What points up then, a unit vector (3,) in the axes of the piece as it stands."""
        way = np.array([*self.rise, 1.0])
        return np.asarray(way / np.linalg.norm(way))


def smallest_tilt(ceilings: Sequence[Ceiling], foot_m: np.ndarray) -> Tilt | None:
    """The smallest tilt at which no side is too level for the air it stops, and each ceiling has one highest corner.

    Parameters
    ----------
    ceilings : sequence of Ceiling
    foot_m : array (2,)
        Width and depth of what the piece stands on [m]: its blocks go under the edges of that.

    Returns
    -------
    Tilt or None
        None where no tilt up to `STEEPEST` does.

    Notes
    -----
    Air goes straight up a ceiling's slope ``g`` until a side stops it, and along that side then. So each side that
    ``g`` points out over must slope by `LEVEL` at least, ``|g . e| >= tan(LEVEL)`` for its direction ``e``, and of the
    corners that jut out just one may be higher than both its neighbours. The least change of slope lies where one or
    two of these bounds are reached. Angles are taken as small: up to `STEEPEST` a slope is off by less than a tenth.
    """
    least = math.tan(LEVEL.value)
    shut = [one for one in ceilings if not one.ways_out.any()]
    sides = [_sides(one) for one in ceilings]
    lines = [(one.slope, unit) for one, units in zip(ceilings, sides, strict=True) for unit in units]
    best: np.ndarray | None = None
    for rise in _candidates(lines, least):
        size = float(np.hypot(*rise))
        if size > math.tan(STEEPEST.value) or (best is not None and size >= float(np.hypot(*best)) - 1e-9):
            continue
        if (
            all(_steep(units, one.slope + rise, least) for one, units in zip(ceilings, sides, strict=True))
            and all(len(_tops(one, rise)) == 1 for one in shut)
            and all(_leads_out(one, rise) for one in ceilings if one.ways_out.any())
        ):
            best = rise
    if best is None or not best.any():
        return None
    to = tuple(one.at(_tops(one, best)[0])[0] for one in shut)
    for array in (best, *to):
        array.setflags(write=False)
    return Tilt(best, to, float(best[0] * foot_m[0]), float(best[1] * foot_m[1]))


def _leads_out(ceiling: Ceiling, rise: np.ndarray) -> bool:
    """Whether every corner that is highest then lies by a way out."""
    out = ceiling.spots_m[ceiling.ways_out, :2]
    tops = _tops(ceiling, rise)
    return all(np.linalg.norm(out - top, axis=1).min() <= CORNER_NEAR.value for top in tops)


def _sides(ceiling: Ceiling) -> np.ndarray:
    """Unit vectors (k, 2) along the sides of a ceiling, which lies on their left."""
    out = []
    for ring in sides_of(ceiling.outline):
        side = np.roll(ring, -1, axis=0) - ring
        out.append(side / np.linalg.norm(side, axis=1, keepdims=True))
    return np.concatenate(out)


def _steep(sides: np.ndarray, gradient: np.ndarray, least: float) -> bool:
    """Whether the ceiling slopes by ``least``, and so does each side that stops air on its way up."""
    stops = sides[:, 1] * gradient[0] - sides[:, 0] * gradient[1] > 0
    along = np.abs(sides[stops] @ gradient)
    return bool(np.hypot(*gradient) >= least * (1 - 1e-9) and (along >= least * (1 - 1e-9)).all())


def _candidates(lines: list[tuple[np.ndarray, np.ndarray]], least: float) -> list[np.ndarray]:
    """Tilts at which none, one or two sides slope by just what is due, in a fixed order."""
    out = [np.zeros(2)]
    bounds = [(unit, sign * least - float(slope @ unit)) for slope, unit in lines for sign in (1.0, -1.0)]
    out += [unit * due for unit, due in bounds]
    for (a, due_a), (b, due_b) in combinations(bounds, 2):
        cross = float(a[0] * b[1] - a[1] * b[0])
        if abs(cross) > 1e-3:
            out.append(np.array([due_a * b[1] - due_b * a[1], due_b * a[0] - due_a * b[0]]) / cross)
    return sorted(out, key=lambda rise: tuple(np.round([np.hypot(*rise), -rise[1], -rise[0]], 9)))


def _tops(ceiling: Ceiling, rise: np.ndarray) -> list[np.ndarray]:
    """Corners that jut out and lie higher than both their neighbours along the outline, in plan."""
    found = []
    for ring in sides_of(ceiling.outline):
        height = ring @ (ceiling.slope + rise)
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        into, out = ring - before, after - ring
        juts = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0] > 0
        top = juts & (height > np.roll(height, 1)) & (height > np.roll(height, -1))
        found += list(ring[top])
    return found
