"""Sums over the facets of a closed surface below a water plane, bowl by bowl, compiled."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

SUMS = 10
"""Of each bowl: volume, its moments (3), waterplane area, its first moments (2), its second moments xx, yy, xy."""


@njit(cache=True, nogil=True)
def root_of(parent, k):  # type: ignore[no-untyped-def]
    while parent[k] != k:
        parent[k] = parent[parent[k]]
        k = parent[k]
    return k


@njit(cache=True, nogil=True)
def place_one(point, axes, level, out):  # type: ignore[no-untyped-def]
    """A point (3,) along two axes of a plane and above it, ``axes`` (3, 3) its own and its normal, into ``out`` (3,).

    A vertex exactly in the plane would make a waterline of points: a shift far under any mesh's accuracy avoids it.
    """
    x, y, z = point[0], point[1], point[2]
    for i in range(3):
        out[i] = axes[i, 0] * x + axes[i, 1] * y + axes[i, 2] * z
    out[2] -= level
    if abs(out[2]) < 1e-12:
        out[2] = -1e-12


@njit(cache=True, nogil=True)
def placed(points, axes, level):  # type: ignore[no-untyped-def]
    """Points (n, 3), each as ``place_one`` has it."""
    place = np.empty((len(points), 3))
    for k in range(len(points)):
        place_one(points[k], axes, level, place[k])
    return place


@njit(cache=True, nogil=True)
def bowls(height, faces, bail):  # type: ignore[no-untyped-def]
    """Bowl (m,) of each facet that is wet, -1 of others, and how many there are.

    ``height`` (n,) of the vertices above the plane [m], none of them zero; ``faces`` (m, 3). Bowls are joined through
    vertices that are under water; without ``bail`` all is one.
    """
    parent = np.arange(len(height))
    found = np.full(len(faces), -1)
    if bail:
        for f in range(len(faces)):
            for i in range(3):
                a, b = faces[f, i], faces[f, (i + 1) % 3]
                if a < b and height[a] < 0.0 and height[b] < 0.0:  # every edge is there both ways
                    a, b = root_of(parent, a), root_of(parent, b)
                    if a != b:
                        parent[a] = b
    number = np.full(len(height), -1)
    count = 0
    for f in range(len(faces)):
        low = faces[f, 0]
        for i in range(1, 3):
            if height[faces[f, i]] < height[low]:
                low = faces[f, i]
        if height[low] >= 0.0:
            continue
        root = root_of(parent, low) if bail else 0
        if number[root] < 0:
            number[root] = count
            count += 1
        found[f] = number[root]
    return found, count


@njit(cache=True, nogil=True)
def _tetra(sums, p, q, r):  # type: ignore[no-untyped-def]
    volume = (
        p[0] * (q[1] * r[2] - q[2] * r[1]) + p[1] * (q[2] * r[0] - q[0] * r[2]) + p[2] * (q[0] * r[1] - q[1] * r[0])
    ) / 6.0
    sums[0] += volume
    for i in range(3):
        sums[1 + i] += volume * (p[i] + q[i] + r[i]) / 4.0


@njit(cache=True, nogil=True)
def _line(sums, p, q):  # type: ignore[no-untyped-def]
    x0, y0, x1, y1 = p[0], p[1], q[0], q[1]
    cross = x0 * y1 - x1 * y0
    sums[4] += 0.5 * cross
    sums[5] += cross * (x0 + x1) / 6.0
    sums[6] += cross * (y0 + y1) / 6.0
    sums[7] += cross * (x0 * x0 + x0 * x1 + x1 * x1) / 12.0
    sums[8] += cross * (y0 * y0 + y0 * y1 + y1 * y1) / 12.0
    sums[9] += cross * (x0 * y1 + 2.0 * x0 * y0 + 2.0 * x1 * y1 + x1 * y0) / 24.0


@njit(cache=True, nogil=True)
def _cut(p, q, out):  # type: ignore[no-untyped-def]
    share = p[2] / (p[2] - q[2])
    for i in range(3):
        out[i] = p[i] + (q[i] - p[i]) * share


@njit(cache=True, nogil=True)
def add_facet(sums, p, q, r, one, two):  # type: ignore[no-untyped-def]
    """Adds to the sums of a bowl what a facet gives; ``one`` and ``two`` (3,) are room for the points of its cut.

    A facet under water spans a tetrahedron with a point of the plane; one that is cut is cut at the plane, and its
    waterline has the water to its left.
    """
    wet = (p[2] < 0.0) + (q[2] < 0.0) + (r[2] < 0.0)
    if wet == 3:
        _tetra(sums, p, q, r)
        return
    if (q[2] < 0.0) == (wet == 1):  # first the corner that is alone on its side
        p, q, r = q, r, p
    elif (r[2] < 0.0) == (wet == 1):
        p, q, r = r, p, q
    _cut(p, q, one)
    _cut(p, r, two)
    if wet == 1:
        _tetra(sums, p, one, two)
        _line(sums, two, one)
    else:
        _tetra(sums, one, q, r)
        _tetra(sums, one, r, two)
        _line(sums, one, two)


@njit(cache=True, nogil=True)
def sums_under(place, faces, bowl, count):  # type: ignore[no-untyped-def]
    """Sums (count, SUMS) of each bowl, about the foot of the axes in the plane.

    ``place`` (n, 3): the vertices along two axes of the plane and above it [m].
    """
    sums = np.zeros((count, SUMS))
    one, two = np.empty(3), np.empty(3)
    for f in range(len(faces)):
        if bowl[f] >= 0:
            a, b, c = place[faces[f, 0]], place[faces[f, 1]], place[faces[f, 2]]
            add_facet(sums[bowl[f]], a, b, c, one, two)
    return sums
