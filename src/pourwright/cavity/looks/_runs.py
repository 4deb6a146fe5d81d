"""Filled runs of columns straight from crossings, without cells, and what can be asked of them along the columns."""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity._columns import _columns_under, _meet, _sort
from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._persistence import _sweep
from pourwright.cavity._pieces import find


@inner
def by_number(number: np.ndarray, most: int) -> tuple[np.ndarray, np.ndarray]:
    """Where the entries of each number below ``most`` begin (most + 1,), and the entries by number, in their order."""
    start = np.zeros(most + 2, np.int64)
    for i in range(len(number)):
        start[min(number[i], most) + 1] += 1
    for k in range(most + 1):
        start[k + 1] += start[k]
    at, order = start[:-1].copy(), np.empty(len(number), np.int64)
    for i in range(len(number)):
        k = min(number[i], most)
        order[at[k]] = i
        at[k] += 1
    return start[:-1], order


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


@kernel
def _crossings(points: np.ndarray, faces: np.ndarray, nx: int, ny: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Crossings of all columns with a surface: where each column's begin (nx * ny + 1), their heights and signs."""
    column, height, side = np.empty(8 * nx * ny, np.int64), np.empty(8 * nx * ny), np.empty(8 * nx * ny, np.int8)
    tri = np.empty((3, 3))
    used = 0
    for t in range(len(faces)):
        for i in range(3):
            for k in range(3):
                tri[i, k] = points[faces[t, i], k]
        low, high, bottom, top = _columns_under(tri, 0, nx, ny)
        for ix in range(low, high + 1):
            for iy in range(bottom, top + 1):
                s, at = _meet(tri, float(ix), float(iy))
                if s == 0:
                    continue
                if used == len(column):
                    column = np.concatenate((column, np.empty_like(column)))
                    height = np.concatenate((height, np.empty_like(height)))
                    side = np.concatenate((side, np.empty_like(side)))
                column[used], height[used], side[used] = ix * ny + iy, at, s
                used += 1
    first, order = by_number(column[:used], nx * ny)
    return first, height[order], side[order]


def filled_runs(
    points: np.ndarray, faces: np.ndarray, shape: tuple[int, int]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Runs of cells inside a closed surface, column by column, in this thread alone.

    Parameters
    ----------
    points : ndarray (n, 3)
        Corners in cell units: the centre of cell (i, j, k) is the point (i, j, k).
    faces : ndarray (m, 3) int64
        Wound outwards.
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
    first, z, sign = _crossings(points, faces, nx, ny)
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
    n, bands, tallest, bottom = len(low), 0, 0, levels
    meets, parts = np.empty(len(touching), np.int64), np.empty(len(touching), np.int64)
    for e in range(len(touching)):
        i, j = touching[e, 0], touching[e, 1]
        meets[e], parts[e] = max(low[i], low[j]), min(high[i], high[j])
    begins, begin = by_number(low, levels)
    ends, end = by_number(high, levels)
    joins, join = by_number(meets, levels)
    parent, held, wide = np.empty(n, np.int64), np.empty(n, np.int64), np.empty(n, np.int64)
    pieces = np.empty(n, np.int64)  # those that have runs at this level; ``wide`` is how many each has
    for i in range(n):
        bottom = min(bottom, low[i])
    while bottom < levels:
        top, count = bottom, 0
        for i in range(n):
            parent[i], held[i], wide[i] = i, 0, 0
            if low[i] < bottom < high[i]:
                pieces[count], wide[i] = i, 1
                count += 1
        while top < levels and top - bottom < most_levels:
            for k in range(ends[top], ends[top + 1] if top > bottom else ends[top]):
                wide[find(parent, end[k])] -= 1
            for k in range(begins[top], begins[top + 1]):
                pieces[count], wide[begin[k]] = begin[k], 1
                count += 1
            for k in range(count):
                held[pieces[k]] += wide[pieces[k]]
            for k in range(0 if top == bottom else joins[top], joins[top + 1]):
                e = join[k]
                a, b = find(parent, touching[e, 0]), find(parent, touching[e, 1])
                if a != b and parts[e] > top:
                    parent[b] = a
                    held[a] += held[b]
                    wide[a] += wide[b]
                    wide[b] = 0
            biggest, left = 0, 0
            for k in range(count):
                if wide[pieces[k]] > 0:
                    biggest = max(biggest, held[pieces[k]])
                    pieces[left] = pieces[k]
                    left += 1
            count = left
            if biggest > most_cells and top > bottom:
                break
            top += 1
        bands += 1
        tallest = max(tallest, top - bottom)
        bottom = top
    return bands, tallest


@kernel
def without_stray(
    low: np.ndarray, high: np.ndarray, touching: np.ndarray, column: np.ndarray, least: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Runs of connected pieces of ``least`` cells and more, renumbered, and the piece of each by its first run."""
    n = len(low)
    parent, cells = np.arange(n), np.zeros(n, np.int64)
    for e in range(len(touching)):
        a, b = find(parent, touching[e, 0]), find(parent, touching[e, 1])
        parent[max(a, b)] = min(a, b)
    for i in range(n):
        cells[find(parent, i)] += high[i] - low[i]
    number, kept = np.full(n, -1), np.empty(n, np.int64)
    count = 0
    for i in range(n):
        if cells[find(parent, i)] >= least:
            number[i], kept[count] = count, i
            count += 1
    kept = kept[:count]
    piece = np.empty(count, np.int64)
    for k in range(count):
        piece[k] = number[find(parent, kept[k])]
    left = np.empty_like(touching)
    used = 0
    for e in range(len(touching)):
        if number[touching[e, 0]] >= 0:
            left[used, 0], left[used, 1] = number[touching[e, 0]], number[touching[e, 1]]
            used += 1
    return low[kept], high[kept], left[:used].copy(), column[kept], piece


@kernel
def swept(value: np.ndarray, touching: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where pools of runs begin whose feet are at ``value``, and the run at which each joins an elder, -1: none.

    As `_persistence.pairs`, whose order is made by counting here.
    """
    n, edges = len(value), len(touching)
    lowest = value.min()
    order = by_number(value - lowest, value.max() - lowest + 1)[1]
    rank = np.empty(n, np.int64)
    for i in range(n):
        rank[order[i]] = i
    late, early = np.empty(edges, np.int64), np.empty(edges, np.int64)
    for e in range(edges):
        a, b = touching[e, 0], touching[e, 1]
        if rank[a] > rank[b]:
            a, b = b, a
        early[e], late[e] = a, b
    start, by = by_number(late, n)
    return _sweep(order, rank, value, start, early[by])


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
