"""Where a hollow is opened: for the hose, for water that gathers in it, for air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.cavity import Cavity, nearest_skin_point
from pourwright.lining.chambers import Solids
from pourwright.lining.surface import Inside
from pourwright.shell import Skin

NEAR_TOP = 0.15
"""Share of a hollow's height that counts as its top or bottom, where the shortest way out is taken; our judgement."""
REACH_CELLS = 4.0
"""A hollow that ends no more cells from a board reaches up to it: cut cells and rounding at each end; our judgement."""


@dataclass(frozen=True, eq=False)
class Hole:
    """A hole into a hollow. Shell file's axes."""

    use: str  # "hose" | "drain" | "breather"
    hollow: int  # which, from 1
    point_m: np.ndarray  # (3,) on the outside of the skin, or of the board
    deep_m: float  # from there to the hollow
    board: bool  # through the board of a mouth: nothing is drilled


def holes_of(skin: Skin, cavity: Cavity, solids: Solids, inside: Inside, up: np.ndarray) -> tuple[Hole, ...]:
    """A hole for the hose, a drain and a breather for each hollow.

    Parameters
    ----------
    up : ndarray (3,)
        Which way is up when the piece hangs or stands at last, shell axes; the hose goes in at the top as it is filled.
    """
    out = []
    reach_m = REACH_CELLS * cavity.grid.cell_m
    boards = boards_of(inside)
    for n, _ in enumerate(solids.chambers, start=1):
        cells = np.argwhere(solids.chamber == n)
        points = cavity.frame.to_shell(cavity.grid.centres(cells))
        out.append(
            _through_board(n, points, boards, cavity.frame.up, reach_m) or _hose(n, skin, points, cavity.frame.up)
        )
        for use, way in (("breather", up), ("drain", -up)):
            height = points @ way
            out.append(_drilled(use, n, skin, points[height >= height.max() - 1e-9]))
    return tuple(out)


def boards_of(inside: Inside) -> list[np.ndarray]:
    """The middle (3,) of each board that closes a mouth of what is lined, on it."""
    at = np.flatnonzero(~inside.counts)
    place = np.full(len(inside.counts), -1)
    place[at] = np.arange(len(at))
    rows, sides = np.nonzero(inside.around[at] >= 0)
    other = place[inside.around[at[rows], sides]]
    keep = other >= 0
    links = coo_array((np.ones(keep.sum()), (rows[keep], other[keep])), (len(at), len(at)))
    count, name = connected_components(links, directed=False)
    out = []
    for k in range(count):
        middles = inside.middle_m[at[name == k]]
        out.append(middles[np.argmin(np.linalg.norm(middles - middles.mean(axis=0), axis=1))])
    return out


def _through_board(n: int, points: np.ndarray, boards: list[np.ndarray], up: np.ndarray, reach_m: float) -> Hole | None:
    """The hose through the highest board that this hollow reaches up to."""
    deep = [float(np.linalg.norm(points - board, axis=1).min()) for board in boards]
    near = [k for k, far in enumerate(deep) if far <= reach_m]
    if not near:
        return None
    best = max(near, key=lambda k: float(boards[k] @ up))
    return Hole("hose", n, boards[best], deep[best], True)


def _hose(n: int, skin: Skin, points: np.ndarray, up: np.ndarray) -> Hole:
    """The shortest way in near the top."""
    height = points @ up
    near = points[height >= height.max() - NEAR_TOP * float(np.ptp(height)) - 1e-9]
    feet, _, far = nearest_skin_point(skin, near)
    at = int(np.argmin(far))
    return Hole("hose", n, feet[at], float(far[at]), False)


def _drilled(use: str, n: int, skin: Skin, ends: np.ndarray) -> Hole:
    """From the middle of the ends of a hollow the shortest way out."""
    feet, _, far = nearest_skin_point(skin, ends)
    at = int(np.argmin(np.linalg.norm(ends - ends.mean(axis=0), axis=1)))
    return Hole(use, n, feet[at], float(far[at]), False)
