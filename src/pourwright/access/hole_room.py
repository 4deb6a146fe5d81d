"""Room round a hole for a bung's flange: the side it shows on, edges outside, walls inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from pourwright.access import judged
from pourwright.access.keep_out import KeepOut
from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.shell import Skin
from pourwright.shell import edges_of as mesh_edges

SIDES = ("front", "hidden", "other")
FRONT, HIDDEN, OTHER = range(3)
AROUND = 16
"""Points of a rim that are looked at; our judgement."""
RINGS = 12
"""Radii that are looked at; our judgement."""


def side_of(normal_standing: np.ndarray) -> np.ndarray:
    """Side (n,) that skin shows on, by its outward unit normals (n, 3) on the standing piece: index into `SIDES`.

    ``front`` looks to the side that the job calls front; ``hidden`` looks back or down; the rest is ``other``.

    >>> side_of(np.array([[0.0, -1.0, 0.0], [0.0, 0.9, 0.4], [0.0, 0.0, 1.0]])).tolist()
    [0, 1, 2]
    """
    front = judged.LOOKS_FRONT.value
    away = (normal_standing[:, 1] >= front) | (normal_standing[:, 2] <= -front)
    return np.where(normal_standing[:, 1] <= -front, FRONT, np.where(away, HIDDEN, OTHER))


def outward(skin: Skin, face: np.ndarray) -> np.ndarray:
    """Unit normals (n, 3) of ``face`` (n,) of the skin, shell axes; nothing where a face has no area."""
    corners = skin.vertices_m[skin.faces[face]]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    return np.where(length > 0, normal / np.where(length > 0, length, 1.0), 0.0)


def label_at(points: np.ndarray, cavity: Cavity, graph: LevelGraph) -> np.ndarray:
    """Label (...,) of the level graph at points (..., 3), standing metres; 0 outside the cavity."""
    index = np.floor((points - cavity.grid.origin_m) / cavity.grid.cell_m).astype(np.int64)
    shape = np.array(cavity.grid.shape)
    good = ((index >= 0) & (index < shape)).all(axis=-1)
    index = np.clip(index, 0, shape - 1)
    return np.where(good, graph.label[index[..., 0], index[..., 1], index[..., 2]], 0)


@dataclass(frozen=True, eq=False)
class Edges:
    """Points along the sharp edges of a skin and the rims of its openings, for distances in space."""

    tree: KDTree | None

    def away_m(self, points_m: np.ndarray) -> np.ndarray:
        """Distance (n,) of each of ``points_m`` (n, 3) from the nearest edge; inf where the skin has none."""
        if self.tree is None or not len(points_m):
            return np.full(len(points_m), math.inf)
        return np.asarray(self.tree.query(points_m)[0], float)


def edges_of(skin: Skin, spacing_m: float) -> Edges:
    """Edges of a skin at which its faces turn by 45 degrees or more, and the rims of its openings.

    Sharp edges that hang together and reach less far than `judged.CREASE` are roughness of a scan, no edge of it.
    """
    normal = outward(skin, np.arange(len(skin.faces)))
    edges = mesh_edges(skin.faces)
    two = np.flatnonzero(edges.count == 2)
    ends, pair = edges.ends[two], edges.order[edges.start[two, None] + (0, 1)] // 3
    turn = np.einsum("ij,ij->i", normal[pair[:, 0]], normal[pair[:, 1]])
    sound = (normal[pair] != 0).any(axis=2).all(axis=1)  # not beside a face without area
    sharp = _creases(skin.vertices_m, ends[sound & (turn < judged.SHARP.value)])
    lines = [skin.vertices_m[sharp]]
    lines += [np.stack([one.loop_m, np.roll(one.loop_m, -1, axis=0)], axis=1) for one in skin.openings]
    line = np.concatenate([*lines, np.zeros((0, 2, 3))])
    if not len(line):
        return Edges(None)
    span = np.linalg.norm(line[:, 1] - line[:, 0], axis=1)
    count = np.minimum(np.ceil(span / spacing_m).astype(np.int64) + 1, 400)
    which = np.repeat(np.arange(len(line)), count)
    along = (np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)) / np.maximum(count[which] - 1, 1)
    return Edges(KDTree(line[which, 0] + along[:, None] * (line[which, 1] - line[which, 0])))


def _creases(vertices_m: np.ndarray, edges: np.ndarray) -> np.ndarray:
    """Those of ``edges`` (n, 2) that are part of a crease that reaches as far as counts."""
    if not len(edges):
        return edges
    own, corner = np.unique(edges, return_inverse=True)
    corner = corner.reshape(-1, 2)
    links = coo_array((np.ones(len(corner)), (corner[:, 0], corner[:, 1])), shape=(len(own), len(own)))
    piece = connected_components(links, directed=False)[1][corner[:, 0]]
    low, high = np.full((int(piece.max()) + 1, 3), np.inf), np.full((int(piece.max()) + 1, 3), -np.inf)
    for end in (0, 1):
        np.minimum.at(low, piece, vertices_m[edges[:, end]])
        np.maximum.at(high, piece, vertices_m[edges[:, end]])
    return np.asarray(edges[np.linalg.norm(high - low, axis=1)[piece] >= judged.CREASE.value])


def inner_room_m(
    cavity: Cavity, graph: LevelGraph, points_m: np.ndarray, normal: np.ndarray, wall_m: np.ndarray, most_m: float
) -> np.ndarray:
    """Largest radius (n,) about each of ``points_m`` that lies over the cavity all round, square to the skin [m].

    Parameters
    ----------
    cavity, graph
    points_m, normal : arrays (n, 3)
        On the skin, with its unit normals out of the piece, shell axes.
    wall_m : array (n,)
        Thickness of the wall there.
    most_m : float
        Radius up to which is looked.
    """
    cell = cavity.grid.cell_m
    radius = np.linspace(most_m / RINGS, most_m, RINGS)
    first = np.cross(normal, np.where(np.abs(normal[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]]))
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(normal, first)
    turn = 2.0 * np.pi * np.arange(AROUND) / AROUND
    rim = np.cos(turn)[None, :, None] * first[:, None] + np.sin(turn)[None, :, None] * second[:, None]
    deep = wall_m[:, None] + 1.5 * cell + 0.3 * radius[None]  # a domed skin falls away under its tangent
    points = (
        points_m[:, None, None]
        + radius[None, :, None, None] * rim[:, None]
        - deep[:, :, None, None] * normal[:, None, None]
    )
    over = label_at(cavity.frame.to_standing(points), cavity, graph) > 0
    count = np.cumprod(over.all(axis=2), axis=1).sum(axis=1)
    return np.where(count > 0, radius[np.maximum(count - 1, 0)], 0.0)


def fitted(hole_m: np.ndarray, round_m: np.ndarray, sizes_m: tuple[float, ...], least_m: float) -> np.ndarray:
    """The largest of ``sizes_m`` no larger than each of ``hole_m`` (n,) with room for a flange within ``round_m`` (n,).

    Where none down to ``least_m`` has that room, the hole stays the largest that is no larger than ``hole_m``; one that
    is less than ``least_m`` anyway, for a syringe and a peg, is the largest whose rim lies within what is free.

    >>> fitted(np.array([0.04, 0.04, 0.01]), np.array([0.05, 0.021, 0.001]), (0.01, 0.025, 0.04), 0.02).tolist()
    [0.04, 0.025, 0.01]
    >>> fitted(np.array([0.013]), np.array([0.0045]), (0.006, 0.008, 0.010, 0.012), 0.016).tolist()
    [0.008]
    """
    sizes = np.array(sorted(sizes_m))
    out = np.empty(len(hole_m))
    for k, (most, free) in enumerate(zip(hole_m.tolist(), round_m.tolist(), strict=True)):
        may = sizes[sizes <= most + 1e-9]
        may = may if len(may) else sizes[:1]
        roomy = may[(0.5 * may + judged.FLANGE_LAPS.value <= free + 1e-9) & (may >= min(least_m, may[-1]) - 1e-9)]
        within = may[0.5 * may <= free + 1e-9] if may[-1] < least_m - 1e-9 else may[:0]
        out[k] = (roomy if len(roomy) else within if len(within) else may)[-1]
    return out


def kept_out(keep_out: tuple[KeepOut, ...], frame: PourFrame, points_m: np.ndarray, side: np.ndarray) -> np.ndarray:
    """Whether each of ``points_m`` (n, 3), shell axes, on its ``side`` (n,), lies where no hole may be."""
    standing = frame.to_standing(points_m)
    out = np.zeros(len(points_m), bool)
    for one in keep_out:
        inside = (standing[:, 2] >= one.from_base_m) & (standing[:, 2] <= one.to_base_m)
        if one.box_m is not None:
            low, high = (np.array(corner) for corner in one.box_m)
            inside &= ((points_m >= low) & (points_m <= high)).all(axis=1)
        if one.face:
            inside &= side == SIDES.index(one.face)
        out |= inside
    return out
