"""The room that things inside take from the cells of a cavity, and how near they come to a place or an upright line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.irons.model import Iron

FINEST = 12
"""Points along the edge of a cell that is looked at more closely, at most."""
_AT_ONCE = 200_000


@dataclass(frozen=True, eq=False)
class Taken:
    """What one thing takes out of the cavity: its volume there, and the sums of place and of place by place over it."""

    volume_m3: float
    first_m4: np.ndarray  # (3,) standing
    second_m5: np.ndarray  # (3, 3)
    level_m3: np.ndarray  # (nz,) its volume level by level


def taken_out(irons: Sequence[Iron], fraction: np.ndarray, origin_m: np.ndarray, cell_m: float) -> tuple[Taken, ...]:
    """Take things inside out of the cells; ``fraction`` (nx, ny, nz) uint8 is changed.

    Parameters
    ----------
    irons : sequence of Iron
    fraction : array (nx, ny, nz) uint8
        Share of each cell that is cavity, 255 full.
    origin_m : array (3,)
        Low corner of the first cell, standing.
    cell_m : float

    Returns
    -------
    tuple of Taken
        For each what it takes out of the cavity; where two cross, the first has it.

    Notes
    -----
    A cell is looked at on a cube of points, each a small cube that the surface cuts by its distance; a cell that the
    wall cuts too loses its share of what is left of it. The volume of a rod as wide as a cell comes out within 1 % of
    that of its cylinder (a test).
    """
    out = []
    for iron in irons:
        first_m4, second_m5, level_m3 = np.zeros(3), np.zeros((3, 3)), np.zeros(fraction.shape[2])
        index = _near(iron, fraction.shape, origin_m, cell_m)
        steps = int(np.clip(np.ceil(6.0 * cell_m / iron.thin_m), 4, FINEST))
        at = (np.arange(steps) + 0.5) / steps
        inner = np.stack(np.meshgrid(at, at, at, indexing="ij"), axis=-1).reshape(-1, 3)
        chunk = max(1, _AT_ONCE // len(inner))
        for first in range(0, len(index), chunk):
            mine = index[first : first + chunk]
            points = origin_m + (mine[:, None] + inner) * cell_m
            covered = np.clip(0.5 - iron.away_m(points) * steps / cell_m, 0.0, 1.0).mean(axis=1)
            there = fraction[mine[:, 0], mine[:, 1], mine[:, 2]]
            left = np.rint(there * (1.0 - covered)).astype(np.uint8)
            fraction[mine[:, 0], mine[:, 1], mine[:, 2]] = left
            gone = (there.astype(float) - left) / 255.0 * cell_m**3
            centre = origin_m + (mine + 0.5) * cell_m
            np.add.at(level_m3, mine[:, 2], gone)
            first_m4 += gone @ centre
            second_m5 += np.einsum("n,ni,nj->ij", gone, centre, centre)
        out.append(Taken(float(level_m3.sum()), first_m4, second_m5, level_m3))
    return tuple(out)


def _near(iron: Iron, shape: tuple[int, ...], origin_m: np.ndarray, cell_m: float) -> np.ndarray:
    """Indices (n, 3) of cells that it may touch."""
    corners = (iron.corners_m() - origin_m) / cell_m
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
    high = np.minimum(np.ceil(corners.max(axis=0)).astype(int), shape)
    if (high <= low).any():
        return np.zeros((0, 3), np.int64)
    x, y = (np.arange(a, b) for a, b in zip(low[:2], high[:2], strict=True))
    out = []
    for z in range(low[2], high[2]):  # a long slanting rod is in few cells of its box
        box = np.stack(np.meshgrid(x, y, [z], indexing="ij"), axis=-1).reshape(-1, 3)
        away = iron.away_m(origin_m + (box + 0.5) * cell_m)
        out.append(box[away <= 0.5 * 3.0**0.5 * cell_m])
    return np.concatenate(out)


def nearest_m(irons: Sequence[Iron], points_m: np.ndarray) -> np.ndarray:
    """Distance (...,) of standing points (..., 3) from the nearest thing inside [m]; inf without any."""
    out = np.full(np.shape(points_m)[:-1], np.inf)
    for iron in irons:
        out = np.minimum(out, iron.away_m(points_m))
    return out


def upright_m(
    irons: Sequence[Iron], xy_m: np.ndarray, low_m: np.ndarray, high_m: np.ndarray, step_m: float, most_m: float
) -> np.ndarray:
    """Distance (n,) of upright lines from the nearest thing inside [m]: 0 where one meets it, at most ``most_m``.

    Parameters
    ----------
    irons : sequence of Iron
    xy_m : array (n, 2)
        Where each line stands, standing metres.
    low_m, high_m : arrays (n,)
        Its ends.
    step_m : float
        Spacing of the points that are looked at; the distance is known to a quarter of it.
    most_m : float
    """
    out = np.full(len(xy_m), float(most_m))
    for iron in irons:
        corners = iron.corners_m()
        low, high = corners.min(axis=0) - most_m, corners.max(axis=0) + most_m
        may = (low_m <= high[2]) & (high_m >= low[2]) & ((xy_m >= low[:2]) & (xy_m <= high[:2])).all(axis=1)
        for k in np.flatnonzero(may).tolist():
            bottom, top = max(low_m[k], low[2]), min(high_m[k], high[2])
            z = np.linspace(bottom, top, max(2, int(np.ceil((top - bottom) / step_m)) + 1))
            points = np.column_stack([np.full(len(z), xy_m[k, 0]), np.full(len(z), xy_m[k, 1]), z])
            out[k] = min(out[k], max(0.0, float(iron.away_m(points).min())))
    return out
