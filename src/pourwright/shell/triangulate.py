"""Polygons in a plane to triangles over their own corners."""

from __future__ import annotations

import manifold3d
import numpy as np


def plane_axes(normal: np.ndarray) -> np.ndarray:
    """Two unit axes (2, 3) in the plane of ``normal`` (3,) that see it as pointing to the reader."""
    normal = normal / np.linalg.norm(normal)
    helper = np.eye(3)[np.argmin(np.abs(normal))]
    x = np.cross(helper, normal)
    x /= np.linalg.norm(x)
    return np.array([x, np.cross(normal, x)])


def triangulate(rings: list[np.ndarray], normal: np.ndarray) -> np.ndarray:
    """Triangles (t, 3) over the points of ``rings`` in order, seen along ``normal``.

    Every side of a ring is a side of exactly one triangle that runs the same way, also where points lie in line or
    the rings are not simple; then triangles may overlap. Holes run against the outer ring.
    """
    axes = plane_axes(normal) if np.linalg.norm(normal) > 0 else np.eye(3)[:2]
    if len(rings) == 1 and len(rings[0]) == 3:
        return np.array([[0, 1, 2]])
    flat = [np.ascontiguousarray(ring @ axes.T) for ring in rings]
    return np.asarray(manifold3d.triangulate(flat), dtype=np.int64).reshape(-1, 3)
