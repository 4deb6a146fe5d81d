"""How much goes straight through a mouth: a disc, or an end of a core."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from pourwright.shell import Opening, Skin

if TYPE_CHECKING:
    import shapely

ANGLES = 36
"""Ways round in which an end is tried, from 0 to 180 degrees; our judgement."""
FINER = 6
"""How often the best of them is sought on, with half the step each time."""
ALONG = 13
"""Places along each side of what is searched, and ..."""
ROUNDS = 5
"""... how often it is searched again round the best, each time in a quarter of the length."""
STRAIGHTER = (0.0, 5e-4, 1e-3, 2e-3, 5e-3, 0.01)
"""Shares of its size by which the edge of a mouth is drawn straighter, always inwards, until it has ..."""
EDGES = 120
"""... so many edges at most; our judgement."""


def rim_m(opening: Opening, skin: Skin) -> float:
    """The thickest wall round a mouth [m]; 0 where the mesh shows both faces."""
    return float(np.nan_to_num(skin.thickness_of(opening.loop_m)).max())


def clear_m(opening: Opening, wall_m: float = 0.0) -> float:
    """Diameter of the largest disc that lies within a mouth [m], with a wall inside its edge all round; 0: none."""
    import shapely

    shape, _ = _flat(opening)
    return max(0.0, 2.0 * (float(shapely.maximum_inscribed_circle(shape).length) - wall_m))


def _flat(opening: Opening) -> tuple[shapely.Polygon, float]:
    """A mouth in its own plane, and its larger extent."""
    import shapely

    u = np.cross(opening.normal, np.eye(3)[int(np.argmin(np.abs(opening.normal)))])
    u = u / np.linalg.norm(u)
    flat = (opening.loop_m - opening.centroid_m) @ np.stack([u, np.cross(opening.normal, u)]).T
    return shapely.make_valid(shapely.Polygon(flat)), float(np.ptp(flat, axis=0).max())


def end_across_m(opening: Opening, wall_m: float, end_m: tuple[float, float]) -> float:
    """Diagonal of the largest end of one shape that lies flat within a mouth, any way round [m]; 0: none.

    It is sought in steps and may be found up to 2 % too small.

    Parameters
    ----------
    opening : Opening
    wall_m : float
        A wall inside its edge all round.
    end_m : tuple of two float
        Sides of an end of that shape; it is made larger or smaller.
    """
    import shapely  # slow to load, and most plans have no cores

    shape, size = _flat(opening)
    clear = shape
    for slack in size * np.array(STRAIGHTER):
        clear = shapely.buffer(shapely.simplify(shape, slack), -(wall_m + slack), join_style="mitre")
        if shapely.get_num_coordinates(clear) <= EDGES:
            break
    parts = [part for part in shapely.get_parts(clear) if part.geom_type == "Polygon" and part.area > 0.0]
    return math.hypot(*end_m) * max((_times(part, end_m) for part in parts), default=0.0)


def _times(clear: shapely.Polygon, end_m: tuple[float, float]) -> float:
    """How many times as large an end fits: with its sides as units it is a square, twice what is clear of its middle.

    The longest edge is the best way round in a slot; the best of all is sought on in ever smaller steps.
    """
    import shapely

    shapely.prepare(clear)
    rings = [np.asarray(ring.coords) for ring in (clear.exterior, *clear.interiors)]
    low, high = np.asarray(clear.bounds).reshape(2, 2)

    def clear_at(angle: float, best: float) -> float:
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]]) / np.array(end_m)
        a, b = (np.concatenate([ring[part] @ turn for ring in rings]) for part in (slice(None, -1), slice(1, None)))
        return _most_clear(clear, turn, (a, b), (low, high), best)

    side = np.diff(rings[0], axis=0)
    angle = math.atan2(*side[np.argmax((side**2).sum(axis=1))][::-1])
    step, best = math.pi / ANGLES, clear_at(angle, 0.0)
    tried = [angle + k * step for k in range(1, ANGLES)]
    for _ in range(FINER):
        for one in tried:
            found = clear_at(one, best)
            if found > best:
                angle, best = one, found
        step *= 0.5
        tried = [angle - step, angle + step]
    return 2.0 * best


def _most_clear(
    clear: shapely.Polygon,
    turn: np.ndarray,
    edges: tuple[np.ndarray, np.ndarray],
    box: tuple[np.ndarray, np.ndarray],
    best: float,
) -> float:
    """Of any place; it is given up where it cannot reach the ``best`` of other ways round."""
    import shapely

    low, high = box
    found = 0.0
    for _ in range(ROUNDS):
        x, y = np.meshgrid(*np.linspace(low, high, ALONG).T)
        points = np.column_stack([x.ravel(), y.ravel()])
        points = points[shapely.contains_xy(clear, points[:, 0], points[:, 1])]
        if not len(points):
            break
        far = _square_distance(points @ turn, *edges)
        at = int(far.argmax())
        found = max(found, float(far[at]))
        step = np.abs((high - low)[:, None] * turn).sum(axis=0).max() / (ALONG - 1)
        if found + step < best:
            break
        half = 0.125 * (high - low)
        low, high = points[at] - half, points[at] + half
    return found


def _square_distance(points: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Least of the larger of both distances (n,) from points (n, 2) to edges from ``a`` to ``b`` (m, 2).

    Along an edge that larger one is least at an end, where one of both is zero, or where they are equal.
    """
    start, way = a[None] - points[:, None], (b - a)[None]
    with np.errstate(divide="ignore", invalid="ignore"):
        stops = [
            -start[..., 0] / way[..., 0], -start[..., 1] / way[..., 1],
            -(start[..., 0] - start[..., 1]) / (way[..., 0] - way[..., 1]),
            -(start[..., 0] + start[..., 1]) / (way[..., 0] + way[..., 1]),
        ]  # fmt: skip
    least = np.full(start.shape[:2], np.inf)
    for stop in (np.zeros(start.shape[:2]), np.ones(start.shape[:2]), *stops):
        there = np.clip(np.nan_to_num(stop, nan=0.0, posinf=0.0, neginf=0.0), 0.0, 1.0)[..., None]
        least = np.minimum(least, np.abs(start + there * way).max(axis=2))
    return np.asarray(least.min(axis=1))
