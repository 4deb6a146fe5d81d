"""A closed surface between two level planes, its cuts closed flat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import KDTree

from pourwright.errors import CavityError

TINY = 1e-9
"""Of the size of a piece: a corner so near a plane counts as above it."""


@dataclass(frozen=True, eq=False)
class Slab:
    """What lies between two planes. ``source`` (m,) the face it was part of, -1 of a cut; ``shapes`` of each cut.

    ``cut`` (m,): -1 of the surface, else the index of the polygon of ``shapes`` that closes it; ``upper`` of which cut
    each is: True at the upper plane. Polygons in plan, standing metres.
    """

    points_m: np.ndarray  # (n, 3) standing
    faces: np.ndarray  # (m, 3)
    source: np.ndarray
    cut: np.ndarray
    shapes: tuple[shapely.Polygon, ...]
    upper: tuple[bool, ...]


def between(points_m: np.ndarray, faces: np.ndarray, low_m: float, high_m: float) -> Slab:
    """Part of a closed surface, wound outwards, with heights from ``low_m`` to ``high_m``; empty where there is none.

    Parameters
    ----------
    points_m : ndarray (n, 3)
        Standing metres.
    faces : ndarray (m, 3) int

    Raises
    ------
    CavityError
        A cut is not made of closed lines: the surface is not closed there.
    """
    source = np.arange(len(faces))
    points, faces, source, lower = _above(points_m, faces, source, low_m)
    up = points * (1.0, 1.0, -1.0)  # turned over: what is kept lies above again, wound the other way
    up, turned, source, upper = _above(up, faces[:, ::-1], source, -high_m)
    points, faces = up * (1.0, 1.0, -1.0), turned[:, ::-1]
    cut, more = [np.full(len(faces), -1)], [faces]
    shapes: list[shapely.Polygon] = []
    is_upper: list[bool] = []
    for edges, above in ((lower, False), (upper[:, ::-1], True)):
        for polygon, corners in _closed(points, edges, low_m if not above else high_m):
            triangles = _triangles(polygon, points, corners)
            flat = points[triangles][:, :, :2]
            a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
            wrong = (a[:, 0] * b[:, 1] > a[:, 1] * b[:, 0]) != above  # it looks up at the top, down at the foot
            triangles[wrong] = triangles[wrong][:, ::-1]
            more.append(triangles)
            cut.append(np.full(len(triangles), len(shapes)))
            shapes.append(polygon)
            is_upper.append(above)
    whole = np.concatenate(more)
    source = np.concatenate([source, np.full(len(whole) - len(source), -1)])
    return Slab(points, whole, source, np.concatenate(cut), tuple(shapes), tuple(is_upper))


def levelled(
    points_m: np.ndarray, faces: np.ndarray, heights_m: Sequence[float]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A surface whose triangles are cut at level planes; it stays as closed as it was.

    Parameters
    ----------
    points_m : ndarray (n, 3)
        Standing metres.
    faces : ndarray (m, 3) int
    heights_m : sequence of float

    Returns
    -------
    points_m : ndarray (k, 3)
    faces : ndarray (j, 3)
    source : ndarray (j,)
        The face that each was part of.
    """
    points, source = points_m, np.arange(len(faces))
    for height in heights_m:
        over, above, of_above, _ = _above(points, faces, source, height)
        under, below, of_below, _ = _above(points * (1.0, 1.0, -1.0), faces[:, ::-1], source, -height, -1.0)
        faces = np.concatenate([above, below[:, ::-1] + len(over)])
        points = np.concatenate([over, under * (1.0, 1.0, -1.0)])
        source = np.concatenate([of_above, of_below])
    return points, faces, source


def _above(
    points: np.ndarray, faces: np.ndarray, source: np.ndarray, height: float, at: float = 1.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The faces above a height, and the edges (k, 2) along the cut as the faces have them.

    Corners on it count as above, with ``at`` -1 as below.
    """
    off = points[:, 2] - height
    least = TINY * max(float(np.ptp(points, axis=0).max()), 1e-6) if len(points) else TINY
    off = np.where(np.abs(off) < least, at * least, off)
    over = off > 0
    count = over[faces].sum(axis=1)
    kept = [faces[count == 3]]
    of = [source[count == 3]]
    mixed = np.flatnonzero((count == 1) | (count == 2))
    lone = np.where((count[mixed] == 1)[:, None], over[faces[mixed]], ~over[faces[mixed]]).argmax(axis=1)
    a, b, c = (faces[mixed, (lone + k) % 3] for k in range(3))  # a by itself on its side
    ab, ac, fresh = _crossings(points, off, a, b, c)
    one = count[mixed] == 1
    kept += [np.column_stack([a, ab, ac])[one]]
    of += [source[mixed[one]]]
    two = ~one
    kept += [np.column_stack([ab, b, c])[two], np.column_stack([ab, c, ac])[two]]
    of += [source[mixed[two]], source[mixed[two]]]
    edges = np.where(one[:, None], np.column_stack([ab, ac]), np.column_stack([ac, ab]))
    return np.concatenate([points, fresh]), np.concatenate(kept), np.concatenate(of), edges


def _crossings(
    points: np.ndarray, off: np.ndarray, a: np.ndarray, b: np.ndarray, c: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """New points, one for each edge that is cut: their indices on a-b and on a-c, and where they lie."""
    pairs = np.sort(np.concatenate([np.column_stack([a, b]), np.column_stack([a, c])]), axis=1)
    edges, which = np.unique(pairs, axis=0, return_inverse=True)
    which = which.ravel() + len(points)
    first, last = edges.T
    share = off[first] / (off[first] - off[last])
    fresh = points[first] + share[:, None] * (points[last] - points[first])
    return which[: len(a)], which[len(a) :], fresh


def _closed(points: np.ndarray, edges: np.ndarray, height: float) -> list[tuple[shapely.Polygon, np.ndarray]]:
    """Polygons with their holes that edges along a cut close, each with the indices of its corners."""
    edges = edges[edges[:, 0] != edges[:, 1]]
    if not len(edges):
        return []
    if len(np.unique(edges[:, 0])) < len(edges) or not np.array_equal(np.sort(edges[:, 0]), np.sort(edges[:, 1])):
        raise CavityError(
            f"The shell cannot be cut level {1e3 * height:.4g} mm above its base: its surface is not closed or meets "
            "itself there. Give fill.bands that begin and end some millimetres higher, or mend the mesh."
        )
    after = dict(edges.tolist())
    rings = []
    while after:
        at, following = after.popitem()
        line = [at]
        while following != at:
            line.append(following)
            following = after.pop(following)
        if len(line) >= 3:
            rings.append(np.array(line))
    flat = [shapely.Polygon(points[ring, :2]) for ring in rings]
    inside = [sum(other.contains(shapely.Point(points[ring[0], :2])) for other in flat) for ring in rings]
    out = []
    for k, ring in enumerate(rings):
        mine = flat[k]
        if inside[k] % 2 or mine.area <= 0:
            continue
        holes = [
            j
            for j in range(len(rings))
            if inside[j] == inside[k] + 1 and mine.contains(shapely.Point(points[rings[j][0], :2]))
        ]
        polygon = shapely.Polygon(points[ring, :2], [points[rings[j], :2] for j in holes])
        out.append((polygon, np.concatenate([ring, *(rings[j] for j in holes)])))
    return sorted(out, key=lambda one: (-round(one[0].area, 12), *one[0].centroid.coords[0]))


def _triangles(polygon: shapely.Polygon, points: np.ndarray, corners: np.ndarray) -> np.ndarray:
    from trimesh.creation import triangulate_polygon  # slow to load

    flat, triangles = triangulate_polygon(polygon, engine="earcut")
    near = KDTree(points[corners, :2]).query(flat)[1]
    return np.asarray(corners[near][np.asarray(triangles, np.int64)])
