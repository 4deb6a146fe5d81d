"""The foam of each lift, or any part of the cavity, as it is seen through the skin: the skin itself, cut level."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from pourwright.draw.bodies import Surface
from pourwright.plan import Plan

NEAR_CELLS = 3.0
"""Skin farther than this and its wall from the foam has none behind it."""


def lift_skins(plan: Plan) -> list[Surface]:
    """Triangles of the skin with each lift's foam behind them, cut where lifts begin and end."""
    return cut_skins(plan, _cuts(plan), lambda height: _rows_of_nodes(plan, height), len(plan.lift_plan.lifts))


def part_skins(plan: Plan, part: np.ndarray, count: int) -> list[Surface]:
    """Triangles of the skin with each part of the cavity behind them.

    Parameters
    ----------
    plan : Plan
    part : ndarray (nodes,)
        Which of ``count`` parts each node of the level graph is of; -1 for none.
    """
    level, cuts = plan.graph.node_level, plan.graph.level_m
    ends = {float(cuts[0]), float(cuts[-1])}
    for k in range(count):
        mine = level[part == k]
        ends |= {float(cuts[mine.min()]), float(cuts[mine.max() + 1])} if len(mine) else set()
    return cut_skins(plan, sorted(ends), lambda _: part, count)


def cut_skins(plan: Plan, cuts: list[float], rows: Callable[[float], np.ndarray], count: int) -> list[Surface]:
    """Triangles of the skin by what is behind them, cut at heights.

    Parameters
    ----------
    plan : Plan
    cuts : list of float
        Heights [m], standing axes, from low to high.
    rows : callable
        Of a height between two cuts: which of ``count`` parts each node of the level graph is of, -1 for none.

    Returns
    -------
    list of tuple
        A part each: vertices (n, 3) in the shell file's axes and faces (m, 3), wound as the skin is.
    """
    skin, frame = plan.skin, plan.frame
    rest = frame.to_standing(skin.vertices_m), np.asarray(skin.faces[skin.cap_opening < 0])
    found: list[list[np.ndarray]] = [[] for _ in range(count)]
    rest = _cut(rest, 1.0, cuts[0]) if cuts else rest
    for low, high in pairwise(cuts):
        band, rest = _cut(rest, -1.0, high), _cut(rest, 1.0, high)
        if not len(band[1]):
            continue
        corners = band[0][band[1]]
        row = _behind(plan, rows(0.5 * (low + high)), corners, low, high)
        for k in range(count):
            found[k].append(corners[row == k])
    return [_joined(plan, corners) for corners in found]


def _cut(mesh: tuple[np.ndarray, np.ndarray], side: float, height_m: float) -> tuple[np.ndarray, np.ndarray]:
    """What of a mesh lies over a height (``side`` 1) or under it (-1), its triangles cut there."""
    from trimesh.intersections import slice_faces_plane

    if not len(mesh[1]):
        return mesh
    points, faces, *_ = slice_faces_plane(*mesh, np.array([0.0, 0.0, side]), np.array([0.0, 0.0, height_m]))  # type: ignore[no-untyped-call]
    return np.asarray(points, float), np.asarray(faces)


def _joined(plan: Plan, parts: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Triangles given by their corners as vertices and faces; corners that lie together are one."""
    corners = np.concatenate(parts) if parts else np.empty((0, 3, 3))
    if not len(corners):
        return np.empty((0, 3)), np.empty((0, 3), np.int64)
    points, where = np.unique(np.round(corners.reshape(-1, 3), 9), axis=0, return_inverse=True)
    faces = where.reshape(-1, 3)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 0] != faces[:, 2])
    return plan.frame.to_shell(points), faces[whole].astype(np.int64)


def _rows_of_nodes(plan: Plan, height_m: float) -> np.ndarray:
    """The place in the list of lifts of the one that has most of each node at a height; -1: none."""
    share = np.zeros((len(plan.lift_plan.lifts), len(plan.graph.node_level)))
    for k, lift in enumerate(plan.lift_plan.lifts):
        for pour in lift.pours:
            if pour.bottom_m < height_m < pour.top_m:
                share[k, pour.nodes] += pour.shares
    if not len(share):
        return np.full(share.shape[1], -1)
    return np.where(share.max(axis=0) > 0, share.argmax(axis=0), -1)


def _cuts(plan: Plan) -> list[float]:
    """Heights at which a pour begins or ends; those that are one are taken once."""
    least, kept = 0.2 * plan.cavity.grid.cell_m, list[float]()
    for end in sorted(z for lift in plan.lift_plan.lifts for pour in lift.pours for z in (pour.bottom_m, pour.top_m)):
        if not kept or end - kept[-1] > least:
            kept.append(end)
    return kept


def _behind(plan: Plan, rows: np.ndarray, corners: np.ndarray, low: float, high: float) -> np.ndarray:
    """For each triangle (n, 3, 3) between two heights, the row of the lift whose foam is nearest; -1: none is near."""
    grid, label = plan.cavity.grid, plan.graph.label
    cell = grid.cell_m
    first = max(int((low - grid.origin_m[2]) / cell + 0.5), 0)
    last = min(max(int((high - grid.origin_m[2]) / cell + 0.5), first + 1), label.shape[2])
    cells = np.argwhere(label[:, :, first:last] > 0)
    if not len(cells):
        return np.full(len(corners), -1)
    cells[:, 2] += first
    tree = cKDTree(grid.origin_m + (cells + 0.5) * cell)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-30)
    wall = max(plan.skin.walls_m, default=0.0)
    inside = corners.mean(axis=1) - normal * (wall + cell)
    away, near = tree.query(inside, distance_upper_bound=wall + NEAR_CELLS * cell)
    out = np.full(len(corners), -1)
    hit = np.isfinite(away)
    i, j, k = cells[near[hit]].T
    out[hit] = rows[label[i, j, k] - 1]
    return out
