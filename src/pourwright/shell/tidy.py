"""The first cleaning of a mesh, which changes no surface: weld, drop what is no face, drop doubles."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from scipy.spatial import cKDTree

from pourwright.compiled import njit
from pourwright.findings import Code, Finding, note
from pourwright.shell.seams import on_sides
from pourwright.shell.skin import MeshFinding
from pourwright.shell.topology import edges_of
from pourwright.shell.triangulate import triangulate

WELD_SHARE = 1e-6
"""Border points nearer than this share of the piece's diagonal are one point."""
CROWD = 4
"""Border points that may lie in a cell of that size together with each one on average, itself counted (2 along a seam);
where there are more, each cell becomes a point first."""


def tidy(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[MeshFinding]]:
    """Weld vertices, cut faces at corners that lie on their sides, drop empty faces and faces that are there twice.

    Parameters
    ----------
    vertices : (n, 3) ndarray
        Metres.
    faces : (m, 3) ndarray

    Returns
    -------
    vertices, faces, findings
        Only vertices that a face uses; faces keep their order and winding.
    """
    found: list[Finding] = []
    count = len(faces)
    vertices, faces = weld_exact(vertices, faces)
    faces = _with_corners(faces)
    vertices, faces, welded = _weld_border(vertices, faces)
    faces = _with_corners(faces)
    if count > len(faces):
        found.append(note(Code.EMPTY_TRIANGLES, count=float(count - len(faces))))
    if welded:
        found.append(note(Code.OPEN_SEAMS, points=float(welded)))
    faces, cut = _cut_at_corners(vertices, faces)
    if cut < 0:
        found.append(note(Code.CORNERS_NOT_SOUGHT))
    elif cut:
        found.append(note(Code.CORNERS_ON_EDGES, count=float(cut)))
    faces, doubles, flaps = _without_doubles(faces)
    if doubles:
        found.append(note(Code.DOUBLED_TRIANGLES, count=float(doubles)))
    if flaps:
        found.append(note(Code.BACK_TO_BACK, count=float(flaps)))
    return *_used(vertices, faces), [MeshFinding(one) for one in found]


def weld_exact(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Join vertices with equal coordinates; the order of first use is kept."""
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    at = np.cumsum(used) - 1
    points = np.ascontiguousarray(vertices[used]) + 0.0  # -0.0 and 0.0 are one
    order = np.lexsort(points.T[::-1])
    ordered = points[order]
    new = np.append(True, (ordered[1:] != ordered[:-1]).any(axis=1))
    group = np.empty(len(points), np.int64)
    group[order] = np.cumsum(new) - 1
    first = np.full(int(new.sum()), len(points))
    np.minimum.at(first, group, np.arange(len(points)))
    keep = np.sort(first)
    rank = np.empty(len(first), np.int64)
    rank[np.argsort(first, kind="stable")] = np.arange(len(first))
    return points[keep], rank[group][at[faces]]


def _with_corners(faces: np.ndarray) -> np.ndarray:
    a, b, c = faces.T
    return faces[(a != b) & (b != c) & (c != a)]


def _reach(vertices: np.ndarray) -> float:
    return WELD_SHARE * float(np.linalg.norm(np.ptp(vertices, axis=0)))


def _weld_border(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray, int]:
    """Join border points that nearly meet: exporters round the two sides of a seam differently."""
    edges = edges_of(faces)
    border = np.unique(edges.ends[edges.border])
    if not len(border):
        return vertices, faces, 0
    reach = _reach(vertices)
    goal = np.arange(len(vertices))
    heaped = np.empty(0, np.int64)
    first = _first_of_cell(vertices[border], reach) if reach > 0 else np.arange(len(border))
    if int((np.bincount(first) ** 2).sum()) > CROWD * len(border):
        heaped, goal[border] = border, border[first]
        border = np.unique(border[first])
    pairs = np.sort(border[cKDTree(vertices[border]).query_pairs(reach, output_type="ndarray")], axis=1)
    _join(goal, pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))])
    goal[heaped] = goal[goal[heaped]]
    return vertices, goal[faces], int((goal != np.arange(len(goal))).sum())


@njit(cache=True)
def _join(goal: np.ndarray, pairs: np.ndarray) -> None:
    for k in range(len(pairs)):
        goal[pairs[k, 1]] = goal[pairs[k, 0]]


def _first_of_cell(points: np.ndarray, size: float) -> np.ndarray:
    """For each of ``points`` (n, 3) the first one in the same cell of ``size``."""
    cell = np.floor((points - points.min(axis=0)) / size).astype(np.int64)
    order = np.lexsort(cell.T)
    ordered = cell[order]
    new = np.append(True, (ordered[1:] != ordered[:-1]).any(axis=1))
    out = np.empty(len(points), np.int64)
    out[order] = np.minimum.reduceat(order, np.flatnonzero(new))[np.cumsum(new) - 1]
    return out


def _cut_at_corners(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, int]:
    """Cut border faces where border corners of other faces lie on their sides, so that the two can meet.

    The number is that of the faces cut, -1 where there are too many corners and sides to look.
    """
    edges = edges_of(faces)
    sides = np.flatnonzero(edges.border)
    if not len(sides):
        return faces, 0
    border = np.unique(edges.ends[sides])
    ends = np.ascontiguousarray(vertices[edges.ends[sides]])
    hits = on_sides(vertices[border], ends[:, 0].copy(), ends[:, 1].copy(), _reach(vertices))
    if hits is None:
        return faces, -1
    on = {int(sides[side]): border[points] for side, points in _groups(*hits)}
    if not on:
        return faces, 0
    return _cut(vertices, faces, edges.ends, edges.of_face, on)


def _groups(keys: np.ndarray, values: np.ndarray) -> Iterator[tuple[int, np.ndarray]]:
    """The values of each key; equal keys stand together."""
    starts = np.flatnonzero(np.append(True, keys[1:] != keys[:-1])) if len(keys) else np.empty(0, np.int64)
    for key, found in zip(keys[starts], np.split(values, starts[1:]), strict=False):
        yield int(key), found


def _cut(
    vertices: np.ndarray, faces: np.ndarray, ends: np.ndarray, of_face: np.ndarray, on: dict[int, np.ndarray]
) -> tuple[np.ndarray, int]:
    marked = np.zeros(len(ends), bool)
    marked[list(on)] = True
    hit = np.flatnonzero(marked[of_face].any(axis=1))
    fresh = []
    for f in hit:
        ring: list[int] = []
        for side in range(3):
            start, edge = int(faces[f, side]), int(of_face[f, side])
            ring.append(start)
            extra = on.get(edge, np.empty(0, np.int64))
            ring += [int(v) for v in (extra if ends[edge, 0] == start else extra[::-1])]
        corner = vertices[faces[f]]
        normal = np.cross(corner[1] - corner[0], corner[2] - corner[0])
        order = np.array(ring)
        fresh.append(_with_corners(order[triangulate([vertices[order]], normal)]))
    keep = np.ones(len(faces), bool)
    keep[hit] = False
    return np.concatenate([faces[keep], *fresh]), len(hit)


def _without_doubles(faces: np.ndarray) -> tuple[np.ndarray, int, int]:
    """Keep one of several faces on the same corners.

    Of faces on the same corners that are wound against each other it cannot be said whether they are a doubled
    face of which one was flipped, or a flap without thickness: one is kept if its neighbours need it to meet.
    """
    if not len(faces):
        return faces, 0, 0
    corners = np.sort(faces, axis=1)
    order = np.lexsort(corners.T[::-1])
    ordered = corners[order]
    new = np.append(True, (ordered[1:] != ordered[:-1]).any(axis=1))
    if new.all():
        return faces, 0, 0
    group = np.empty(len(faces), np.int64)
    group[order] = np.cumsum(new) - 1
    size = np.bincount(group)
    second = faces[np.arange(len(faces)), (faces.argmin(axis=1) + 1) % 3]
    forward = second == corners[:, 1]
    net = np.bincount(group, weights=np.where(forward, 1, -1))
    wanted = np.where(forward, net[group] >= 0, net[group] < 0)
    at = np.flatnonzero(wanted)
    _, first = np.unique(group[at], return_index=True)
    kept = np.sort(at[first])
    unsure = (net[group[kept]] == 0) & (size[group[kept]] > 1)
    left, flaps = _without_flaps(faces[kept], unsure)
    return left, int(len(faces) - len(kept)), flaps


def _without_flaps(faces: np.ndarray, unsure: np.ndarray) -> tuple[np.ndarray, int]:
    whole = len(faces)
    given = faces
    while unsure.any():
        edges = edges_of(faces)
        odd = (edges.count[edges.of_face] != 2).any(axis=1) & unsure
        if not odd.any():
            break
        faces, unsure = faces[~odd], unsure[~odd]
    return (faces, whole - len(faces)) if len(faces) else (given, 0)


def _used(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    return vertices[used], (np.cumsum(used) - 1)[faces]
