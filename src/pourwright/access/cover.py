"""Vents under a level ceiling: where they are due, and what air stays where none is near."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import KDTree

from pourwright.access.ceilings import Ceiling
from pourwright.access.judged import AIR_REACH, CORNER_NEAR, HOLE_EDGE, UNEVEN

MOST = 24
"""Vents of one ceiling at most; our judgement."""


@dataclass(frozen=True, eq=False)
class Cover:
    """What vents empty of a ceiling: corners and spots that none is near, and the air left there."""

    corner: np.ndarray  # (k,) bool, of the ceiling's corners: no vent near
    spot: np.ndarray  # (n,) bool, of its spots: air stays
    air_m3: float


def places_on(ceiling: Ceiling, hole_m: float, allowed: np.ndarray) -> np.ndarray:
    """Where vents are due under a ceiling: near each corner, and wherever air would have to go too far.

    Parameters
    ----------
    ceiling : Ceiling
    hole_m : float
        Diameter that there must be room for beside the walls.
    allowed : array (n,) bool
        Spots of the ceiling over which a hole may be.

    Returns
    -------
    places : ndarray (v,) int
        Spots of the ceiling, corners first.
    """
    plan = ceiling.spots_m[:, :2]
    off = shapely.distance(shapely.points(plan), ceiling.outline.boundary)
    inside = shapely.contains_xy(ceiling.outline, plan[:, 0], plan[:, 1])
    due = 0.5 * hole_m + HOLE_EDGE.value
    roomy = inside & (off >= min(due, 0.9 * float(np.max(np.where(inside, off, 0.0)))))
    free = np.flatnonzero(roomy & allowed) if (roomy & allowed).any() else np.flatnonzero(allowed)
    if not len(free):
        return np.zeros(0, np.int64)
    tree = KDTree(plan[free])
    out = np.flatnonzero(ceiling.ways_out)
    places: list[int] = []
    for corner in ceiling.corners_m[~_by_itself(ceiling), :2]:
        far, near = tree.query(corner)
        if far <= 2.0 * CORNER_NEAR.value and int(free[near]) not in places:
            places.append(int(free[near]))
    if not places and not len(out):
        crown = np.linalg.norm(ceiling.spots_m[free] - ceiling.crown_m, axis=1)
        places.append(int(free[int(np.argmin(crown))]))
    ways = _ways(ceiling)
    while len(places) < MOST:
        way = dijkstra(ways, directed=False, indices=[*places, *out], min_only=True)
        far = np.where(np.isfinite(way), way, 0.0)
        if far.max() <= AIR_REACH.value:
            break
        can = free[np.argmin(np.linalg.norm(plan[free] - plan[int(np.argmax(far))], axis=1))]
        if int(can) in places:
            break
        places.append(int(can))
    return np.array(places, np.int64)


def cover_of(ceiling: Ceiling, vents_m: np.ndarray) -> Cover:
    """What vents at ``vents_m`` (v, 3), standing, all of them over it, empty of a ceiling, with its own ways out."""
    plan, cell = ceiling.spots_m[:, :2], ceiling.cell_m
    vents = np.reshape(vents_m, (-1, 3))[:, :2]
    near = KDTree(plan).query(vents)[1] if len(vents) else np.zeros(0, np.int64)
    mine = np.concatenate([near, np.flatnonzero(ceiling.ways_out)])
    if not len(mine):
        return Cover(np.ones(len(ceiling.corners_m), bool), np.ones(len(plan), bool), ceiling.area_m2 * UNEVEN.value)
    way = dijkstra(_ways(ceiling), directed=False, indices=mine, min_only=True)
    left = ~(way <= AIR_REACH.value + 2.0 * cell)
    corner = np.array(
        [np.linalg.norm(plan[mine] - at, axis=1).min() > CORNER_NEAR.value for at in ceiling.corners_m[:, :2]], bool
    )
    for at in ceiling.corners_m[corner, :2]:
        left |= np.linalg.norm(plan - at, axis=1) <= CORNER_NEAR.value
    return Cover(corner, left, float(left.sum()) * cell**2 * UNEVEN.value)


def _by_itself(ceiling: Ceiling) -> np.ndarray:
    """Corners (k,) bool that air leaves by itself: beside a way out."""
    out = ceiling.spots_m[ceiling.ways_out, :2]
    if not len(out):
        return np.zeros(len(ceiling.corners_m), bool)
    return np.asarray(KDTree(out).query(ceiling.corners_m[:, :2])[0] <= CORNER_NEAR.value)


def _ways(ceiling: Ceiling) -> coo_array:
    """Steps from spot to spot along the ceiling [m], slantwise too."""
    plan = ceiling.spots_m[:, :2]
    pair = KDTree(plan).query_pairs(1.5 * ceiling.cell_m, output_type="ndarray")
    step = np.linalg.norm(plan[pair[:, 0]] - plan[pair[:, 1]], axis=1)
    return coo_array((step, (pair[:, 0], pair[:, 1])), shape=(len(plan), len(plan))).tocsr()
