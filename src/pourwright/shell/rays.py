"""Compiled short rays: from given points a little way through a mesh to the first face."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

CELLS = 192
"""Most cells of the search grid along an axis."""
INDEX_LIMIT = 12_000_000
WORK_LIMIT, WORK_PER_RAY, WORK_PER_FACE = 50_000_000, 300, 100
"""Faces that all rays are checked against, and beyond for each ray and each face; a fine scan takes 30 to 100 a ray."""


class TooThick(Exception):
    """The faces lie too thick on one another to be looked through."""


@njit(cache=True)
def _boxes(tris: np.ndarray, low: np.ndarray, step: float, shape: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    count = np.zeros(shape[0] * shape[1] * shape[2] + 1, np.int64)
    start = count.copy()
    faces = np.empty(0, np.int64)
    a, b = np.empty(3, np.int64), np.empty(3, np.int64)
    for write in range(2):
        if write:
            for i in range(len(count) - 1):
                count[i + 1] += count[i]
            start = count.copy()
            faces = np.empty(count[-1], np.int64)
        for f in range(len(tris)):
            for axis in range(3):
                x0 = min(tris[f, 0, axis], tris[f, 1, axis], tris[f, 2, axis])
                x1 = max(tris[f, 0, axis], tris[f, 1, axis], tris[f, 2, axis])
                a[axis] = min(max(int((x0 - low[axis]) / step), 0), shape[axis] - 1)
                b[axis] = min(max(int((x1 - low[axis]) / step), 0), shape[axis] - 1)
            for i in range(a[0], b[0] + 1):
                for j in range(a[1], b[1] + 1):
                    for k in range(a[2], b[2] + 1):
                        at = (i * shape[1] + j) * shape[2] + k
                        if write:
                            faces[start[at]] = f
                            start[at] += 1
                        else:
                            count[at + 1] += 1
    return count, faces


@njit(cache=True)
def _meet(ox: float, oy: float, oz: float, wx: float, wy: float, wz: float, tri: np.ndarray) -> float:
    """Distance to a triangle by the test of T. Moeller and B. Trumbore, J. Graphics Tools 2 (1997) 21-28; inf: none."""
    ax, ay, az = tri[0, 0], tri[0, 1], tri[0, 2]
    e1x, e1y, e1z = tri[1, 0] - ax, tri[1, 1] - ay, tri[1, 2] - az
    e2x, e2y, e2z = tri[2, 0] - ax, tri[2, 1] - ay, tri[2, 2] - az
    px, py, pz = wy * e2z - wz * e2y, wz * e2x - wx * e2z, wx * e2y - wy * e2x
    det = e1x * px + e1y * py + e1z * pz
    if det == 0.0:
        return np.inf
    tx, ty, tz = ox - ax, oy - ay, oz - az
    u = (tx * px + ty * py + tz * pz) / det
    if u < 0.0 or u > 1.0:
        return np.inf
    qx, qy, qz = ty * e1z - tz * e1y, tz * e1x - tx * e1z, tx * e1y - ty * e1x
    v = (wx * qx + wy * qy + wz * qz) / det
    if v < 0.0 or u + v > 1.0:
        return np.inf
    return (e2x * qx + e2y * qy + e2z * qz) / det


@njit(cache=True)
def _first(
    starts: np.ndarray,
    ways: np.ndarray,
    longest: float,
    tris: np.ndarray,
    skip: np.ndarray,
    low: np.ndarray,
    step: float,
    shape: np.ndarray,
    most: int,
) -> tuple[np.ndarray, bool]:
    begin, faces = _boxes(tris, low, step, shape)
    out = np.full(len(starts), np.inf)
    work = 0
    a, b = np.empty(3, np.int64), np.empty(3, np.int64)
    pieces = max(1, int(np.ceil(longest / step)))
    for r in range(len(starts)):
        for part in range(pieces):
            t0, t1 = longest * part / pieces, longest * (part + 1) / pieces
            for axis in range(3):
                p = starts[r, axis] + t0 * ways[r, axis]
                q = starts[r, axis] + t1 * ways[r, axis]
                a[axis] = min(max(int((min(p, q) - low[axis]) / step), 0), shape[axis] - 1)
                b[axis] = min(max(int((max(p, q) - low[axis]) / step), 0), shape[axis] - 1)
            best = np.inf
            for i in range(a[0], b[0] + 1):
                for j in range(a[1], b[1] + 1):
                    for k in range(a[2], b[2] + 1):
                        at = (i * shape[1] + j) * shape[2] + k
                        work += begin[at + 1] - begin[at]
                        if work > most:
                            return out, False
                        for n in range(begin[at], begin[at + 1]):
                            f = faces[n]
                            if f == skip[r]:
                                continue
                            t = _meet(
                                starts[r, 0],
                                starts[r, 1],
                                starts[r, 2],
                                ways[r, 0],
                                ways[r, 1],
                                ways[r, 2],
                                tris[f],
                            )
                            if 1e-9 < t < best:
                                best = t
            if best <= t1:
                out[r] = best
                break
    return out, True


@njit(cache=True)
def _meetings(start: np.ndarray, faces: np.ndarray, piece: np.ndarray, bodies: int) -> int:
    count = np.zeros(bodies, np.int64)
    total = 0
    for at in range(len(start) - 1):
        number = start[at + 1] - start[at]
        alike = 0
        for n in range(start[at], start[at + 1]):
            alike += count[piece[faces[n]]]
            count[piece[faces[n]]] += 1
        for n in range(start[at], start[at + 1]):
            count[piece[faces[n]]] = 0
        total += number * (number - 1) // 2 - alike
    return total


def meetings(vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray, cells: int = 64) -> int:
    """How many pairs of faces of different pieces share a cell of a grid of ``cells`` along the longest side.

    A bound on the work of cutting the pieces with one another. ``piece`` (m,) from 0.
    """
    tris = np.ascontiguousarray(vertices[faces], np.float64)
    low, high = tris.min(axis=(0, 1)), tris.max(axis=(0, 1))
    step = (float((high - low).max()) or 1.0) / cells
    spans = np.ptp(tris, axis=1)
    while float(np.prod(spans / step + 2.0, axis=1).sum()) > INDEX_LIMIT + 8 * len(tris):
        step *= 2
    shape = np.maximum(((high - low) / step).astype(np.int64) + 1, 1)
    return int(_meetings(*_boxes(tris, low, step, shape), np.ascontiguousarray(piece), int(piece.max()) + 1))


def first_hits(
    starts: np.ndarray,
    ways: np.ndarray,
    longest: float,
    vertices: np.ndarray,
    faces: np.ndarray,
    skip: np.ndarray | None = None,
) -> np.ndarray:
    """Distance (k,) from ``starts`` (k, 3) along unit ``ways`` (k, 3) to the first face, inf beyond ``longest`` [m].

    ``skip`` (k,) names a face that does not count for each ray. Raises `TooThick` beyond `WORK_LIMIT`.
    """
    tris = np.ascontiguousarray(vertices[faces], np.float64)
    low, high = tris.min(axis=(0, 1)), tris.max(axis=(0, 1))
    side = float((high - low).max()) or 1.0
    spans = np.ptp(tris, axis=1)
    step = max(longest, side / CELLS)
    while float(np.prod(spans / step + 2.0, axis=1).sum()) > INDEX_LIMIT + 8 * len(tris):
        step *= 2
    shape = np.maximum(((high - low) / step).astype(np.int64) + 1, 1)
    none = np.full(len(starts), -1, np.int64) if skip is None else np.ascontiguousarray(skip, np.int64)
    out, done = _first(
        np.ascontiguousarray(starts, np.float64),
        np.ascontiguousarray(ways, np.float64),
        float(longest),
        tris,
        none,
        low,
        step,
        shape,
        WORK_LIMIT + WORK_PER_RAY * len(starts) + WORK_PER_FACE * len(faces),
    )
    if not done:
        raise TooThick
    found: np.ndarray = out
    return found
