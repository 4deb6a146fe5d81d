"""Points that lie on the sides of other faces: found in cells along each side, with a bound on the looking."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

CELLS_A_SIDE = 1024
CELL_LIMIT, LOOK_LIMIT = 4_000_000, 20_000_000
"""Cells that all sides pass through together, and points looked at in them. Beyond the second the mesh is a heap of
loose faces, in which no seam is found by looking; a shell with seams of 100,000 points takes a hundredth."""


@njit(cache=True)
def _walk(
    a: np.ndarray,
    b: np.ndarray,
    points: np.ndarray,
    order: np.ndarray,
    cells: np.ndarray,
    starts: np.ndarray,
    low: np.ndarray,
    size: float,
    reach: float,
    most: int,
    side: np.ndarray,
    found: np.ndarray,
    place: np.ndarray,
) -> int:
    """Pairs of side and point on it, written where there is room; how many there are, -1 where ``most`` is too few."""
    count, looked = 0, 0
    first, last = np.empty(3, np.int64), np.empty(3, np.int64)
    for k in range(len(a)):
        length = np.sqrt((b[k, 0] - a[k, 0]) ** 2 + (b[k, 1] - a[k, 1]) ** 2 + (b[k, 2] - a[k, 2]) ** 2)
        if length <= 2 * reach:
            continue
        main = 0
        for n in range(1, 3):
            if abs(b[k, n] - a[k, n]) > abs(b[k, main] - a[k, main]):
                main = n
        from_, to = min(a[k, main], b[k, main]), max(a[k, main], b[k, main])
        for layer in range(int((from_ - reach - low[main]) / size), int((to + reach - low[main]) / size) + 1):
            # the side between the two ends of the layer, a little over
            t0 = (low[main] + layer * size - reach - a[k, main]) / (b[k, main] - a[k, main])
            t1 = (low[main] + (layer + 1) * size + reach - a[k, main]) / (b[k, main] - a[k, main])
            t0, t1 = min(max(min(t0, t1), 0.0), 1.0), min(max(max(t0, t1), 0.0), 1.0)
            for n in range(3):
                u, v = a[k, n] + t0 * (b[k, n] - a[k, n]), a[k, n] + t1 * (b[k, n] - a[k, n])
                first[n] = max(int((min(u, v) - reach - low[n]) / size), 0)
                last[n] = min(int((max(u, v) + reach - low[n]) / size), CELLS_A_SIDE)
            first[main] = last[main] = layer
            for x in range(first[0], last[0] + 1):
                for y in range(first[1], last[1] + 1):
                    for z in range(first[2], last[2] + 1):
                        cell = (x * (CELLS_A_SIDE + 1) + y) * (CELLS_A_SIDE + 1) + z
                        at = np.searchsorted(cells, cell)
                        if at == len(cells) or cells[at] != cell:
                            continue
                        looked += starts[at + 1] - starts[at]
                        if looked > most:
                            return -1
                        for i in range(starts[at], starts[at + 1]):
                            p = order[i]
                            along = 0.0
                            for n in range(3):
                                along += (points[p, n] - a[k, n]) * (b[k, n] - a[k, n]) / length**2
                            off = 0.0
                            for n in range(3):
                                off += (points[p, n] - a[k, n] - along * (b[k, n] - a[k, n])) ** 2
                            if along * length <= reach or (1 - along) * length <= reach or off > reach**2:
                                continue
                            if count < len(side):
                                side[count], found[count], place[count] = k, p, along
                            count += 1
    return count


def on_sides(points: np.ndarray, a: np.ndarray, b: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray] | None:
    """Which points lie on which sides, ends left out.

    Parameters
    ----------
    points : (n, 3) ndarray
    a, b : (s, 3) ndarray
        Ends of the sides.
    reach : float
        How far off a point may lie, and how far from the ends it must.

    Returns
    -------
    (side, point) : (h,) ndarrays of int, or None
        Ordered by side, then from ``a`` to ``b``. None where more than `LOOK_LIMIT` points would have to be looked at.
    """
    low = np.minimum(points.min(axis=0), np.minimum(a, b).min(axis=0)) - 2 * reach
    span = float((np.maximum(points.max(axis=0), np.maximum(a, b).max(axis=0)) + 2 * reach - low).max())
    layers = float(np.abs(b - a).max(axis=1).sum())
    size = max(span / CELLS_A_SIDE, 4 * layers / CELL_LIMIT)
    cell = ((points - low) / size).astype(np.int64)
    key = (cell[:, 0] * (CELLS_A_SIDE + 1) + cell[:, 1]) * (CELLS_A_SIDE + 1) + cell[:, 2]
    order = np.argsort(key, kind="stable")
    cells, starts = np.unique(key[order], return_index=True)
    starts = np.append(starts, len(points))
    room = max(1024, len(points))
    while True:
        side, found, place = np.empty(room, np.int64), np.empty(room, np.int64), np.empty(room)
        count = _walk(a, b, points, order, cells, starts, low, size, reach, LOOK_LIMIT, side, found, place)
        if count < 0:
            return None
        if count <= room:
            break
        room = count
    side, found, place = side[:count], found[:count], place[:count]
    sorted_ = np.lexsort((found, place, side))
    return side[sorted_], found[sorted_]
