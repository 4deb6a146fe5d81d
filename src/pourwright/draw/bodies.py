"""What is drawn: the skin and the foam of each lift as triangles with shading normals, in view axes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pyvista as pv
from scipy import sparse

from pourwright.draw.view import View
from pourwright.plan import Plan

Surface = tuple[np.ndarray, np.ndarray]
"""Vertices (n, 3) in the shell file's axes and faces (m, 3)."""
CREASE_DEG = 42.0
EVEN = 8


@dataclass(frozen=True, eq=False)
class Body:
    """Triangles ready to draw. Arrays read-only."""

    corner: np.ndarray  # (m, 3, 3) pixels, pixels, metres towards the viewer
    normal: np.ndarray  # (m, 3, 3) shading normal at each corner: right, up, towards the viewer
    part: np.ndarray  # (m,) int32, which part a triangle belongs to
    flat: np.ndarray  # (m,) bool: of a level cut, top or bottom of a lift


def body(
    view: View, vertices_m: np.ndarray, faces: np.ndarray, part: int = 1, even: int = 0, cuts_m: tuple[float, ...] = ()
) -> Body:
    """A surface (shell file's axes, wound outwards) as a body; edges sharper than `CREASE_DEG` stay sharp.

    ``even`` is how many times shading normals are evened out between neighbours: the surface of cells has steps far
    smaller than the cells, which the eye would see all the same.
    """
    if not len(faces):
        none = np.empty((0, 3, 3))
        return Body(none, none, np.empty(0, np.int32), np.empty(0, bool))
    surface = pv.PolyData.from_regular_faces(np.asarray(vertices_m, float), np.asarray(faces))
    surface = surface.compute_normals(
        cell_normals=False,
        point_normals=True,
        split_vertices=True,
        feature_angle=CREASE_DEG,
        consistent_normals=False,
        auto_orient_normals=False,
        non_manifold_traversal=False,
    )
    corners = surface.regular_faces
    points = np.asarray(surface.points, float)
    normals = _evened(np.asarray(surface["Normals"], float), corners, even) @ view.frame.rotation.T
    standing = view.frame.to_standing(points)[corners]
    flat = np.zeros(len(corners), bool)
    for cut in cuts_m:
        flat |= (np.abs(standing[:, :, 2] - cut) < 1e-6).all(axis=1)
    made = Body(
        view.standing(standing),
        (normals @ view.axes.T)[corners],
        np.full(len(corners), part, np.int32),
        flat,
    )
    return _frozen(made)


def _evened(normals: np.ndarray, corners: np.ndarray, times: int) -> np.ndarray:
    if not times:
        return normals
    a, b = corners.ravel(), np.roll(corners, 1, axis=1).ravel()
    count = len(normals)
    mean = sparse.coo_array((np.ones(2 * len(a)), (np.r_[a, b], np.r_[b, a])), shape=(count, count)).tocsr()
    for _ in range(times):
        normals = normals * 4.0 + mean @ normals
        normals = normals / (np.linalg.norm(normals, axis=1, keepdims=True) + 1e-12)
    return normals


def _frozen(made: Body) -> Body:
    for array in (made.corner, made.normal, made.part, made.flat):
        array.setflags(write=False)
    return made


def together(bodies: list[Body]) -> Body:
    """Several bodies as one; their parts keep their numbers."""
    return _frozen(
        Body(*(np.concatenate([getattr(b, name) for b in bodies]) for name in ("corner", "normal", "part", "flat")))
    )


def skin_body(plan: Plan, view: View) -> Body:
    """The skin without the caps of its openings."""
    return body(view, plan.skin.vertices_m, plan.skin.faces[plan.skin.cap_opening < 0])


def lift_body(plan: Plan, view: View, surface: Surface, number: int) -> Body:
    """The foam of one lift, as a part of its number; a little behind the skin."""
    return _pushed(body(view, *surface, number), plan)


def _pushed(made: Body, plan: Plan) -> Body:
    """A body as far behind the skin as foam is: half a cell farther from the viewer."""
    corner = made.corner - np.array([0.0, 0.0, 0.5 * plan.cavity.grid.cell_m])
    return _frozen(replace(made, corner=corner))
