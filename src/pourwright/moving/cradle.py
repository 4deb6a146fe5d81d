"""What the piece lies on, and whether it lies there whatever it weighs."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from pourwright.findings import Code, Finding, finding
from pourwright.moving.model import Chock
from pourwright.outcome import Moving, Piece
from pourwright.ranges import Range

UNKNOWN = Range(math.nan, math.nan, math.nan)


def cradle(piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray) -> tuple[tuple[Chock, ...], Range]:
    """The chocks with their loads, and how far inside them the centre of mass lies (below nothing: beside them).

    Loads are known only where the piece lies on its chocks at every corner (c,) of its weights.
    """
    if not asked.cradle:
        return (), UNKNOWN
    at = np.array([spot.standing(piece.frame) for spot in asked.cradle])[:, :2]
    inside = inside_of(at, centres[:, :2])
    margin = Range(float(inside.min()), float(inside[0]), float(inside.max()))
    shares = chock_shares(at, centres[:, :2])
    if margin.low < 0.0 or np.isnan(shares).all(axis=(1, 2)).any():
        return tuple(Chock(UNKNOWN, math.nan) for _ in at), margin
    out = []
    for k in range(len(at)):
        load = shares[:, :, k] * weights[:, None]
        nominal = float(np.nanmean(load[0]))
        value = Range(float(min(np.nanmin(load), nominal)), nominal, float(max(np.nanmax(load), nominal)))
        out.append(Chock(value, value.high / asked.pad_m**2))
    return tuple(out), margin


def inside_of(at: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """How far (c,) inside what the chocks at (n, 2) span the centres (c, 2) lie; outside below nothing.

    Of two chocks, and of more in one line, along that line.

    >>> inside_of(np.array([[0.0, 0], [4, 0], [0, 4]]), np.array([[1.0, 1.0], [-0.5, 1.0]])).tolist()
    [1.0, -0.5]
    """
    import shapely  # slow to load

    hull = shapely.MultiPoint(at).convex_hull
    if hull.area > 0.0:
        points = shapely.points(centres)
        edge = shapely.distance(shapely.boundary(hull), points)
        return np.where(shapely.covers(hull, points), edge, -edge)
    way = at[1:] - at[0]
    way = way[np.linalg.norm(way, axis=1).argmax()]
    along, ends = (centres - at[0]) @ way / np.linalg.norm(way), (at - at[0]) @ way / np.linalg.norm(way)
    return np.asarray(np.minimum(along - ends.min(), ends.max() - along))


def tipping(inside: Range) -> tuple[Finding, ...]:
    """What there is to tell of a centre of mass beside the chocks."""
    if not inside.low < 0.0:
        return ()
    return (finding(Code.TIPS_ON_CRADLE, inside_m=inside.nominal, low_m=inside.low),)


def chock_shares(at: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """Shares (c, sets, n) of the weight on chocks at (n, 2) with the centre of mass above (c, 2).

    Two chocks: by the lever along their line. Three and more: every three of them that bear it without pulling; nan
    where a set does not.

    >>> chock_shares(np.array([[0.0, 0], [1, 0], [0, 1]]), np.array([[0.25, 0.25]])).tolist()
    [[[0.5, 0.25, 0.25]]]
    """
    n = len(at)
    if n == 2:
        way = at[1] - at[0]
        share = (centres - at[0]) @ way / float(way @ way)
        whole = np.column_stack([1.0 - share, share])[:, None]
        whole[(share < 0.0) | (share > 1.0)] = np.nan
        return np.asarray(whole)
    sets = list(combinations(range(n), 3))
    out = np.full((len(centres), len(sets), n), np.nan)
    for number, chosen in enumerate(sets):
        matrix = np.vstack([np.ones(3), at[list(chosen)].T])
        if abs(float(np.linalg.det(matrix))) < 1e-9:
            continue
        found = np.linalg.solve(matrix, np.column_stack([np.ones(len(centres)), centres]).T).T
        good = (found >= -1e-9).all(axis=1)
        rows = np.zeros((len(centres), n))
        rows[:, list(chosen)] = found
        out[good, number] = rows[good]
    return out
