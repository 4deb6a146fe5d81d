"""Where a hollow is opened: for the hose, for water that gathers in it, for air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity, nearest_skin_point
from pourwright.lining.chambers import Solids
from pourwright.lining.surface import Inside
from pourwright.shell import Skin

NEAR_TOP = 0.15
"""Share of a hollow's height that counts as its top or bottom, where the shortest way out is taken; our judgement."""
REACH_CELLS = 4.0
"""A hollow that ends no more cells from a board reaches up to it."""


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
    for n, _ in enumerate(solids.chambers, start=1):
        cells = np.argwhere(solids.chamber == n)
        points = cavity.frame.to_shell(cavity.grid.centres(cells))
        for use, way in (("hose", cavity.frame.up), ("breather", up), ("drain", -up)):
            out.append(_hole(use, n, skin, points, way, reach_m, inside if use == "hose" else None))
    return tuple(out)


def _hole(
    use: str, n: int, skin: Skin, points: np.ndarray, way: np.ndarray, reach_m: float, inside: Inside | None
) -> Hole:
    """The way out of what lies farthest along ``way``; a hose rather goes through a board, else the shortest way."""
    height = points @ way
    low, high = float(height.min()), float(height.max())
    share = NEAR_TOP if use == "hose" else 0.0
    near = points[height >= high - max(share * (high - low), 1e-9)]
    if inside is not None and (~inside.counts).any():
        boards = inside.middle_m[~inside.counts]
        at = int(np.argmin(np.linalg.norm(boards - boards.mean(axis=0), axis=1)))
        deep = float(np.linalg.norm(points - boards[at], axis=1).min())
        if deep <= reach_m:
            return Hole(use, n, boards[at], deep, True)
    feet, _, far = nearest_skin_point(skin, near)
    middle = np.linalg.norm(near - near.mean(axis=0), axis=1)
    at = int(np.argmin(far if use == "hose" else middle))
    return Hole(use, n, feet[at], float(far[at]), False)
