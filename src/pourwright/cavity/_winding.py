"""Generalised winding number of points in a triangle soup, far triangles taken together by their area vectors.

The number is 1 inside and 0 outside a closed surface, and falls smoothly across holes: Jacobson, Kavan &
Sorkine-Hornung, ACM Trans. Graph. 32 (2013) 33; the far sums are the first-order ones of Barill et al., ACM Trans.
Graph. 37 (2018) 43; the solid angle of a triangle is that of van Oosterom & Strackee, IEEE Trans. Biomed. Eng. 30
(1983) 125-126 (all three from memory; checked in the tests against libigl's and the exact sum).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import LEAF, Tree

FAR = 3.5  # a node farther than so many of its radii is summed as one


class Moments(NamedTuple):
    """Per node of a tree: sum of area vectors, their middle, the greatest distance of a triangle from it."""

    vector: np.ndarray  # (nodes, 3)
    middle: np.ndarray  # (nodes, 3)
    radius: np.ndarray  # (nodes,)


def moments_of(tree: Tree) -> Moments:
    """Area vectors of every node of a tree."""
    corners = tree.triangles.reshape(-1, 3, 3)
    vectors = 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(vectors, axis=1)
    rows = np.column_stack([vectors, corners.mean(axis=1) * areas[:, None], areas])
    total = np.zeros((2 * tree.first_leaf, 7))
    starts = np.arange(0, len(rows), LEAF)
    total[tree.first_leaf : tree.first_leaf + len(starts)] = np.add.reduceat(rows, starts)
    row = tree.first_leaf
    while row > 1:
        total[row // 2 : row] = total[row : 2 * row : 2] + total[row + 1 : 2 * row : 2]
        row //= 2
    low, high = tree.boxes[:, :3], tree.boxes[:, 3:]
    some = np.isfinite(low[:, 0])
    middle = np.zeros((len(total), 3))
    flat = some & (total[:, 6] <= 0)
    middle[flat] = 0.5 * (low[flat] + high[flat])
    solid = total[:, 6] > 0
    middle[solid] = total[solid, 3:6] / total[solid, 6:]
    reach = np.where(some[:, None], np.maximum(np.abs(low - middle), np.abs(high - middle)), 0.0)
    return Moments(np.ascontiguousarray(total[:, :3]), middle, np.linalg.norm(reach, axis=1))


@inner
def _solid_angle(t: np.ndarray, px: float, py: float, pz: float) -> float:
    """Signed solid angle / (4 pi) of triangle ``t`` (9,) from a point; positive behind its front."""
    ax, ay, az = t[0] - px, t[1] - py, t[2] - pz
    bx, by, bz = t[3] - px, t[4] - py, t[5] - pz
    cx, cy, cz = t[6] - px, t[7] - py, t[8] - pz
    a, b, c = math.sqrt(ax * ax + ay * ay + az * az), math.sqrt(bx * bx + by * by + bz * bz), 0.0
    c = math.sqrt(cx * cx + cy * cy + cz * cz)
    det = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    ab, bc, ca = ax * bx + ay * by + az * bz, bx * cx + by * cy + bz * cz, cx * ax + cy * ay + cz * az
    return math.atan2(det, a * b * c + ab * c + bc * a + ca * b) / (2.0 * math.pi)


@inner
def winding(tree: Tree, moments: Moments, px: float, py: float, pz: float, stack: np.ndarray) -> float:
    """Generalised winding number of one point. ``stack`` (int64) is scratch, 64 long."""
    total = 0.0
    depth = 0
    stack[0] = 1
    while depth >= 0:
        node = stack[depth]
        depth -= 1
        dx, dy, dz = (
            moments.middle[node, 0] - px,
            moments.middle[node, 1] - py,
            moments.middle[node, 2] - pz,
        )
        d2 = dx * dx + dy * dy + dz * dz
        r = moments.radius[node]
        if d2 > FAR * FAR * r * r:
            if d2 > 0.0:
                v = moments.vector
                total += (v[node, 0] * dx + v[node, 1] * dy + v[node, 2] * dz) / (4.0 * math.pi * d2 * math.sqrt(d2))
            continue
        if node < tree.first_leaf:
            stack[depth + 1], stack[depth + 2] = 2 * node, 2 * node + 1
            depth += 2
            continue
        first = (node - tree.first_leaf) * LEAF
        for t in range(first, min(first + LEAF, len(tree.triangles))):
            total += _solid_angle(tree.triangles[t], px, py, pz)
    return total


@kernel
def _winding_span(tree: Tree, moments: Moments, points: np.ndarray, out: np.ndarray, start: int, stop: int) -> None:
    stack = np.empty(64, np.int64)
    for i in range(start, stop):
        out[i] = winding(tree, moments, points[i, 0], points[i, 1], points[i, 2], stack)


def winding_numbers(tree: Tree, moments: Moments, points: np.ndarray) -> np.ndarray:
    """Generalised winding numbers (n,) of ``points`` (n, 3)."""
    points = np.ascontiguousarray(points, float)
    out = np.empty(len(points))
    run_spans(lambda a, b: _winding_span(tree, moments, points, out, a, b), spans(len(points), 4096))
    return out
