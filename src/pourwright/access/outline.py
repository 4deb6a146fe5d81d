"""Outlines in plan of what is known by cells, with as few corners as a person would draw."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Polygon

SHARE = 0.08
"""Of its lesser extent: how far an outline drawn with few corners may lie from its cells; our judgement."""
SHORT = 0.10
"""Of its lesser extent: a side that is shorter rounds a corner off; our judgement."""
OBLONG = 0.93
"""Of its rectangle around: what fills more of it is a rectangle; our judgement."""
TURN = math.radians(30.0)
"""An outline that turns less has no corner there; our judgement."""


def outline_of(column: np.ndarray, origin_m: np.ndarray, cell_m: float) -> Polygon:
    """Outline of cells ``column`` (n, 2) in plan [m], with few corners; the largest piece, its holes with it."""
    rows: list[Polygon] = []
    for x in np.unique(column[:, 0]):
        ys = np.sort(column[column[:, 0] == x, 1])
        for run in np.split(ys, np.flatnonzero(np.diff(ys) > 1) + 1):
            low = origin_m + np.array([x, run[0]]) * cell_m
            high = origin_m + np.array([x + 1, run[-1] + 1]) * cell_m
            rows.append(shapely.box(*low, *high))
    whole = _largest(shapely.union_all(rows))
    around = shapely.minimum_rotated_rectangle(whole)
    if whole.area >= OBLONG * around.area:
        return around
    extent = min(whole.bounds[2] - whole.bounds[0], whole.bounds[3] - whole.bounds[1])
    far = max(1.2 * cell_m, SHARE * min(extent, 2.0 * whole.area / whole.length * 2.0))
    holes = [ring for ring in whole.interiors if Polygon(ring).area > (4 * cell_m) ** 2]
    drawn = Polygon(_drawn(whole.exterior, far), [_drawn(ring, far) for ring in holes])
    return _largest(drawn if drawn.is_valid else shapely.make_valid(drawn))


def _largest(shape: shapely.Geometry) -> Polygon:
    parts = [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: (part.area, part.bounds))


def _drawn(ring: shapely.LinearRing, far_m: float) -> np.ndarray:
    """Ring (k, 2) with few corners: sides that round a corner off are gone, and corners that hardly turn."""
    points = np.array(ring.coords[:-1])
    middle = points.mean(axis=0)
    start = int(np.argmax(np.linalg.norm(points - middle, axis=1)))  # a corner, so that no side is cut in two
    points = np.roll(points, -start, axis=0)
    kept = np.array(shapely.simplify(shapely.linestrings(np.vstack([points, points[:1]])), far_m).coords)[:-1]
    short = SHORT * min(np.ptp(kept, axis=0))
    while len(kept) > 3:
        side = np.linalg.norm(np.roll(kept, -1, axis=0) - kept, axis=1)
        turn = np.abs(turns(kept))
        k = int(np.argmin(side))
        if side[k] < short:
            kept[k] = 0.5 * (kept[k] + kept[(k + 1) % len(kept)])
            kept = np.delete(kept, (k + 1) % len(kept), axis=0)
        elif turn.min() < 0.5 * TURN:
            kept = np.delete(kept, int(np.argmin(turn)), axis=0)
        else:
            break
    return kept


def turns(ring: np.ndarray) -> np.ndarray:
    """Angle (k,) by which a ring (k, 2) turns at each of its corners [rad], to the left positive.

    >>> np.degrees(turns(np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]]))).round(6).tolist()
    [90.0, 90.0, 90.0, 90.0]
    """
    into = ring - np.roll(ring, 1, axis=0)
    out = np.roll(ring, -1, axis=0) - ring
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    return np.asarray(np.arctan2(cross, (into * out).sum(axis=1)))


def sides_of(outline: Polygon) -> list[np.ndarray]:
    """Rings (k, 2) of an outline with the region on their left."""
    sided = shapely.geometry.polygon.orient(outline)
    return [np.array(ring.coords[:-1]) for ring in (sided.exterior, *sided.interiors)]


def corners_of(outline: Polygon) -> np.ndarray:
    """Corners (k, 2) at which a region juts out."""
    out = [ring[turns(ring) >= TURN] for ring in sides_of(outline)]
    return np.concatenate([*out, np.zeros((0, 2))])
