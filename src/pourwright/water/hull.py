"""A closed surface made ready for many questions of what is under water; the answers are those of ``submerged``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.water._patches import own_sums, parted, sums_of
from pourwright.water.under import Submerged, from_sums, nothing_under, plane_axes

PATCH_FACETS = 96
"""Facets of a patch: with fewer there are more patches to look at, with more they are more often cut. Measured."""


@dataclass(frozen=True, eq=False)
class Hull:
    """A closed surface, wound outwards, in patches of neighbouring facets."""

    points_m: np.ndarray  # (n, 3)
    volume_m3: float
    _centred: np.ndarray  # (n, 3) from its middle, so that the sums of patches lose no digits
    _middle: np.ndarray  # (3,)
    _faces: np.ndarray  # (m, 3), patch by patch ...
    _starts: np.ndarray  # ... from these on, (p + 1,)
    _own: np.ndarray  # (p, 16) sums
    _box: np.ndarray  # (p, 2, 3)
    _beside: np.ndarray  # (b, 2) patches that share a corner
    _at_start: np.ndarray  # (n + 1,), into ...
    _at: np.ndarray  # ... the patches of each corner that lies in several

    def under(self, normal: np.ndarray, level_m: float, *, bail: bool = False) -> Submerged:
        """What is below the plane ``normal . x = level``; parameters and result as ``submerged`` has them.

        Examples
        --------
        >>> import trimesh
        >>> box = trimesh.creation.box()
        >>> s = hull_of(box.vertices, box.faces).under(np.array([0.0, 0, 1]), -0.25)
        >>> round(s.volume_m3, 12), (s.centre_m.round(12) + 0.0).tolist(), round(s.waterplane_m2, 12)
        (0.25, [0.0, 0.0, -0.375], 1.0)
        """
        normal = np.asarray(normal, float)
        axes = plane_axes(normal)
        to_body = np.vstack([axes, normal])
        above = float(normal @ self._middle)
        sums = sums_of(
            self._centred, self._faces, self._starts, self._own, self._box, self._beside, self._at_start, self._at,
            to_body, level_m - above, bail,
        )  # fmt: skip
        if not len(sums):
            return nothing_under(axes, normal, level_m)
        return from_sums(sums, to_body, normal * (level_m - above) + self._middle, bail=bail)


def hull_of(points_m: np.ndarray, faces: np.ndarray) -> Hull:
    """The closed surface (n, 3) [m], (m, 3), wound outwards."""
    points = np.ascontiguousarray(points_m, float)
    middle = 0.5 * (points.min(axis=0) + points.max(axis=0))
    centred = points - middle
    near = np.asarray(faces, np.int64)[_by_place(centred[faces].mean(axis=1))]
    patch, count = parted(near, len(points), PATCH_FACETS)
    order = np.argsort(patch, kind="stable")
    own, box = own_sums(centred, near, patch, count)
    at_start, at, beside = _shared(near, patch, len(points))
    return Hull(
        points,
        float(own[:, 0].sum() / 6.0),
        centred,
        middle,
        np.ascontiguousarray(near[order]),
        np.searchsorted(patch[order], np.arange(count + 1)),
        own,
        box,
        beside,
        at_start,
        at,
    )


def _by_place(middle: np.ndarray) -> np.ndarray:
    """Order in which what is near in space comes near in the row: along a curve through 1024 cells a side."""
    low = middle.min(axis=0)
    side = float(np.ptp(middle, axis=0).max()) or 1.0
    cell = ((middle - low) / side * 1023.0).astype(np.int64)
    key = np.zeros(len(middle), np.int64)
    for bit in range(10):
        for axis in range(3):
            key |= ((cell[:, axis] >> bit) & 1) << (3 * bit + axis)
    return np.argsort(key, kind="stable")


def _shared(faces: np.ndarray, patch: np.ndarray, corners: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where the patches of each corner begin, those patches, and pairs of patches that share one."""
    count = int(patch.max(initial=-1)) + 1
    key = np.unique(faces.ravel() * count + np.repeat(patch, 3))
    corner, there = np.divmod(key, count)
    often = np.bincount(corner, minlength=corners)
    kept = often[corner] > 1
    corner, there = corner[kept], there[kept]
    starts = np.append(0, np.cumsum(np.where(often > 1, often, 0)))
    next_too = corner[1:] == corner[:-1]
    pairs = np.unique(there[:-1][next_too] * count + there[1:][next_too])
    return starts, there, np.stack(np.divmod(pairs, count), axis=1)
