"""The level ceilings of a piece with their vents, what air these leave, and the tilt that would do without most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.access.ceilings import Ceiling
from pourwright.access.cover import Cover, cover_of
from pourwright.access.tilt import Tilt, smallest_tilt

STANDS = 0.02
"""Height above the base up to which a piece counts as standing on it [m]; our judgement."""


@dataclass(frozen=True, eq=False)
class CeilingAir:
    """A level ceiling, the vents that lie over it by name, and the air that they leave under it."""

    name: str  # "C1"
    ceiling: Ceiling
    vents: tuple[str, ...]
    cover: Cover


def led(
    ceilings: Sequence[Ceiling], vents: Sequence[tuple[str, np.ndarray]], vertices_m: np.ndarray
) -> tuple[tuple[CeilingAir, ...], Tilt | None]:
    """Ceilings with what their vents empty, and the smallest tilt that would lead all their air to one vent each.

    Parameters
    ----------
    ceilings : sequence of Ceiling
    vents : sequence of (name, point (3,))
        Standing metres, on the inside or outside of the skin.
    vertices_m : array (n, 3)
        Of the skin, standing: blocks go under the edges of what stands on the ground.
    """
    points = np.array([point for _, point in vents]).reshape(-1, 3)
    out = []
    for number, one in enumerate(ceilings, start=1):
        over = _over(one, points)
        out.append(
            CeilingAir(
                f"C{number}",
                one,
                tuple(vents[k][0] for k in np.flatnonzero(over).tolist()),
                cover_of(one, points[over]),
            )
        )
    return tuple(out), smallest_tilt(ceilings, np.ptp(foot_of(vertices_m), axis=0)) if ceilings else None


def _over(ceiling: Ceiling, points_m: np.ndarray) -> np.ndarray:
    """Which points (v,) lie over a ceiling: within a column of it, no more than a wall over it."""
    if not len(points_m):
        return np.zeros(0, bool)
    away = np.linalg.norm(ceiling.spots_m[:, None, :2] - points_m[None, :, :2], axis=2)
    near = away.argmin(axis=0)
    up = points_m[:, 2] - ceiling.spots_m[near, 2]
    return (away.min(axis=0) <= ceiling.cell_m) & (up >= -ceiling.cell_m) & (up <= MOST_WALL + ceiling.cell_m)


MOST_WALL = 0.06
"""Thickest wall that a vent over a ceiling goes through [m]; our judgement."""


def foot_of(vertices_m: np.ndarray) -> np.ndarray:
    """Ends [m] of what a piece stands on, (2, 2): low and high in width and depth; its vertices (n, 3) standing.

    Where that is less than a tenth of the piece, the ends of the piece itself.
    """
    low = vertices_m[vertices_m[:, 2] <= float(vertices_m[:, 2].min()) + STANDS]
    foot, whole = (np.stack([of[:, :2].min(axis=0), of[:, :2].max(axis=0)]) for of in (low, vertices_m))
    return np.where(np.ptp(foot, axis=0) >= 0.1 * np.ptp(whole, axis=0), foot, whole)
