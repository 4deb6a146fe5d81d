"""Holes cut in the side of a limb, at the height where a pour needs one, for a funnel with a bent spout."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pourwright.access import judged
from pourwright.access.hole_room import label_at, outward
from pourwright.cavity import Cavity, ColumnMap, Grid, LevelGraph, nearest_skin_point
from pourwright.shell import Skin

AROUND = 24
"""Directions in which a limb is looked at from its middle; our judgement."""
HIGHER_M = (0.0, 0.10, 0.20)
"""So much [m] over the lowest place clear of the pour's foam is looked too: one hole may serve more pours; our
judgement."""


@dataclass(frozen=True, eq=False)
class SidePlaces:
    """Places on the side of limbs. ``run`` (k,) the run of cells that the spout ends over, of the column map."""

    point_m: np.ndarray  # (k, 3) on the skin, shell axes
    normal: np.ndarray  # (k, 3) outward, standing
    run: np.ndarray
    level: np.ndarray  # (k,) of the spout


def side_places(
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    columns: ColumnMap,
    asked: Iterable[tuple[np.ndarray, int]],
    hole_m: float,
) -> SidePlaces:
    """Where a hole could be cut in the side of a limb above pours.

    Parameters
    ----------
    skin, cavity, graph, columns
    asked : iterable of (runs, top)
        For each pour the runs of cells that lead down to it, and the level over its top.
    hole_m : float
        Diameter of the hole.

    Returns
    -------
    SidePlaces
        Its normals are level within `judged.SIDEWAYS`, and nothing of the cavity is near in front of them. Sides, rooms
        and regions kept free of holes are not looked at here.
    """
    cell, xy = cavity.grid.cell_m, columns.column
    half = math.ceil((0.5 * hole_m + cell) / cell)
    edge: list[np.ndarray] = []
    spots: list[tuple[np.ndarray, int]] = []
    for runs, top in asked:
        highest = int(columns.high[runs].max()) - half
        levels = {top + half + round(more / cell) for more in HIGHER_M} | {highest}
        for at in sorted(one for one in levels if columns.low[runs].min() < one <= highest):
            over = runs[(columns.low[runs] <= at) & (columns.high[runs] > at)]
            found = _outermost(xy[over])
            edge += [np.array([*xy[over][k], at]) for k in found]
            spots += [(over, at)] * len(found)
    if not edge:
        return SidePlaces(np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0, np.int64), np.zeros(0, np.int64))
    cells = np.unique(np.array(edge), axis=0, return_index=True)[1]
    middle = cavity.grid.centres(np.array(edge)[cells])
    points, face, away = nearest_skin_point(skin, cavity.frame.to_shell(middle))
    normal = outward(skin, face) @ cavity.frame.rotation.T
    wall = np.nan_to_num(skin.thickness_of(points), nan=cell)
    good = (np.abs(normal[:, 2]) < judged.SIDEWAYS.value) & (away <= wall + 2.5 * cell)
    good &= ~_shut_in(cavity, graph, cavity.frame.to_standing(points), normal)
    run, level = np.zeros(len(cells), np.int64), np.zeros(len(cells), np.int64)
    for k, number in enumerate(cells.tolist()):
        over, level[k] = spots[number]
        level_normal = normal[k, :2] / max(float(np.linalg.norm(normal[k, :2])), 1e-9)
        inside = middle[k, :2] - judged.SPOUT.value * level_normal
        run[k] = over[int(np.argmin(((cavity.grid.origin_m[:2] + (xy[over] + 0.5) * cell - inside) ** 2).sum(axis=1)))]
    return SidePlaces(points[good], normal[good], run[good], level[good])


def _outermost(xy: np.ndarray) -> list[int]:
    """Rows of columns (n, 2) that lie outermost in `AROUND` directions."""
    if not len(xy):
        return []
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND
    ways = np.column_stack([np.cos(turn), np.sin(turn)])
    off = xy - xy.mean(axis=0)
    aside = np.abs(off @ np.column_stack([-ways[:, 1], ways[:, 0]]).T)
    along = np.where(aside <= 1.0, off @ ways.T, -np.inf)  # on the ray from the middle
    return sorted({int(np.argmax(along[:, k])) for k in range(AROUND) if np.isfinite(along[:, k]).any()})


def _shut_in(cavity: Cavity, graph: LevelGraph, points: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Whether another part of the piece is near in front of each place (k,)."""
    cell = cavity.grid.cell_m
    steps = np.arange(2.0 * cell, judged.BESIDE.value, cell)
    ahead = points[:, None] + steps[None, :, None] * normal[:, None]
    return np.asarray((label_at(ahead, cavity, graph) > 0).any(axis=1))


def spout_run(
    cavity: Cavity, columns: ColumnMap, point_m: np.ndarray, normal: np.ndarray, wall_m: float
) -> tuple[int, int]:
    """Run under the spout in a hole cut sideways at a place on the skin (shell axes), and its level; -1: none."""
    cell = cavity.grid.cell_m
    standing = cavity.frame.to_standing(point_m)
    inward = -normal[:2] / max(float(np.linalg.norm(normal[:2])), 1e-9)
    for reach in (judged.SPOUT.value, 0.5 * judged.SPOUT.value, cell, 2.0 * cell):
        at = standing + np.append(inward * (wall_m + reach), 0.0)
        index = np.floor((at - cavity.grid.origin_m) / cell).astype(np.int64)
        if ((index < 0) | (index >= cavity.grid.shape)).any():
            continue
        run = int(columns.run_of(index[None])[0])
        if run >= 0:
            return run, int(index[2])
    return -1, -1


def side_edge(height_m: np.ndarray, hole_m: np.ndarray, upward: np.ndarray) -> np.ndarray:
    """Lowest edge [m] of holes cut square to skin whose normals have an upward part ``upward``.

    >>> float(side_edge(np.array([1.0]), np.array([0.04]), np.array([0.0]))[0])
    0.98
    """
    return height_m - 0.5 * hole_m * np.sqrt(1.0 - np.clip(upward, -1.0, 1.0) ** 2)


def served_from(serves: np.ndarray, level: np.ndarray, low_m: np.ndarray, grid: Grid) -> np.ndarray:
    """``serves`` (m, lifts), -1 where the floor (``level``) is not under the lowest edge ``low_m`` (m,) of the hole."""
    under = grid.origin_m[2] + level * grid.cell_m < low_m[:, None]
    return np.where(under, serves, -1)
