"""Occupancy by columns: where each vertical line through cell centres enters and leaves a closed surface.

Crossings carry the sign of the face they meet, so that doubled or nested surfaces count by winding and not by parity.
A line that meets an edge or a vertex exactly is decided as if it stood a vanishing step beside it; the edge test is
computed from the edge alone (end points in a fixed order), so that neighbouring triangles always agree.
"""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._threads import run_spans, spans


@inner
def _side(ax: float, ay: float, bx: float, by: float, px: float, py: float) -> tuple[float, bool]:
    """Twice the signed area of (a, b, p), and whether p counts as left of a-b."""
    flip = ax > bx or (ax == bx and ay > by)
    if flip:
        ax, ay, bx, by = bx, by, ax, ay
    value = (bx - ax) * (py - ay) - (by - ay) * (px - ax)
    left = value > 0.0
    if value == 0.0:
        left = by < ay or (by == ay and bx > ax)
    if flip:
        return -value, not left
    return value, left


@inner
def _meet(tri: np.ndarray, px: float, py: float) -> tuple[int, float]:
    """Sign of the crossing of the vertical line through (px, py) with a triangle (0: none) and its height."""
    e0, s0 = _side(tri[1, 0], tri[1, 1], tri[2, 0], tri[2, 1], px, py)
    e1, s1 = _side(tri[2, 0], tri[2, 1], tri[0, 0], tri[0, 1], px, py)
    if s0 != s1:
        return 0, 0.0
    e2, s2 = _side(tri[0, 0], tri[0, 1], tri[1, 0], tri[1, 1], px, py)
    if s0 != s2:
        return 0, 0.0
    total = e0 + e1 + e2
    if total == 0.0:
        z = (tri[0, 2] + tri[1, 2] + tri[2, 2]) / 3.0
    else:
        z = (e0 * tri[0, 2] + e1 * tri[1, 2] + e2 * tri[2, 2]) / total
    return (1 if s0 else -1), z


@inner
def _columns_under(tri: np.ndarray, x0: int, x1: int, ny: int) -> tuple[int, int, int, int]:
    """First and last column that a triangle may cross along x, of x0 <= ix < x1, and along y; none: last < first."""
    low = max(x0, math.ceil(min(tri[0, 0], tri[1, 0], tri[2, 0])))
    high = min(x1 - 1, math.floor(max(tri[0, 0], tri[1, 0], tri[2, 0])))
    bottom = max(0, math.ceil(min(tri[0, 1], tri[1, 1], tri[2, 1])))
    top = min(ny - 1, math.floor(max(tri[0, 1], tri[1, 1], tri[2, 1])))
    return low, high, bottom, top


@kernel
def _scan(
    tris: np.ndarray, ny: int, x0: int, x1: int, counts: np.ndarray, start: np.ndarray, z: np.ndarray, sign: np.ndarray
) -> None:
    """Visit the crossings of all columns x0 <= ix < x1: count them (``z`` empty) or store them."""
    store = len(z) > 0
    for t in range(len(tris)):
        tri = tris[t]
        low, high, bottom, top = _columns_under(tri, x0, x1, ny)
        for ix in range(low, high + 1):
            for iy in range(bottom, top + 1):
                s, height = _meet(tri, float(ix), float(iy))
                if s != 0:
                    column = ix * ny + iy
                    if store:
                        at = start[column] + counts[column]
                        z[at] = height
                        sign[at] = s
                    counts[column] += 1


@kernel
def _sort(start: np.ndarray, z: np.ndarray, sign: np.ndarray, c0: int, c1: int) -> None:
    """Order the crossings of columns c0 <= c < c1 from low to high (few per column: insertion)."""
    for column in range(c0, c1):
        first = start[column]
        for i in range(first + 1, start[column + 1]):
            height, s, j = z[i], sign[i], i - 1
            while j >= first and (z[j] > height or (z[j] == height and sign[j] > s)):
                z[j + 1], sign[j + 1] = z[j], sign[j]
                j -= 1
            z[j + 1], sign[j + 1] = height, s


@kernel
def _fill(
    start: np.ndarray, z: np.ndarray, sign: np.ndarray, turn: int, out: np.ndarray, value: int, x0: int, x1: int
) -> None:
    """Set the cells whose centre is wound round at least once (in the sense ``turn``) to ``value``."""
    ny, nz = out.shape[1], out.shape[2]
    for ix in range(x0, x1):
        for iy in range(ny):
            column = ix * ny + iy
            winding = 0
            for i in range(start[column], start[column + 1] - 1):
                winding -= turn * sign[i]
                if winding > 0:
                    low = max(0, math.floor(z[i]) + 1)
                    high = min(nz - 1, math.floor(z[i + 1]))
                    for iz in range(low, high + 1):
                        out[ix, iy, iz] = value


def cross_columns(triangles: np.ndarray, shape: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Crossings of all columns of a grid with a surface, from low to high.

    Parameters
    ----------
    triangles : ndarray (m, 3, 3)
        Corners in cell units: the centre of cell (i, j, k) is the point (i, j, k).
    shape : tuple of int
        Cells along x, y, z.

    Returns
    -------
    start : ndarray (nx * ny + 1,) int64
        Crossings of column ``ix * ny + iy`` are ``start[c]:start[c + 1]``.
    z : ndarray (crossings,)
        Heights.
    sign : ndarray (crossings,) int8
        1 where the face looks up.
    """
    nx, ny, _ = shape
    counts = np.zeros(nx * ny, np.int64)
    none, no_sign = np.empty(0), np.empty(0, np.int8)
    slabs = spans(nx, max(1, -(-nx // 8)))
    start = np.zeros(nx * ny + 1, np.int64)
    run_spans(lambda a, b: _scan(triangles, ny, a, b, counts, start, none, no_sign), slabs)
    np.cumsum(counts, out=start[1:])
    counts[:] = 0
    z, sign = np.empty(max(1, start[-1])), np.empty(max(1, start[-1]), np.int8)
    run_spans(lambda a, b: _scan(triangles, ny, a, b, counts, start, z, sign), slabs)
    run_spans(lambda a, b: _sort(start, z, sign, a * ny, b * ny), slabs)
    return start, z, sign


def fill_inside(triangles: np.ndarray, out: np.ndarray, *, turn: int = 1, value: int = 255) -> None:
    """Mark the cells whose centre lies inside a closed surface.

    Parameters
    ----------
    triangles : ndarray (m, 3, 3)
        Corners in cell units.
    out : ndarray (nx, ny, nz) uint8
        Written in place: ``value`` where inside, untouched elsewhere.
    turn : int
        1 for surfaces wound outwards, -1 for inwards.
    value : int
        What to write.
    """
    start, z, sign = cross_columns(triangles, out.shape)
    slabs = spans(out.shape[0], max(1, -(-out.shape[0] // 8)))
    run_spans(lambda a, b: _fill(start, z, sign, turn, out, value, a, b), slabs)
