"""A coarse look at a cavity along one direction: its pools, its pockets and how many lifts it would take.

Columns of filled runs are all that is kept, so that hundreds of directions are seen in seconds. The answers are those
of the level graph on the same cells: a pool ends where two runs that touch are both there, at the higher of their feet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity.frame import PourFrame, pour_frame
from pourwright.cavity.looks._runs import (
    fewest_bands,
    filled_runs,
    swept,
    touching_runs,
    turned_points,
    without_stray,
)
from pourwright.progress import Progress, silent

FRONT = np.array([0.0, -1.0, 0.0])
STRAY_CELLS = 64


@dataclass(frozen=True, eq=False)
class Ends:
    """Pools or pockets, deepest first. Read-only arrays."""

    depth_m: np.ndarray  # (k,) up to where it joins a deeper one; of an eldest, the height of its piece
    essential: np.ndarray  # (k,) bool: eldest of its connected piece
    point_m: np.ndarray  # (k, 3) its lowest (pool) or highest (pocket) spot, in the surface's axes

    def __len__(self) -> int:
        return len(self.depth_m)


@dataclass(frozen=True, eq=False)
class CoarseSweep:
    """What is seen along one direction."""

    up: np.ndarray  # (3,) unit, in the surface's axes
    height_m: float  # of the cavity
    volume_m3: float
    pools: Ends
    pockets: Ends
    lifts: int  # fewest bands that keep thickness and volume of a pour
    thickest_m: float  # of those bands


def coarse_sweep(
    vertices_m: np.ndarray,
    faces: np.ndarray,
    up: np.ndarray,
    *,
    cell_m: float,
    ripple_m: float,
    lift_m: float,
    pour_m3: float,
) -> CoarseSweep:
    """Look at a closed surface along one direction.

    Parameters
    ----------
    vertices_m, faces : ndarray (n, 3) and (m, 3)
        The surface of the cavity, wound outwards.
    up : ndarray (3,)
        Which way is up; any length above zero.
    cell_m : float
        Pitch of the columns and height of a level [m].
    ripple_m : float
        Pools and pockets not deeper than this are left out, except the eldest of each piece [m].
    lift_m : float
        Thickest lift [m].
    pour_m3 : float
        Most foam of one connected piece of a lift [m3].

    Returns
    -------
    CoarseSweep
        Pieces of fewer than 64 cells are stray voids and left out. Heights are right to a cell.

    Examples
    --------
    A box 0.3 m tall in lifts of 0.1 m:

    >>> import trimesh
    >>> box = trimesh.creation.box((0.2, 0.2, 0.3))
    >>> limits = {"cell_m": 0.01, "ripple_m": 0.03, "lift_m": 0.1, "pour_m3": 1.0}
    >>> seen = coarse_sweep(box.vertices, box.faces, np.array([0, 0, 1.0]), **limits)
    >>> len(seen.pools), len(seen.pockets), seen.lifts, round(seen.volume_m3, 4)
    (1, 1, 3, 0.012)
    """
    corners = np.asarray(vertices_m, float)
    turn = pour_frame(np.zeros((1, 3)), up, FRONT).rotation
    turned, offset, size = turned_points(corners, turn)
    frame = PourFrame(turn, offset, size)
    shape = np.ceil(size / cell_m - 1e-9).astype(int) + 2
    origin = 0.5 * (size - shape * cell_m)
    origin[2] = 0.0
    cells = (turned - (offset + origin)) / cell_m - 0.5
    start, low, high = filled_runs(cells, np.asarray(faces, np.int64), (int(shape[0]), int(shape[1])))
    touching = touching_runs(start, low, high, int(shape[0]), int(shape[1]))
    column = np.repeat(np.arange(len(start) - 1), np.diff(start))
    low, high, touching, column, piece = without_stray(low, high, touching, column, STRAY_CELLS)
    levels = int(high.max(initial=0))

    def spot(run: np.ndarray, level: np.ndarray) -> np.ndarray:
        index = np.column_stack([column[run] // shape[1], column[run] % shape[1]])
        xy = origin[:2] + (index + 0.5) * cell_m
        return frame.to_shell(np.column_stack([xy, (level + 0.5) * cell_m]))

    top = np.full(len(low), -1)
    np.maximum.at(top, piece, high)
    foot = np.full(len(low), levels + 1)
    np.minimum.at(foot, piece, low)
    tall = (top - foot)[piece]
    births, depth, essential = _ends(low, touching, tall, ripple_m / cell_m)
    pools = _frozen(depth * cell_m, essential, spot(births, low[births]))
    births, depth, essential = _ends(-high, touching, tall, ripple_m / cell_m)
    pockets = _frozen(depth * cell_m, essential, spot(births, high[births] - 1))
    most = max(1, math.floor(lift_m / cell_m + 1e-9)) if math.isfinite(lift_m) else levels
    lifts, thickest = fewest_bands(low, high, touching, levels, most, pour_m3 / cell_m**3) if len(low) else (0, 0)
    bottom = int(low.min(initial=levels))
    return CoarseSweep(
        frame.up, (levels - bottom) * cell_m, float((high - low).sum()) * cell_m**3, pools, pockets, lifts,
        thickest * cell_m,
    )  # fmt: skip


def coarse_sweeps(
    vertices_m: np.ndarray,
    faces: np.ndarray,
    ups: np.ndarray,
    *,
    cell_m: float,
    ripple_m: float,
    lift_m: float,
    pour_m3: float,
    progress: Progress = silent,
) -> list[CoarseSweep]:
    """`coarse_sweep` along every direction of ``ups`` (k, 3), shared between threads; the order is that of ``ups``."""

    def look(a: int, b: int) -> list[CoarseSweep]:
        return [
            coarse_sweep(vertices_m, faces, up, cell_m=cell_m, ripple_m=ripple_m, lift_m=lift_m, pour_m3=pour_m3)
            for up in ups[a:b]
        ]

    parts = run_spans(look, spans(len(ups), 4), lambda done: progress("directions", done))
    return [one for part in parts for one in part]


def _ends(
    value: np.ndarray, touching: np.ndarray, tall: np.ndarray, ripple: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Births, depths and eldest of the pools of runs whose feet are at ``value``; pockets with the roofs negated."""
    if not len(value):
        return np.zeros(0, np.int64), np.zeros(0), np.zeros(0, bool)
    births, ends = swept(value, touching)
    essential = ends < 0
    depth = np.where(essential, tall[births], value[np.maximum(ends, 0)] - value[births])
    keep = np.flatnonzero(essential | (depth > ripple))
    keep = keep[np.lexsort((births[keep], -depth[keep]))]
    return births[keep], depth[keep].astype(float), essential[keep]


def _frozen(depth: np.ndarray, essential: np.ndarray, point: np.ndarray) -> Ends:
    for array in (depth, essential, point):
        array.setflags(write=False)
    return Ends(depth, essential, point)
