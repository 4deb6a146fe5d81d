"""What the piece lies on, and whether it lies there whatever it weighs."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np

from pourwright.errors import UsageError, in_words
from pourwright.findings import Code, Finding, finding
from pourwright.moving.model import LEAST_M, Chock
from pourwright.outcome import Moving, Piece
from pourwright.ranges import Range

UNKNOWN = Range(math.nan, math.nan, math.nan)


def cradle(piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray) -> tuple[tuple[Chock, ...], Range]:
    """The chocks with their loads, and how far inside them the centre of mass lies (below nothing: beside them).

    Loads are known only where the piece lies on its chocks at every corner (c,) of its weights.

    Raises
    ------
    UsageError
        The chocks are all in one place.
    """
    if not asked.cradle:
        return (), UNKNOWN
    at = np.array([spot.standing(piece.frame) for spot in asked.cradle])[:, :2]
    apart = float(np.linalg.norm(at[:, None] - at[None], axis=2).max())
    if apart < LEAST_M:
        raise UsageError(
            f"moving.cradle: its chocks are all within {in_words(apart)} seen from above: give two at least "
            f"{in_words(LEAST_M)} apart"
        )
    inside = inside_of(at, centres[:, :2], 0.5 * asked.pad_m)
    margin = Range.of_rows(inside)
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


def in_line(at: np.ndarray) -> bool:
    """Whether chocks at (n, 2) are in one line, as two always are.

    >>> in_line(np.array([[0.1, 0.1], [0.3, 0.2], [0.7, 0.4]])), in_line(np.array([[0.1, 0.1], [0.3, 0.2], [0.7, 0.5]]))
    (True, False)
    """
    size = np.linalg.svd(at - at.mean(axis=0), compute_uv=False)
    return bool(size[1] <= 1e-6 * size[0])


def inside_of(at: np.ndarray, centres: np.ndarray, half_pad_m: float) -> np.ndarray:
    """How far (c,) inside what the chocks at (n, 2) span the centres (c, 2) lie; outside below nothing.

    Chocks in one line span that line, and across it no more than their pads are wide.

    >>> inside_of(np.array([[0.0, 0], [4, 0], [0, 4]]), np.array([[1.0, 1.0], [-0.5, 1.0]]), 0.05).tolist()
    [1.0, -0.5]
    >>> inside_of(np.array([[0.0, 0], [1, 0], [4, 0]]), np.array([[1.0, 0.0], [1.0, 0.25]]), 0.05).round(9).tolist()
    [0.05, -0.2]
    """
    import shapely  # slow to load

    if not in_line(at):
        hull = shapely.MultiPoint(at).convex_hull
        points = shapely.points(centres)
        edge = shapely.distance(shapely.boundary(hull), points)
        return np.where(shapely.covers(hull, points), edge, -edge)
    along, beside, ends = _by_line(at, centres)
    inside = np.minimum(along - ends.min(), ends.max() - along)
    return np.asarray(np.minimum(inside, half_pad_m - np.abs(beside)))


def _by_line(at: np.ndarray, centres: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Centres along and beside the line of the chocks, and the chocks along it."""
    way = np.linalg.svd(at - at.mean(axis=0))[2][0]
    arms = centres - at[0]
    return arms @ way, arms @ np.array([-way[1], way[0]]), (at - at[0]) @ way


def tipping(inside: Range) -> tuple[Finding, ...]:
    """What there is to tell of a centre of mass beside the chocks."""
    if not inside.low < 0.0:
        return ()
    return (finding(Code.TIPS_ON_CRADLE, inside_m=inside.nominal, low_m=inside.low),)


def chock_shares(at: np.ndarray, centres: np.ndarray) -> np.ndarray:
    """Shares (c, sets, n) of the weight on chocks at (n, 2) with the centre of mass above (c, 2).

    Chocks in one line: every two of them, by the lever along it. Else every three that are not in one line. Nan where
    a set does not bear it without pulling.

    >>> chock_shares(np.array([[0.0, 0], [1, 0], [0, 1]]), np.array([[0.25, 0.25]])).tolist()
    [[[0.5, 0.25, 0.25]]]
    >>> chock_shares(np.array([[0.0, 0], [4, 0]]), np.array([[1.0, 0.0]])).tolist()
    [[[0.75, 0.25]]]
    """
    if in_line(at):
        along, _, places = _by_line(at, centres)
        rows, due = places[None], along[None]
    else:
        rows, due = at.T, centres.T
    n, size = len(at), len(rows) + 1
    sets = list(combinations(range(n), size))
    out = np.full((len(centres), len(sets), n), np.nan)
    for number, chosen in enumerate(sets):
        matrix = np.vstack([np.ones(size), rows[:, list(chosen)]])
        if size == 3 and in_line(at[list(chosen)]):
            continue
        if size == 2 and abs(matrix[1, 1] - matrix[1, 0]) < 1e-6:
            continue
        found = np.linalg.solve(matrix, np.vstack([np.ones(len(centres)), due])).T
        good = (found >= -1e-9).all(axis=1)
        shared = np.zeros((len(centres), n))
        shared[:, list(chosen)] = found
        out[good, number] = shared[good]
    return out
