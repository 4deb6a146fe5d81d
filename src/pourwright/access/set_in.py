"""What is set into the cavity before a lift and stands in the way of what falls from then on: anchors' inserts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.access import judged
from pourwright.access.past_walls import FARTHEST_M
from pourwright.cavity import Cavity, LevelGraph
from pourwright.irons import Iron, upright_m

LOOKED_M = 0.002
"""Spacing of the points of a line that are held against a thing [m]: its distance is known to a tenth of a millimetre
where that is 5 mm."""


@dataclass(frozen=True, eq=False)
class Before:
    """Things set in, and the number of the lift that each is set before; parts of one thing have one name.

    ``row`` (lifts,) is the number of each row of pours: several rows may be one lift.
    """

    irons: tuple[Iron, ...] = ()
    lift: tuple[float, ...] = ()
    row: tuple[int, ...] = ()

    def at(self, row: int) -> tuple[Iron, ...]:
        """Those that stand while a row of pours is poured."""
        return tuple(iron for iron, first in zip(self.irons, self.lift, strict=True) if first <= self.row[row])


def set_before(
    irons: Sequence[Iron], cavity: Cavity, graph: LevelGraph, rows: Sequence[np.ndarray], numbers: Sequence[int]
) -> Before:
    """Things set in with the first lift that reaches any part of each; of one that no lift reaches it is never.

    Parameters
    ----------
    irons : sequence of Iron
    cavity, graph
    rows : sequence of arrays of int
        Nodes of the pours of each row.
    numbers : sequence of int
        Number of the lift of each row.
    """
    if not irons:
        return Before(row=tuple(numbers))
    first: dict[str, float] = {}
    for iron in irons:
        points = iron.points_m(0.5 * cavity.grid.cell_m)
        at = np.floor((points[iron.away_m(points) <= 0.0] - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
        at = at[((at >= 0) & (at < graph.label.shape)).all(axis=1)]
        nodes = np.unique(graph.label[tuple(at.T)]).astype(int) - 1
        mine = [number for row, number in zip(rows, numbers, strict=True) if np.isin(nodes, row).any()]
        first[iron.name] = min([first.get(iron.name, np.inf), *mine])
    return Before(tuple(irons), tuple(first[iron.name] for iron in irons), tuple(numbers))


def off_things_m(irons: Sequence[Iron], xy_m: np.ndarray, low_m: np.ndarray, high_m: np.ndarray) -> np.ndarray:
    """Distance (n,) of upright lines at ``xy_m`` (n, 2) from the nearest of some things [m], at most `FARTHEST_M`."""
    return upright_m(irons, xy_m, low_m, high_m, LOOKED_M, FARTHEST_M)


def near_any(irons: Sequence[Iron], xy_m: np.ndarray, low_m: np.ndarray, high_m: np.ndarray) -> np.ndarray:
    """Whether anything is nearer to each of many upright lines (n,) than a stream may come to it."""
    out = np.zeros(len(xy_m), bool)
    clear = judged.FALL_CLEAR.value
    for iron in irons:
        corners = iron.corners_m()
        low, high = corners.min(axis=0) - clear, corners.max(axis=0) + clear
        may = np.flatnonzero(
            ((xy_m >= low[:2]) & (xy_m <= high[:2])).all(axis=1) & (low_m < high[2]) & (high_m > low[2])
        )
        z = np.linspace(low[2], high[2], max(2, int(np.ceil((high[2] - low[2]) / clear)) + 1))
        points = np.empty((len(may), len(z), 3))
        points[:, :, :2], points[:, :, 2] = xy_m[may, None], z
        there = (z >= low_m[may, None]) & (z <= high_m[may, None])
        out[may] |= ((iron.away_m(points) < clear) & there).any(axis=1)
    return out
