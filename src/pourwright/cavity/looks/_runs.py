"""Filled runs of columns straight from crossings, without cells, and what can be asked of them along the columns."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity._columns import _scan, _sort
from pourwright.cavity._compile import kernel
from pourwright.cavity._pieces import find


@kernel
def _runs(
    start: np.ndarray, z: np.ndarray, sign: np.ndarray, turn: int, at: np.ndarray, low: np.ndarray, high: np.ndarray
) -> None:
    """Runs of cell centres that are wound round at least once: counted into ``at`` (``low`` empty) or listed."""
    store = len(low) > 0
    for column in range(len(start) - 1):
        runs = 0
        winding = 0
        last = -1  # end of the run before, to join runs that touch
        for i in range(start[column], start[column + 1] - 1):
            winding -= turn * sign[i]
            if winding <= 0:
                continue
            bottom, top = max(0, math.floor(z[i]) + 1), math.floor(z[i + 1]) + 1
            if top <= bottom:
                continue
            if runs > 0 and bottom <= last:
                if store:
                    high[at[column] + runs - 1] = top
            else:
                if store:
                    low[at[column] + runs], high[at[column] + runs] = bottom, top
                runs += 1
            last = top
        if not store:
            at[column + 1] = runs


def filled_runs(triangles: np.ndarray, shape: tuple[int, int]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Runs of cells inside a closed surface, column by column, in this thread alone.

    Parameters
    ----------
    triangles : ndarray (m, 3, 3)
        Corners in cell units, wound outwards: the centre of cell (i, j, k) is the point (i, j, k).
    shape : (int, int)
        Columns along x and y.

    Returns
    -------
    start : ndarray (nx * ny + 1,) int64
        Runs of column ``ix * ny + iy`` are ``start[c]:start[c + 1]``.
    low, high : ndarray (runs,) int64
        First level of each run and the one after its last.
    """
    nx, ny = shape
    counts, first = np.zeros(nx * ny, np.int64), np.zeros(nx * ny + 1, np.int64)
    _scan(triangles, ny, 0, nx, counts, first, np.empty(0), np.empty(0, np.int8))
    np.cumsum(counts, out=first[1:])
    counts[:] = 0
    z, sign = np.empty(max(1, int(first[-1]))), np.empty(max(1, int(first[-1])), np.int8)
    _scan(triangles, ny, 0, nx, counts, first, z, sign)
    _sort(first, z, sign, 0, nx * ny)
    start = np.zeros(nx * ny + 1, np.int64)
    none = np.empty(0, np.int64)
    _runs(first, z, sign, 1, start, none, none)
    np.cumsum(start, out=start)
    low, high = np.empty(int(start[-1]), np.int64), np.empty(int(start[-1]), np.int64)
    if len(low):
        _runs(first, z, sign, 1, start, low, high)
    return start, low, high


@kernel
def touching_runs(start: np.ndarray, low: np.ndarray, high: np.ndarray, nx: int, ny: int) -> np.ndarray:
    """Pairs (e, 2) of runs of neighbouring columns that share a face."""
    out = np.empty((4 * len(low) + 4, 2), np.int64)
    used = 0
    for ix in range(nx):
        for iy in range(ny):
            column = ix * ny + iy
            for side in range(2):
                if (side == 0 and ix + 1 >= nx) or (side == 1 and iy + 1 >= ny):
                    continue
                other = column + (ny if side == 0 else 1)
                i, j = start[column], start[other]
                while i < start[column + 1] and j < start[other + 1]:
                    if low[i] < high[j] and low[j] < high[i]:
                        out[used, 0], out[used, 1] = i, j  # fewer than two pairs a run and side
                        used += 1
                    if high[i] <= high[j]:
                        i += 1
                    else:
                        j += 1
    return out[:used].copy()


@kernel
def fewest_bands(
    low: np.ndarray, high: np.ndarray, touching: np.ndarray, levels: int, most_levels: int, most_cells: float
) -> tuple[int, int]:
    """Bands of levels from the bottom up, each as tall as it may be, and the levels of the tallest.

    A band has at most ``most_levels`` levels, and none of its connected pieces more than ``most_cells`` cells; a
    single level is a band in any case. Both limits grow with the band, so as tall as may be gives the fewest.
    """
    n = len(low)
    parent, held = np.empty(n, np.int64), np.empty(n, np.int64)
    bands, tallest = 0, 0
    bottom = levels
    for i in range(n):
        bottom = min(bottom, low[i])
    while bottom < levels:
        for i in range(n):
            parent[i], held[i] = i, 0
        top = bottom
        while top < levels and top - bottom < most_levels:
            biggest = 0
            for i in range(n):
                if low[i] <= top < high[i]:
                    root = find(parent, i)
                    held[root] += 1
                    biggest = max(biggest, held[root])
            for e in range(len(touching)):
                i, j = touching[e, 0], touching[e, 1]
                begin = max(low[i], low[j])
                if begin <= top < min(high[i], high[j]) and (begin == top or top == bottom):
                    a, b = find(parent, i), find(parent, j)
                    if a != b:
                        if b < a:
                            a, b = b, a
                        parent[b] = a
                        held[a] += held[b]
                        biggest = max(biggest, held[a])
            if biggest > most_cells and top > bottom:
                break
            top += 1
        bands += 1
        tallest = max(tallest, top - bottom)
        bottom = top
    return bands, tallest


@kernel
def turned_points(points: np.ndarray, turn: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points (n, 3) turned by a rotation (3, 3), their low corner and their extents.

    By hand, because a matrix library would start threads of its own for every direction.
    """
    out = np.empty_like(points)
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for i in range(len(points)):
        for k in range(3):
            value = turn[k, 0] * points[i, 0] + turn[k, 1] * points[i, 1] + turn[k, 2] * points[i, 2]
            out[i, k] = value
            low[k], high[k] = min(low[k], value), max(high[k], value)
    return out, low, high - low
