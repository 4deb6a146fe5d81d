"""Nearest point of a triangle set: a complete tree of boxes, halved across its longest side at every node.

A query carries an upper bound (farther does not matter) and a lower bound (nearer does not matter either), which is
what makes it cheap where only a band of depths counts.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._threads import run_spans

LEAF = 2  # triangles in a leaf; measured best of 1, 2, 4, 8
SHARED = 8  # from this node on, subtrees are shared between threads


class Tree(NamedTuple):
    """Boxes of a complete binary tree: node 1 is the root, children of i are 2 i and 2 i + 1."""

    boxes: np.ndarray  # (nodes, 6) low xyz, high xyz; empty ones have low > high
    triangles: np.ndarray  # (m, 9) in tree order
    order: np.ndarray  # (m,) index of each in the caller's order
    first_leaf: int


@inner
def _split(centres: np.ndarray, order: np.ndarray, start: int, stop: int, middle: int, axis: int) -> None:
    """Reorder ``order[start:stop]`` so that those before ``middle`` lie lower along ``axis`` (Hoare's selection)."""
    left, right = start, stop - 1
    while left < right:
        a, b, c = (
            centres[order[left], axis],
            centres[order[(left + right) // 2], axis],
            centres[order[right], axis],
        )
        pivot = max(min(a, b), min(max(a, b), c))
        i, j = left, right
        while i <= j:
            while centres[order[i], axis] < pivot:
                i += 1
            while centres[order[j], axis] > pivot:
                j -= 1
            if i <= j:
                order[i], order[j] = order[j], order[i]
                i += 1
                j -= 1
        if middle <= j:
            right = j
        elif middle >= i:
            left = i
        else:
            return


@kernel
def _arrange(centres: np.ndarray, order: np.ndarray, first_leaf: int, root: int, until: int) -> None:
    """Order the triangles under node ``root`` so that every node before ``until`` is halved across its longest side."""
    count = len(order)
    pending = np.empty(128, np.int64)
    pending[0] = root
    top = 0
    while top >= 0:
        node = pending[top]
        top -= 1
        if node >= first_leaf:
            continue
        leaves = 1  # under this node
        first = node
        while first < first_leaf:
            first *= 2
            leaves *= 2
        start = min(count, (first - first_leaf) * LEAF)
        stop = min(count, (first - first_leaf + leaves) * LEAF)
        middle = (first - first_leaf + leaves // 2) * LEAF
        if middle < stop:
            widest, axis = -1.0, 0
            for k in range(3):
                low, high = np.inf, -np.inf
                for i in range(start, stop):
                    low = min(low, centres[order[i], k])
                    high = max(high, centres[order[i], k])
                if high - low > widest:
                    widest, axis = high - low, k
            _split(centres, order, start, stop, middle, axis)
        if stop - start > LEAF and 2 * node < until:
            pending[top + 1], pending[top + 2] = 2 * node, 2 * node + 1
            top += 2


def _ordered(triangles: np.ndarray, first_leaf: int) -> np.ndarray:
    """Indices of the triangles in the order of the leaves."""
    centres = (triangles[:, 0] + triangles[:, 1] + triangles[:, 2]) / 3.0
    order = np.arange(len(centres))
    _arrange(centres, order, first_leaf, 1, SHARED)
    if first_leaf > SHARED:
        roots = [(root, root + 1) for root in range(SHARED, 2 * SHARED)]
        run_spans(lambda root, _: _arrange(centres, order, first_leaf, root, 2 * first_leaf), roots)
    return order


def build_tree(triangles: np.ndarray) -> Tree:
    """Tree over ``triangles`` (m, 3, 3), m at least 1, any length unit."""
    leaves = -(-len(triangles) // LEAF)
    first_leaf = 1 << max(0, int(leaves - 1).bit_length())
    order = _ordered(triangles, first_leaf)
    sorted_triangles = triangles[order]
    a, b, c = (sorted_triangles[:, k] for k in range(3))
    boxes = np.empty((2 * first_leaf, 6))
    boxes[:, :3], boxes[:, 3:] = np.inf, -np.inf
    starts = np.arange(0, len(order), LEAF)
    for bound, part in ((np.minimum, np.s_[:3]), (np.maximum, np.s_[3:])):
        extreme = bound(a, b)
        bound(extreme, c, out=extreme)
        boxes[first_leaf : first_leaf + leaves, part] = bound.reduceat(extreme, starts)
    row = first_leaf
    while row > 1:
        children = boxes[row : 2 * row]
        boxes[row // 2 : row, :3] = np.minimum(children[0::2, :3], children[1::2, :3])
        boxes[row // 2 : row, 3:] = np.maximum(children[0::2, 3:], children[1::2, 3:])
        row //= 2
    return Tree(boxes, sorted_triangles.reshape(-1, 9), order, first_leaf)


@inner
def _box_distance2(boxes: np.ndarray, i: int, px: float, py: float, pz: float) -> float:
    """Squared distance from a point to box ``i`` (0 inside)."""
    dx = max(boxes[i, 0] - px, 0.0, px - boxes[i, 3])
    dy = max(boxes[i, 1] - py, 0.0, py - boxes[i, 4])
    dz = max(boxes[i, 2] - pz, 0.0, pz - boxes[i, 5])
    return dx * dx + dy * dy + dz * dz


@inner
def closest_on_triangle(t: np.ndarray, px: float, py: float, pz: float) -> tuple[float, float, float]:
    """Closest point of triangle ``t`` (9,) to a point, case by case (vertex, edge, face)."""
    abx, aby, abz = t[3] - t[0], t[4] - t[1], t[5] - t[2]
    acx, acy, acz = t[6] - t[0], t[7] - t[1], t[8] - t[2]
    apx, apy, apz = px - t[0], py - t[1], pz - t[2]
    d1 = abx * apx + aby * apy + abz * apz
    d2 = acx * apx + acy * apy + acz * apz
    if d1 <= 0.0 and d2 <= 0.0:
        return t[0], t[1], t[2]
    bpx, bpy, bpz = px - t[3], py - t[4], pz - t[5]
    d3 = abx * bpx + aby * bpy + abz * bpz
    d4 = acx * bpx + acy * bpy + acz * bpz
    if d3 >= 0.0 and d4 <= d3:
        return t[3], t[4], t[5]
    vc = d1 * d4 - d3 * d2
    if vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        v = d1 / (d1 - d3) if d1 != d3 else 0.0
        return t[0] + v * abx, t[1] + v * aby, t[2] + v * abz
    cpx, cpy, cpz = px - t[6], py - t[7], pz - t[8]
    d5 = abx * cpx + aby * cpy + abz * cpz
    d6 = acx * cpx + acy * cpy + acz * cpz
    if d6 >= 0.0 and d5 <= d6:
        return t[6], t[7], t[8]
    vb = d5 * d2 - d1 * d6
    if vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        w = d2 / (d2 - d6) if d2 != d6 else 0.0
        return t[0] + w * acx, t[1] + w * acy, t[2] + w * acz
    va = d3 * d6 - d5 * d4
    if va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
        span = (d4 - d3) + (d5 - d6)
        w = (d4 - d3) / span if span > 0.0 else 0.0
        return t[3] + w * (t[6] - t[3]), t[4] + w * (t[7] - t[4]), t[5] + w * (t[8] - t[5])
    total = va + vb + vc
    v, w = vb / total, vc / total
    return t[0] + v * abx + w * acx, t[1] + v * aby + w * acy, t[2] + v * abz + w * acz


@inner
def nearest(
    boxes: np.ndarray,
    triangles: np.ndarray,
    first_leaf: int,
    px: float,
    py: float,
    pz: float,
    limit: float,
    enough: float,
    stack: np.ndarray,
    gaps: np.ndarray,
) -> tuple[float, int, float, float, float]:
    """Nearest triangle nearer than ``limit``; the search stops once one nearer than ``enough`` is found.

    Returns the distance (``limit`` if there is none), the triangle in tree order (-1 if none) and the point on it.
    ``stack`` (int64) and ``gaps`` (float64) are scratch, 64 long.
    """
    best = limit * limit
    stop = enough * enough if enough > 0.0 else -1.0
    hit = -1
    qx, qy, qz = 0.0, 0.0, 0.0
    depth = 0
    stack[0] = 1
    gaps[0] = _box_distance2(boxes, 1, px, py, pz)
    while depth >= 0:
        node, gap = stack[depth], gaps[depth]
        depth -= 1
        if gap >= best:
            continue
        if node >= first_leaf:
            first = (node - first_leaf) * LEAF
            for t in range(first, min(first + LEAF, len(triangles))):
                cx, cy, cz = closest_on_triangle(triangles[t], px, py, pz)
                d2 = (px - cx) ** 2 + (py - cy) ** 2 + (pz - cz) ** 2
                if d2 < best:
                    best, hit, qx, qy, qz = d2, t, cx, cy, cz
            if best < stop:
                break
            continue
        left, right = 2 * node, 2 * node + 1
        a = _box_distance2(boxes, left, px, py, pz)
        b = _box_distance2(boxes, right, px, py, pz)
        if a < b:
            left, right, a, b = right, left, b, a
        if a < best:
            depth += 1
            stack[depth], gaps[depth] = left, a
        if b < best:
            depth += 1
            stack[depth], gaps[depth] = right, b
    return np.sqrt(best), hit, qx, qy, qz


@inner
def gather(
    boxes: np.ndarray,
    triangles: np.ndarray,
    first_leaf: int,
    px: float,
    py: float,
    pz: float,
    limit: float,
    stack: np.ndarray,
    found: np.ndarray,
    far: np.ndarray,
    used: int,
) -> int:
    """All triangles within ``limit`` of a point, written to ``found`` from ``used`` on.

    ``far`` (n, 4) gets the distance and the unit vector from the triangle's nearest point to the point: a plane across
    it there has the whole triangle behind it. Returns the number of entries used; both arrays must have as many rows as
    there are triangles.
    """
    limit2 = limit * limit
    depth = 0
    stack[0] = 1
    while depth >= 0:
        node = stack[depth]
        depth -= 1
        if _box_distance2(boxes, node, px, py, pz) > limit2:
            continue
        if node < first_leaf:
            stack[depth + 1], stack[depth + 2] = 2 * node, 2 * node + 1
            depth += 2
            continue
        first = (node - first_leaf) * LEAF
        for t in range(first, min(first + LEAF, len(triangles))):
            cx, cy, cz = closest_on_triangle(triangles[t], px, py, pz)
            d2 = (px - cx) ** 2 + (py - cy) ** 2 + (pz - cz) ** 2
            if d2 <= limit2:
                d = np.sqrt(d2)
                scale = 1.0 / d if d > 1e-12 else 0.0
                found[used] = t
                far[used, 0] = d
                far[used, 1], far[used, 2], far[used, 3] = (px - cx) * scale, (py - cy) * scale, (pz - cz) * scale
                used += 1
    return used


@kernel
def nearest_many(
    boxes: np.ndarray,
    triangles: np.ndarray,
    first_leaf: int,
    points: np.ndarray,
    distance: np.ndarray,
    hit: np.ndarray,
    foot: np.ndarray,
    start: int,
    stop: int,
) -> None:
    """``nearest`` without bounds for points start <= i < stop, results written in place."""
    stack, gaps = np.empty(64, np.int64), np.empty(64)
    for i in range(start, stop):
        d, t, qx, qy, qz = nearest(
            boxes, triangles, first_leaf, points[i, 0], points[i, 1], points[i, 2], np.inf, 0.0, stack, gaps
        )
        distance[i], hit[i] = d, t
        foot[i, 0], foot[i, 1], foot[i, 2] = qx, qy, qz
