"""Compiled short rays: from given points a little way through a mesh to the first face."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit
from pourwright.shell.topology import box_of, spans_of

CELLS = 192
"""Most cells of the search grid along an axis."""
SPANS, PIECE = 1.0, 0.5
"""Cells are about so many faces wide, and no wider than a ray is long; a ray is followed in pieces of so many cells."""
MANY = 20
"""Fine cells are worth their making for more rays than one in so many faces; a few go through cells of their length."""
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
def _meet(ox: float, oy: float, oz: float, wx: float, wy: float, wz: float, tris: np.ndarray, f: int) -> float:
    """Distance to a triangle by the test of T. Moeller and B. Trumbore, J. Graphics Tools 2 (1997) 21-28; inf: none."""
    ax, ay, az = tris[f, 0, 0], tris[f, 0, 1], tris[f, 0, 2]
    e1x, e1y, e1z = tris[f, 1, 0] - ax, tris[f, 1, 1] - ay, tris[f, 1, 2] - az
    e2x, e2y, e2z = tris[f, 2, 0] - ax, tris[f, 2, 1] - ay, tris[f, 2, 2] - az
    px, py, pz = wy * e2z - wz * e2y, wz * e2x - wx * e2z, wx * e2y - wy * e2x
    det = e1x * px + e1y * py + e1z * pz
    if det == 0.0:
        return np.inf
    tx, ty, tz = ox - ax, oy - ay, oz - az
    u = tx * px + ty * py + tz * pz
    if (u < 0.0) != (det < 0.0) and u != 0.0:
        return np.inf
    u /= det
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
    seen_a, seen_b = np.empty(3, np.int64), np.empty(3, np.int64)
    pieces = max(1, int(np.ceil(longest / (PIECE * step))))
    for r in range(len(starts)):
        ox, oy, oz = starts[r, 0], starts[r, 1], starts[r, 2]
        wx, wy, wz = ways[r, 0], ways[r, 1], ways[r, 2]
        best = np.inf
        seen_b[:] = -1  # the cells that the piece before came through
        for part in range(pieces):
            t0, t1 = longest * part / pieces, longest * (part + 1) / pieces
            for axis in range(3):
                p = starts[r, axis] + t0 * ways[r, axis]
                q = starts[r, axis] + t1 * ways[r, axis]
                a[axis] = min(max(int((min(p, q) - low[axis]) / step), 0), shape[axis] - 1)
                b[axis] = min(max(int((max(p, q) - low[axis]) / step), 0), shape[axis] - 1)
            for i in range(a[0], b[0] + 1):
                for j in range(a[1], b[1] + 1):
                    for k in range(a[2], b[2] + 1):
                        if (
                            seen_a[0] <= i <= seen_b[0]
                            and seen_a[1] <= j <= seen_b[1]
                            and seen_a[2] <= k <= seen_b[2]
                        ):  # fmt: skip
                            continue
                        at = (i * shape[1] + j) * shape[2] + k
                        work += begin[at + 1] - begin[at]
                        if work > most:
                            return out, False
                        for n in range(begin[at], begin[at + 1]):
                            f = faces[n]
                            if f != skip[r]:
                                t = _meet(ox, oy, oz, wx, wy, wz, tris, f)
                                if 1e-9 < t < best:
                                    best = t
            if best <= t1:
                out[r] = best
                break
            seen_a[:], seen_b[:] = a, b
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
    low, high = box_of(tris)
    step = (float((high - low).max()) or 1.0) / cells
    spans = spans_of(tris)
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
    low, high = box_of(tris)
    side = float((high - low).max()) or 1.0
    spans = spans_of(tris)
    many = len(starts) * MANY > len(faces)
    step = max(min(longest, SPANS * float(spans.max(axis=1).mean())) if many else longest, side / CELLS)
    while float(np.prod(spans / step + 2.0, axis=1).sum()) > INDEX_LIMIT + 8 * len(tris):
        step *= 2
    shape = np.maximum(((high - low) / step).astype(np.int64) + 1, 1)
    near = np.argsort(_cell_of(tris[:, 0], low, step, shape), kind="stable")  # what is near in space is near in memory
    turn = np.argsort(_cell_of(starts, low, step, shape), kind="stable")
    mine = np.full(len(starts), -1, np.int64)
    if skip is not None:
        rank = np.empty(len(near), np.int64)
        rank[near] = np.arange(len(near))
        mine = rank[np.asarray(skip)]
    out, done = _first(
        np.ascontiguousarray(starts[turn], np.float64),
        np.ascontiguousarray(ways[turn], np.float64),
        float(longest),
        tris[near],
        mine[turn],
        low,
        step,
        shape,
        WORK_LIMIT + WORK_PER_RAY * len(starts) + WORK_PER_FACE * len(faces),
    )
    if not done:
        raise TooThick
    found = np.empty(len(starts))
    found[turn] = out
    return found


def _cell_of(points: np.ndarray, low: np.ndarray, step: float, shape: np.ndarray) -> np.ndarray:
    at = np.clip(((points - low) / step).astype(np.int64), 0, shape - 1)
    cell: np.ndarray = (at[:, 0] * shape[1] + at[:, 1]) * shape[2] + at[:, 2]
    return cell
