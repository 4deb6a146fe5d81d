"""Liquid on the inside face: it runs to the lowest place it can reach and rises there, over the brim into the next.

Faces stand for the wall, their heights are exact, so a pool may be far shallower than a cell. The volume under a level
is that between the level and the faces under it, ``sum (level - height) (- up . normal) area``, by Gauss.
"""

from __future__ import annotations

import numpy as np

from pourwright.cavity import kernel


@kernel
def below(triangles: np.ndarray, point: np.ndarray, down: np.ndarray) -> int:
    """First triangle (m, 3, 3) that a ray from ``point`` along ``down`` meets; -1 if none."""
    best, hit = np.inf, -1
    for t in range(len(triangles)):
        a = triangles[t, 0]
        e1, e2 = triangles[t, 1] - a, triangles[t, 2] - a
        p0 = down[1] * e2[2] - down[2] * e2[1]
        p1 = down[2] * e2[0] - down[0] * e2[2]
        p2 = down[0] * e2[1] - down[1] * e2[0]
        det = e1[0] * p0 + e1[1] * p1 + e1[2] * p2
        if abs(det) < 1e-15:
            continue
        s0, s1, s2 = point[0] - a[0], point[1] - a[1], point[2] - a[2]
        u = (s0 * p0 + s1 * p1 + s2 * p2) / det
        if u < 0.0 or u > 1.0:
            continue
        q0, q1, q2 = s1 * e1[2] - s2 * e1[1], s2 * e1[0] - s0 * e1[2], s0 * e1[1] - s1 * e1[0]
        v = (down[0] * q0 + down[1] * q1 + down[2] * q2) / det
        if v < 0.0 or u + v > 1.0:
            continue
        far = (e2[0] * q0 + e2[1] * q1 + e2[2] * q2) / det
        if 1e-12 < far < best:
            best, hit = far, t
    return hit


@kernel
def _push(keys: np.ndarray, items: np.ndarray, size: int, key: float, item: int) -> int:
    at = size
    while at > 0:
        parent = (at - 1) // 2
        if keys[parent] <= key:
            break
        keys[at], items[at] = keys[parent], items[parent]
        at = parent
    keys[at], items[at] = key, item
    return size + 1


@kernel
def _pop(keys: np.ndarray, items: np.ndarray, size: int) -> int:
    size -= 1
    key, item, at = keys[size], items[size], 0
    while True:
        child = 2 * at + 1
        if child >= size:
            break
        if child + 1 < size and keys[child + 1] < keys[child]:
            child += 1
        if keys[child] >= key:
            break
        keys[at], items[at] = keys[child], items[child]
        at = child
    keys[at], items[at] = key, item
    return size


@kernel
def flood(
    neighbour: np.ndarray,
    height: np.ndarray,
    floor: np.ndarray,
    start: int,
    volume: float,
    depth: np.ndarray,
    pool: np.ndarray,
    seen: np.ndarray,
    stamp: int,
) -> tuple[int, int]:
    """Pour ``volume`` onto face ``start`` and give every face under liquid its depth.

    Parameters
    ----------
    neighbour : ndarray (n, k)
        Faces that touch each, then -1.
    height : ndarray (n,)
        Of the middles of the faces in the direction up.
    floor : ndarray (n,)
        Level area over each face, negative under an overhang.
    depth : ndarray (n,)
        Set for faces under liquid, ``1e-12`` at least; others are left.
    pool : ndarray (n,) int64
        Its first places are set to those faces.
    seen : ndarray (n,) int64
        Work space; ``stamp`` must be new in it.

    Returns
    -------
    lowest : int
        Lowest face of the last pool.
    wet : int
        How many faces are under liquid.
    """
    n = len(height)
    keys, items, size = np.empty(n + 4), np.empty(n + 4, np.int64), 0
    order, count = np.empty(n, np.int64), 0
    # pools that spilled: first place in order, level, area, area x height
    first, brim = np.empty(n + 1, np.int64), np.empty(n + 1)
    areas, sums, pools = np.empty(n + 1), np.empty(n + 1), 0
    begin, level, area, total, done, lowest = 0, -np.inf, 0.0, 0.0, 0.0, start
    keys[0], items[0], size = height[start], start, 1
    seen[start] = stamp
    while size > 0:
        h, face = keys[0], items[0]
        size = _pop(keys, items, size)
        if h < level:  # over the brim: the pool stays as full as it is, the rest runs on
            first[pools], brim[pools], areas[pools], sums[pools] = begin, level, area, total
            pools += 1
            done += max(0.0, level * area - total)
            begin, area, total, lowest = count, 0.0, 0.0, face
        level = h
        while pools > 0 and brim[pools - 1] <= level:  # grown together with a pool left before
            pools -= 1
            done -= max(0.0, brim[pools] * areas[pools] - sums[pools])
            if height[order[first[pools]]] < height[lowest]:
                lowest = order[first[pools]]
            begin, area, total = first[pools], area + areas[pools], total + sums[pools]
        order[count] = face
        count += 1
        area += floor[face]
        total += floor[face] * h
        if done + level * area - total >= volume:
            break
        for k in range(neighbour.shape[1]):
            other = neighbour[face, k]
            if other < 0:
                break
            if seen[other] == stamp:
                continue
            seen[other] = stamp
            size = _push(keys, items, size, height[other], other)
    wet = 0
    for i in range(begin, count):
        depth[order[i]] = max(1e-12, level - height[order[i]])
        pool[wet] = order[i]
        wet += 1
    for k in range(pools):
        stop = first[k + 1] if k + 1 < pools else begin
        for i in range(first[k], stop):
            if height[order[i]] < brim[k]:
                depth[order[i]] = brim[k] - height[order[i]]
                pool[wet] = order[i]
                wet += 1
    return lowest, wet
