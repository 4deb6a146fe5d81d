"""A surface in patches of neighbouring facets: those wholly under water or over it are not looked into, compiled."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit
from pourwright.water._under import SUMS, add_facet, place_one, root_of

OWN = 16
"""Of each patch, over its facets pqr with n = (q-p) x (r-p), d = p . q x r and c = p + q + r:
sums of d, n (3), d c (3), n_i c_j (9)."""
OVER, UNDER, CUT = 0, 1, 2
NEAR_M = 1e-9
"""A patch so near the plane counts as cut."""


@njit(cache=True, nogil=True)
def parted(faces, corners, size):  # type: ignore[no-untyped-def]
    """Patch (m,) of each facet, and how many there are: each run of ``size`` facets, in pieces that share no corner."""
    patch = np.empty(len(faces), np.int64)
    run_of, first = np.full(corners, -1), np.empty(corners, np.int64)
    parent, number = np.empty(size, np.int64), np.empty(size, np.int64)
    count = 0
    for start in range(0, len(faces), size):
        stop = min(start + size, len(faces))
        for f in range(start, stop):
            parent[f - start], number[f - start] = f - start, -1
        for f in range(start, stop):
            for i in range(3):
                v = faces[f, i]
                if run_of[v] == start:
                    parent[root_of(parent, f - start)] = root_of(parent, first[v])
                else:
                    run_of[v], first[v] = start, f - start
        for f in range(start, stop):
            root = root_of(parent, f - start)
            if number[root] < 0:
                number[root] = count
                count += 1
            patch[f] = number[root]
    return patch, count


@njit(cache=True, nogil=True)
def own_sums(points, faces, patch, count):  # type: ignore[no-untyped-def]
    """Sums (count, OWN) and box (count, 2, 3) [m] of each patch."""
    own = np.zeros((count, OWN))
    box = np.empty((count, 2, 3))
    box[:, 0], box[:, 1] = np.inf, -np.inf
    n, c = np.empty(3), np.empty(3)
    for f in range(len(faces)):
        k = patch[f]
        p, q, r = points[faces[f, 0]], points[faces[f, 1]], points[faces[f, 2]]
        for i in range(3):
            j, m = (i + 1) % 3, (i + 2) % 3
            n[i] = (q[j] - p[j]) * (r[m] - p[m]) - (q[m] - p[m]) * (r[j] - p[j])
            c[i] = p[i] + q[i] + r[i]
            box[k, 0, i] = min(box[k, 0, i], p[i], q[i], r[i])
            box[k, 1, i] = max(box[k, 1, i], p[i], q[i], r[i])
        d = n[0] * p[0] + n[1] * p[1] + n[2] * p[2]
        own[k, 0] += d
        for i in range(3):
            own[k, 1 + i] += n[i]
            own[k, 4 + i] += d * c[i]
            for j in range(3):
                own[k, 7 + 3 * i + j] += n[i] * c[j]
    return own, box


@njit(cache=True, nogil=True)
def _side(box, normal, level):  # type: ignore[no-untyped-def]
    low, high = -level, -level
    for i in range(3):
        a, b = normal[i] * box[0, i], normal[i] * box[1, i]
        low += min(a, b)
        high += max(a, b)
    return UNDER if high < -NEAR_M else OVER if low > NEAR_M else CUT


@njit(cache=True, nogil=True)
def _add_patch(sums, own, foot, axes):  # type: ignore[no-untyped-def]
    """Adds a patch that is wholly under water: each facet's tetrahedron has its point at the ``foot`` (3,)."""
    off = foot[0] * own[1] + foot[1] * own[2] + foot[2] * own[3]
    sums[0] += (own[0] - off) / 6.0
    for k in range(3):
        along = 0.0
        for j in range(3):
            turned = foot[0] * own[7 + j] + foot[1] * own[10 + j] + foot[2] * own[13 + j]
            along += axes[k, j] * (own[4 + j] - turned - 3.0 * foot[j] * (own[0] - off))
        sums[1 + k] += along / 24.0


@njit(cache=True, nogil=True)
def _join(parent, a, b):  # type: ignore[no-untyped-def]
    a, b = root_of(parent, a), root_of(parent, b)
    if a != b:
        parent[a] = b


@njit(cache=True, nogil=True)
def sums_of(points, faces, starts, own, box, beside, at_start, at, axes, level, bail):  # type: ignore[no-untyped-def]
    """Sums (k, SUMS) of each bowl about the foot of the axes in the plane, as ``sums_under`` has them.

    ``faces`` (m, 3) lie patch by patch from ``starts`` (p + 1,); ``beside`` (b, 2) are patches that share a corner;
    corner v is shared by the patches ``at[at_start[v]:at_start[v + 1]]``, none where it lies in one alone. Patches and
    corners are the nodes that are joined to bowls: patch k is node k, corner v is node p + v.
    """
    count = len(own)
    side = np.empty(count, np.int64)
    for k in range(count):
        side[k] = _side(box[k], axes[2], level)
    place = np.empty((len(points), 3))
    foot = axes[2] * level
    nodes = count + len(points) if bail else 1
    parent, number = np.arange(nodes), np.full(nodes, -1)
    for k in range(count):
        if side[k] == CUT:
            for f in range(starts[k], starts[k + 1]):
                for i in range(3):
                    place_one(points[faces[f, i]], axes, level, place[faces[f, i]])
    if bail:
        for k in range(len(beside)):
            if side[beside[k, 0]] == UNDER and side[beside[k, 1]] == UNDER:
                _join(parent, beside[k, 0], beside[k, 1])
        for k in range(count):
            if side[k] == CUT:
                _join_cut(faces[starts[k] : starts[k + 1]], place, side, at_start, at, count, parent)
    sums, found = np.zeros((8, SUMS)), 0
    one, two = np.empty(3), np.empty(3)
    for k in range(count):
        if side[k] == OVER:
            continue
        for f in range(starts[k], starts[k + 1] if side[k] == CUT else starts[k] + 1):
            a, b, c = faces[f, 0], faces[f, 1], faces[f, 2]
            node = k
            if side[k] == CUT:
                low = a if place[a, 2] < 0.0 else b if place[b, 2] < 0.0 else c
                if place[low, 2] >= 0.0:
                    continue
                node = count + low
            root = root_of(parent, node) if bail else 0
            if number[root] < 0:
                if found == len(sums):
                    sums = np.concatenate((sums, np.zeros((found, SUMS))))
                number[root] = found
                found += 1
            if side[k] == CUT:
                add_facet(sums[number[root]], place[a], place[b], place[c], one, two)
            else:
                _add_patch(sums[number[root]], own[k], foot, axes)
    return sums[:found]


@njit(cache=True, nogil=True)
def _join_cut(faces, place, side, at_start, at, count, parent):  # type: ignore[no-untyped-def]
    """Joins the corners of a cut patch that are under water along its edges, and to the patches they lie in as well."""
    for f in range(len(faces)):
        for i in range(3):
            a, b = faces[f, i], faces[f, (i + 1) % 3]
            if place[a, 2] >= 0.0:
                continue
            if place[b, 2] < 0.0:
                _join(parent, count + a, count + b)
            for n in range(at_start[a], at_start[a + 1]):
                if side[at[n]] == UNDER:
                    _join(parent, count + a, at[n])
