"""A small piece of the skin laid out flat, and by how much it had to be stretched for that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu
from trimesh.remesh import subdivide_to_size
from trimesh.triangles import closest_point as _closest

from pourwright.shell import Skin

ROUNDS = 60
EDGES_ACROSS = 14
STEEPEST = 0.3
"""Triangles that turn from the middle's normal by more than its arc cosine (73 degrees) are not part of a patch."""
RIM_M = 1e-4


@dataclass(frozen=True, eq=False)
class FlatPatch:
    """Skin about a point, laid flat. ``flat_m`` (n, 2) are places on the sheet, seen from outside, the point at zero.

    ``points_m`` (n, 3) are the same places in shell axes, ``faces`` (m, 3) the triangles of both. ``stretch`` is what
    nineteen in twenty edges keep to: the larger of length on the sheet over length on the skin and its inverse, less
    one; nan where the skin cannot be laid flat at all. ``rim`` (k, 2) are edges that lie on the rim of an opening.
    """

    flat_m: np.ndarray
    points_m: np.ndarray
    faces: np.ndarray
    normal: np.ndarray
    stretch: float
    rim: np.ndarray


def unroll(skin: Skin, point_m: np.ndarray, radius_m: float, up: np.ndarray) -> FlatPatch:
    """Lay the skin within a ball about a point flat, with as little stretch as can be.

    Parameters
    ----------
    skin : Skin
    point_m : ndarray, shape (3,)
        On the outside face, shell axes [m]; the nearest place of the outside face is taken.
    radius_m : float
        Of the ball [m].
    up : ndarray, shape (3,)
        Unit direction that shall point up on the sheet as far as the skin allows.

    Returns
    -------
    FlatPatch
        Without stretch where the skin is flat, or bent one way only; what is bent both ways has some.

    Each triangle keeps its shape as nearly as the others allow; the flat places that make the sum of squares of what is
    left least are found by turning each triangle and solving for all places in turns.

    References
    ----------
    Liu, Zhang, Xu, Gotsman, Gortler, A local/global approach to mesh parameterization, Computer Graphics Forum 27(5),
    2008 (from memory): the rule with rotations only.
    """
    points, faces, rings, near = _near(skin, point_m, radius_m)
    normal = _normal(points, faces[near])
    keep = _kept(points, faces, near, radius_m, point_m, normal)
    used, inverse = np.unique(faces[keep], return_inverse=True)
    points, faces = points[used], inverse.reshape(-1, 3)
    right = np.cross(up, normal)
    if np.linalg.norm(right) < 0.2:  # it lies flat: the first axis at hand that does not
        right = np.cross(np.eye(3)[np.argmin(np.abs(normal))], normal)
    right = right / np.linalg.norm(right)
    frame = np.array([right, np.cross(normal, right)])
    start = (points - point_m) @ frame.T
    flat = _flattened(points, faces, start)
    flat, stretch = _placed(flat, start, points, faces, point_m)
    rim = _rim_edges(points, faces, rings)
    return FlatPatch(flat, points, faces, normal, stretch, rim)


def _near(skin: Skin, point_m: np.ndarray, radius_m: float) -> tuple[np.ndarray, np.ndarray, list[np.ndarray], int]:
    """Fine triangles about the point, the rims, and the triangle nearest to the point."""
    outside = ~skin.void_face & (skin.cap_opening < 0)
    corners = skin.vertices_m[skin.faces[outside]]
    close = np.linalg.norm(_foot(corners, point_m) - point_m, axis=1)
    faces = skin.faces[outside][close <= radius_m]
    if not len(faces):
        faces = skin.faces[outside][[int(np.argmin(close))]]
    used, inverse = np.unique(faces, return_inverse=True)
    # Long triangles are cut until each is small against the patch.
    points, fine = subdivide_to_size(  # type: ignore[no-untyped-call]
        skin.vertices_m[used], inverse.reshape(-1, 3), max_edge=2 * radius_m / EDGES_ACROSS, max_iter=24
    )
    _, first, back = np.unique(np.round(points, 8), axis=0, return_index=True, return_inverse=True)
    points, fine = points[first], back.reshape(-1)[fine]
    fine = fine[(fine[:, 0] != fine[:, 1]) & (fine[:, 1] != fine[:, 2]) & (fine[:, 0] != fine[:, 2])]
    away = np.linalg.norm(_foot(points[fine], point_m) - point_m, axis=1)
    return points, fine, [opening.loop_m for opening in skin.openings], int(np.argmin(away))


def _foot(corners: np.ndarray, point_m: np.ndarray) -> np.ndarray:
    """The place of each triangle that is nearest to the point."""
    return np.asarray(_closest(corners, np.broadcast_to(point_m, (len(corners), 3))))  # type: ignore[no-untyped-call]


def _normal(points: np.ndarray, face: np.ndarray) -> np.ndarray:
    a, b, c = points[face]
    cross = np.cross(b - a, c - a)
    return np.asarray(cross / max(float(np.linalg.norm(cross)), 1e-300))


def _kept(
    points: np.ndarray, faces: np.ndarray, near: int, radius_m: float, point_m: np.ndarray, normal: np.ndarray
) -> np.ndarray:
    """Triangles of the patch: within the ball, not turned away, and reached from the middle over shared edges."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    size = np.linalg.norm(cross, axis=1)
    facing = cross @ normal > STEEPEST * size
    within = (np.linalg.norm(points - point_m, axis=1) <= radius_m)[faces].all(axis=1)
    good = np.flatnonzero((facing & within & (size > 1e-14)) | (np.arange(len(faces)) == near))
    edges = np.sort(faces[good][:, [[0, 1], [1, 2], [2, 0]]], axis=2).reshape(-1, 2)
    _, edge = np.unique(edges, axis=0, return_inverse=True)
    owner = np.repeat(np.arange(len(good)), 3)
    share = sp.coo_matrix((np.ones(len(owner)), (owner, edge.reshape(-1)))).tocsr()
    _, part = connected_components(share @ share.T, directed=False)
    return np.asarray(good[part == part[np.flatnonzero(good == near)[0]]])


def _flattened(points: np.ndarray, faces: np.ndarray, start: np.ndarray) -> np.ndarray:
    corners = points[faces]
    ax = corners[:, 1] - corners[:, 0]
    along = ax / np.linalg.norm(ax, axis=1)[:, None]
    normal = np.cross(ax, corners[:, 2] - corners[:, 0])
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    across = np.cross(normal, along)
    away = corners - corners[:, :1]
    own = np.stack([np.einsum("fij,fj->fi", away, along), np.einsum("fij,fj->fi", away, across)], axis=2)
    # The weight of an edge is the cotangent of the angle that faces it.
    i, j, k = (faces[:, [0, 1, 2]], faces[:, [1, 2, 0]], [2, 0, 1])
    to_i, to_j = own - own[:, k], own[:, [1, 2, 0]] - own[:, k]
    dot = (to_i * to_j).sum(axis=2)
    det = np.abs(to_i[..., 0] * to_j[..., 1] - to_i[..., 1] * to_j[..., 0])
    weight = np.maximum(dot / np.maximum(det, 1e-300), 1e-3)
    step = own - own[:, [1, 2, 0]]
    count = len(points)
    rows, cols, half = i.ravel(), j.ravel(), weight.ravel()
    graph = sp.coo_matrix((half, (rows, cols)), shape=(count, count)).tocsr()
    graph = graph + graph.T
    matrix = sp.diags(np.asarray(graph.sum(axis=1)).ravel() + 1e-9) - graph
    solver = splu(matrix.tocsc())
    flat = np.array(start)
    for _ in range(ROUNDS):
        now = flat[i] - flat[j]
        spread = np.einsum("fe,fea,feb->fab", weight, now, step)
        turn_c, turn_s = spread[:, 0, 0] + spread[:, 1, 1], spread[:, 1, 0] - spread[:, 0, 1]
        size = np.maximum(np.hypot(turn_c, turn_s), 1e-300)
        c, s = (turn_c / size)[:, None], (turn_s / size)[:, None]
        turned = np.stack([c * step[..., 0] - s * step[..., 1], s * step[..., 0] + c * step[..., 1]], axis=2)
        pull = (weight[..., None] * turned).reshape(-1, 2)
        right = np.zeros((count, 2))
        np.add.at(right, rows, pull)
        np.add.at(right, cols, -pull)
        after = solver.solve(right + 1e-9 * flat)
        moved = float(np.abs((after - after.mean(axis=0)) - (flat - flat.mean(axis=0))).max())
        flat = after
        if moved < 1e-7:
            break
    return flat


def _placed(
    flat: np.ndarray, start: np.ndarray, points: np.ndarray, faces: np.ndarray, point_m: np.ndarray
) -> tuple[np.ndarray, float]:
    """Turned so that the middle lies as it did in the projection, with the point at zero, and its stretch."""
    near = np.argsort(np.linalg.norm(points - point_m, axis=1))[: max(12, len(points) // 8)]
    a, b = flat[near] - flat[near].mean(axis=0), start[near] - start[near].mean(axis=0)
    angle = np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum())
    c, s = np.cos(angle), np.sin(angle)
    flat = flat @ np.array([[c, s], [-s, c]])
    triangles = points[faces]
    on = _foot(triangles, point_m)
    face = int(np.argmin(np.linalg.norm(on - point_m, axis=1)))
    edges = np.stack([triangles[face, 1] - triangles[face, 0], triangles[face, 2] - triangles[face, 0]], axis=1)
    share = np.linalg.lstsq(edges, on[face] - triangles[face, 0], rcond=None)[0]
    corner = flat[faces[face]]
    flat = flat - (corner[0] + share[0] * (corner[1] - corner[0]) + share[1] * (corner[2] - corner[0]))
    pairs = np.unique(np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1), axis=0)
    true = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    laid = np.linalg.norm(flat[pairs[:, 0]] - flat[pairs[:, 1]], axis=1)
    a, b, c2 = (flat[faces[:, k]] for k in range(3))
    folded = (b[:, 0] - a[:, 0]) * (c2[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c2[:, 0] - a[:, 0]) <= 0
    if folded.any() or (laid <= 0).any():
        return flat, float("nan")
    ratio = np.maximum(laid / true, true / laid) - 1.0
    # Weighed by length: short edges of a lumpy scan say little.
    order = np.argsort(ratio)
    share95 = np.searchsorted(np.cumsum(true[order]), 0.95 * true.sum())
    return flat, float(ratio[order[min(share95, len(order) - 1)]])


def _rim_edges(points: np.ndarray, faces: np.ndarray, rings: list[np.ndarray]) -> np.ndarray:
    edges = np.sort(faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    pairs, times = np.unique(edges, axis=0, return_counts=True)
    border = pairs[times == 1]
    if not rings or not len(border):
        return np.zeros((0, 2), int)
    middle = points[border].mean(axis=1)
    on = np.zeros(len(border), bool)
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        along = b - a
        share = np.einsum("pij,ij->pi", middle[:, None] - a, along) / np.maximum((along**2).sum(axis=1), 1e-300)
        foot = a + np.clip(share, 0, 1)[..., None] * along
        on |= np.linalg.norm(middle[:, None] - foot, axis=2).min(axis=1) < RIM_M
    return np.asarray(border[on])
