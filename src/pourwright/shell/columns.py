"""Compiled counts of how often closed surfaces wrap around points and along lines: signed crossings."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit
from pourwright.errors import ShellError
from pourwright.shell.topology import box_of, spans_of

WORK_LIMIT, PAIR_LIMIT = 60_000_000, 300_000
"""Faces that all points together are tried against, and pairs of pieces that lie in each other. A scan with a thousand
scraps takes a hundredth of either; beyond, the mesh is a heap of bodies in one another."""
INDEX_LIMIT = 12_000_000
"""Entries an index of faces over columns may have besides four a face; fewer columns are taken beyond it."""


@njit(cache=True)
def _left(ax: float, ay: float, bx: float, by: float, px: float, py: float) -> tuple[bool, float]:
    """Whether p is left of a to b, and by how much; always the opposite for b to a, also where p is on the line."""
    if ax < bx or (ax == bx and ay < by):
        side = (bx - ax) * (py - ay) - (by - ay) * (px - ax)
        return side >= 0.0, side
    side = (ax - bx) * (py - by) - (ay - by) * (px - bx)
    return not side >= 0.0, -side


@njit(cache=True)
def _cross(tris: np.ndarray, f: int, u: int, v: int, w: int, px: float, py: float) -> tuple[int, float]:
    """Sign (1 where the face looks along +w, -1 against, 0 for a miss) and height of a line along w through a face."""
    l0, e0 = _left(tris[f, 0, u], tris[f, 0, v], tris[f, 1, u], tris[f, 1, v], px, py)
    l1, e1 = _left(tris[f, 1, u], tris[f, 1, v], tris[f, 2, u], tris[f, 2, v], px, py)
    l2, e2 = _left(tris[f, 2, u], tris[f, 2, v], tris[f, 0, u], tris[f, 0, v], px, py)
    if l0 != l1 or l1 != l2:
        return 0, 0.0
    total = e0 + e1 + e2
    if total == 0.0:
        height = (tris[f, 0, w] + tris[f, 1, w] + tris[f, 2, w]) / 3.0
    else:
        height = (e1 * tris[f, 0, w] + e2 * tris[f, 1, w] + e0 * tris[f, 2, w]) / total
    return (1 if l0 else -1), height


@njit(cache=True)
def _index(
    tris: np.ndarray, u: int, v: int, low: np.ndarray, size: np.ndarray, cells: int
) -> tuple[np.ndarray, np.ndarray]:
    """Faces over each of ``cells`` x ``cells`` columns, as starts and one list."""
    count = np.zeros(cells * cells + 1, np.int64)
    for write in range(2):
        if write:
            for i in range(cells * cells):
                count[i + 1] += count[i]
            start = count.copy()
            faces = np.empty(count[-1], np.int64)
        for f in range(len(tris)):
            x0 = min(tris[f, 0, u], tris[f, 1, u], tris[f, 2, u])
            x1 = max(tris[f, 0, u], tris[f, 1, u], tris[f, 2, u])
            y0 = min(tris[f, 0, v], tris[f, 1, v], tris[f, 2, v])
            y1 = max(tris[f, 0, v], tris[f, 1, v], tris[f, 2, v])
            i0 = min(max(int((x0 - low[u]) / size[u] * cells), 0), cells - 1)
            i1 = min(max(int((x1 - low[u]) / size[u] * cells), 0), cells - 1)
            j0 = min(max(int((y0 - low[v]) / size[v] * cells), 0), cells - 1)
            j1 = min(max(int((y1 - low[v]) / size[v] * cells), 0), cells - 1)
            for i in range(i0, i1 + 1):
                for j in range(j0, j1 + 1):
                    if write:
                        faces[start[i * cells + j]] = f
                        start[i * cells + j] += 1
                    else:
                        count[i * cells + j + 1] += 1
    return count, faces


@njit(cache=True)
def _others(
    points: np.ndarray,
    owner: np.ndarray,
    tris: np.ndarray,
    piece: np.ndarray,
    pieces: int,
    low: np.ndarray,
    size: np.ndarray,
    cells: int,
    most_work: int,
    most_pairs: int,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, bool]:
    start, faces = _index(tris, 0, 1, low, size, cells)
    work = 0
    buried = np.zeros(len(points), np.bool_)
    wrap, touched = np.zeros(pieces, np.int64), np.empty(pieces, np.int64)
    last = np.full(pieces, -1, np.int64)
    hits, met = np.zeros(pieces, np.int64), np.empty(pieces, np.int64)
    inner, outer, count = np.empty(1024, np.int64), np.empty(1024, np.int64), np.empty(1024, np.int64)
    rows, number = 0, 0
    for k in range(len(points)):
        i = int((points[k, 0] - low[0]) / size[0] * cells)
        j = int((points[k, 1] - low[1]) / size[1] * cells)
        fresh = 0
        if 0 <= i < cells and 0 <= j < cells:
            work += start[i * cells + j + 1] - start[i * cells + j]
            if work > most_work or rows > most_pairs:
                return buried, inner[:0], outer[:0], count[:0], False
            for at in range(start[i * cells + j], start[i * cells + j + 1]):
                p = piece[faces[at]]
                if p == owner[k]:
                    continue
                sign, height = _cross(tris, faces[at], 0, 1, 2, points[k, 0], points[k, 1])
                if sign != 0 and height > points[k, 2]:
                    if last[p] != k:
                        last[p] = k
                        touched[fresh] = p
                        fresh += 1
                    wrap[p] += sign
        for n in range(fresh):
            p = touched[n]
            if wrap[p] != 0:
                buried[k] = True
                if hits[p] == 0:
                    met[number] = p
                    number += 1
                hits[p] += 1
                wrap[p] = 0
        if k + 1 == len(points) or owner[k + 1] != owner[k]:
            for n in range(number):
                if rows == len(inner):
                    inner = np.concatenate((inner, np.empty_like(inner)))
                    outer = np.concatenate((outer, np.empty_like(outer)))
                    count = np.concatenate((count, np.empty_like(count)))
                inner[rows], outer[rows], count[rows] = owner[k], met[n], hits[met[n]]
                hits[met[n]] = 0
                rows += 1
            number = 0
    return buried, inner[:rows], outer[:rows], count[:rows], True


def _cells_for(tris: np.ndarray, u: int, v: int, size: np.ndarray, most: int) -> int:
    """Columns a side, fewer where large faces would lie over too many of them."""
    spans = spans_of(tris)[:, [u, v]] / size[[u, v]]
    cells = most
    while cells > 1 and float(np.prod(spans * cells + 2.0, axis=1).sum()) > INDEX_LIMIT + 4 * len(tris):
        cells //= 2
    return cells


def others_around(
    points: np.ndarray, owner: np.ndarray, vertices: np.ndarray, faces: np.ndarray, piece: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Which points lie in closed pieces other than their own, by signed crossings of a line upwards.

    Parameters
    ----------
    points : (k, 3) ndarray
    owner : (k,) ndarray
        Piece each point belongs to, in order; -1 for none.
    vertices, faces : ndarray
        Closed pieces.
    piece : (m,) ndarray
        Piece of each face.

    Returns
    -------
    buried : (k,) ndarray of bool
        Whether any other piece wraps around the point.
    inner, outer, count : (r,) ndarray
        How many points of piece ``inner`` lie in piece ``outer``, for every pair where there are any.

    Raises
    ------
    ShellError
        More than `WORK_LIMIT` or `PAIR_LIMIT`; the sentence does not name the file.
    """
    tris = np.ascontiguousarray(vertices[faces])
    low, high = box_of(tris)
    size = np.maximum(high - low, 1e-300) * (1 + 1e-9)
    cells = _cells_for(tris, 0, 1, size, int(np.clip(np.sqrt(len(faces) / 2), 1, 1024)))
    piece = np.ascontiguousarray(piece, np.int64)
    *found, done = _others(
        np.ascontiguousarray(points),
        np.ascontiguousarray(owner, np.int64),
        tris,
        piece,
        int(piece.max()) + 1,
        low,
        size,
        cells,
        WORK_LIMIT,
        PAIR_LIMIT,
    )
    if not done:
        raise ShellError(
            f"its {int(piece.max()) + 1:,} bodies lie in one another in more ways than can be followed: join them into "
            "one surface and export it again."
        )
    buried, inner, outer, count = found
    return buried, inner, outer, count


@njit(cache=True)
def _lengths(tris: np.ndarray, u: int, v: int, w: int, low: np.ndarray, size: np.ndarray, cells: int) -> np.ndarray:
    """Per column: length wrapped 1 or more times, beyond once, against the winding; and the middles of the last two."""
    start, faces = _index(tris, u, v, low, size, cells)
    out = np.zeros((cells * cells, 5))
    heights = np.empty(1024)
    signs = np.empty(1024, np.int64)
    for i in range(cells):
        for j in range(cells):
            px = low[u] + size[u] * (i + 0.5) / cells
            py = low[v] + size[v] * (j + 0.5) / cells
            found = 0
            for at in range(start[i * cells + j], start[i * cells + j + 1]):
                sign, height = _cross(tris, faces[at], u, v, w, px, py)
                if sign == 0 or found >= 1024:
                    continue
                heights[found], signs[found] = height, sign
                found += 1
            if found < 2:
                continue
            for k in range(1, found):  # few, and mostly in order: by insertion, equal ones as they came
                height, sign, m = heights[k], signs[k], k
                while m > 0 and heights[m - 1] > height:
                    heights[m], signs[m] = heights[m - 1], signs[m - 1]
                    m -= 1
                heights[m], signs[m] = height, sign
            depth = 0
            row = out[i * cells + j]
            for k in range(found - 1):
                depth -= signs[k]
                length = heights[k + 1] - heights[k]
                middle = 0.5 * (heights[k + 1] + heights[k])
                if depth >= 1:
                    row[0] += length
                if depth >= 2:
                    row[1] += length * (depth - 1)
                    row[3] += length * (depth - 1) * middle
                if depth <= -1:
                    row[2] -= length * depth
                    row[4] -= length * depth * middle
    return out


def wrapped_volumes(
    vertices: np.ndarray, faces: np.ndarray, cells: int = 384
) -> tuple[float, float, float, np.ndarray, np.ndarray]:
    """Volumes that a closed surface wraps once or more, again beyond that, and the wrong way round.

    Along ``cells`` x ``cells`` lines in z; exact along the lines, sampled across.

    Returns
    -------
    (float, float, float, (3,) ndarray, (3,) ndarray)
        Volumes [m3], and the middles of the second and third (nan where they are nothing).
    """
    tris = np.ascontiguousarray(vertices[faces])
    low, high = box_of(tris)
    size = np.maximum(high - low, 1e-300) * (1 + 1e-9)
    cells = _cells_for(tris, 0, 1, size, cells)
    table = _lengths(tris, 0, 1, 2, low, size, cells)
    patch = size[0] * size[1] / cells**2
    i, j = np.divmod(np.arange(cells * cells), cells)
    x, y = low[0] + size[0] * (i + 0.5) / cells, low[1] + size[1] * (j + 0.5) / cells
    middles = []
    for k in (1, 2):
        total = table[:, k].sum()
        with np.errstate(invalid="ignore", divide="ignore"):
            middles.append(np.array([table[:, k] @ x, table[:, k] @ y, table[:, k + 2].sum()]) / total)
    volumes = table[:, :3].sum(axis=0) * patch
    return float(volumes[0]), float(volumes[1]), float(volumes[2]), middles[0], middles[1]
