"""Polygons in a plane to triangles over their own corners."""

from __future__ import annotations

from collections.abc import Iterable

import manifold3d
import numpy as np

from pourwright.errors import ShellError

CORNER_LIMIT = 20_000
"""Corners of one polygon. The time goes with their square: 1.5 s for so many, 9 s for 49,000 (measured)."""


def check_corners(counts: Iterable[int]) -> None:
    """Refuse polygons of so many corners each that all together take longer than one of `CORNER_LIMIT`.

    Raises
    ------
    ShellError
        The sentence does not name the file.
    """
    counts = list(counts)
    if sum(count**2 for count in counts) > CORNER_LIMIT**2:
        raise ShellError(
            f"its borders have up to {max(counts):,} corners each, {sum(counts):,} in all, more than can be closed "
            f"(one of {CORNER_LIMIT:,}): thin the mesh out or close it where it was made."
        )


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
    the rings are not simple; then triangles may overlap. Holes run against the outer ring. Raises `ShellError` as
    `check_corners`.
    """
    axes = plane_axes(normal) if np.linalg.norm(normal) > 0 else np.eye(3)[:2]
    if len(rings) == 1 and len(rings[0]) == 3:
        return np.array([[0, 1, 2]])
    check_corners([sum(map(len, rings))])
    flat = [np.ascontiguousarray(ring @ axes.T) for ring in rings]
    return np.asarray(manifold3d.triangulate(flat), dtype=np.int64).reshape(-1, 3)
