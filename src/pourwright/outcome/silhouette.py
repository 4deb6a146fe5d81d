"""The outline of a closed surface seen from far away along a direction, exact on its triangles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

GRID_M = 1e-7
"""Outlines are noded on a grid this fine, which moves no corner by more than half of it."""


@dataclass(frozen=True, slots=True)
class Silhouette:
    """A projected area and where its middle is. The same seen from the opposite side, mirrored."""

    name: str  # "front and back"
    area_m2: float
    across_m: float  # centroid along the first axis of the view ...
    along_m: float  # ... and the second
    error_m2: float  # no more than this, from the noding grid


def silhouette(points_m: np.ndarray, faces: np.ndarray) -> shapely.Geometry:
    """Outline of a closed surface seen along its third axis.

    Parameters
    ----------
    points_m : ndarray (n, 3)
        Corners; the third coordinate runs towards the viewer.
    faces : ndarray (m, 3)
        Wound outwards, closed.

    Returns
    -------
    Polygon or MultiPolygon
        The union of all projected triangles, without forming it triangle by triangle: the edges at which the surface
        turns away from the viewer cut the plane into pieces, and a piece is covered where they wind around it.

    Examples
    --------
    >>> import trimesh
    >>> box = trimesh.creation.box((1, 2, 3))
    >>> silhouette(box.vertices, box.faces).area
    2.0
    """
    flat = np.asarray(points_m, float)[:, :2]
    corner = flat[faces]
    (ux, uy), (vx, vy) = (corner[:, 1] - corner[:, 0]).T, (corner[:, 2] - corner[:, 0]).T
    turn = ux * vy - uy * vx
    front = faces[turn > 0]
    if not len(front):
        return shapely.Polygon()
    edges = np.concatenate([front[:, [0, 1]], front[:, [1, 2]], front[:, [2, 0]]])
    count = len(flat)
    forth, back = edges[:, 0] * count + edges[:, 1], edges[:, 1] * count + edges[:, 0]
    edges = edges[~np.isin(forth, back)]
    lines = shapely.set_precision(shapely.linestrings(flat[edges]), GRID_M)
    pieces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines, grid_size=GRID_M)]))
    pieces = pieces[shapely.area(pieces) > 0]
    spots = shapely.get_coordinates(shapely.point_on_surface(pieces))
    covered = winding_numbers(spots, flat[edges[:, 0]], flat[edges[:, 1]]) > 0
    return shapely.union_all(pieces[covered])


def winding_numbers(points: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """How often loops given as loose directed segments run around points.

    Parameters
    ----------
    points : ndarray (p, 2)
    start, end : ndarray (s, 2)

    Returns
    -------
    ndarray (p,) int
        Positive to the left of the segments.

    >>> square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    >>> winding_numbers(np.array([[0.5, 0.5], [2.0, 0.5]]), square, np.roll(square, -1, axis=0)).tolist()
    [1, 0]
    """
    from pourwright.outcome._around import around  # compiled loops: slow to load

    return around(*(np.ascontiguousarray(one, float) for one in (points, start, end)))


def six_views(standing_m: np.ndarray, faces: np.ndarray) -> tuple[Silhouette, ...]:
    """Projected areas from front and back, left and right, top and bottom of a standing surface.

    Parameters
    ----------
    standing_m : ndarray (n, 3)
        Corners: right, back, up.

    Returns
    -------
    tuple of Silhouette
        ``across_m`` and ``along_m`` are: from the left and from the base; from the front and from the base; from the
        left and from the front.
    """
    views = (
        ("front and back", [0, 2, 1], [1, 1, -1]),
        ("left and right", [1, 2, 0], [1, 1, 1]),
        ("top and bottom", [0, 1, 2], [1, 1, 1]),
    )
    out = []
    for name, order, sign in views:
        shape = silhouette(standing_m[:, order] * np.array(sign), faces)
        middle = shape.centroid
        out.append(Silhouette(name, shape.area, middle.x, middle.y, shape.length * GRID_M))
    return tuple(out)
