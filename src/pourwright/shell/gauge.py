"""Wall thickness measured at points: between them it is taken from the nearest ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from pourwright.errors import JobError, Said
from pourwright.shell.regions import WallRegion
from pourwright.shell.scale import length_words

if TYPE_CHECKING:
    from scipy.spatial import KDTree

NEIGHBOURS = 6
"""Measured points that count between them; our judgement, no published source."""
CLASSES = 16
"""Walls that a gauged skin is sorted into for its cavity, as many triangles in each: each has the mean of its own; our
judgement."""
FINE = 0.5
"""Of the usual distance between points: a triangle with longer sides is divided before it is sorted; our judgement."""
MOST_TRIANGLES = 400_000
"""For memory and time; our judgement."""
OUT = 0.05
"""Of the piece's size: points farther outside of its extents belong to another piece or unit (our judgement)."""


@dataclass(frozen=True, eq=False)
class WallGauge:
    """Thicknesses at points, shell axes.

    Elsewhere the mean of the `NEIGHBOURS` nearest points, each counting by its distance squared, upside down (Shepard's
    inverse distance weighting); so no place is thicker or thinner than the points are, and at a point it is what was
    measured there. Distances are straight, not along the skin: measure both sides of a thin part closely.
    """

    source: str  # file name
    points_m: np.ndarray  # (n, 3)
    thickness_m: np.ndarray  # (n,)
    spread: float  # plus or minus share of the thickness

    def at(self, points_m: np.ndarray) -> np.ndarray:
        """Wall (m,) [m] at points (m, 3)."""
        many = min(NEIGHBOURS, len(self.points_m))
        far, near = self._tree.query(np.asarray(points_m, float).reshape(-1, 3), k=many)
        far, near = far.reshape(-1, many), near.reshape(-1, many)
        weight = 1.0 / np.maximum(far, 1e-9) ** 2
        return np.asarray((weight * self.thickness_m[near]).sum(axis=1) / weight.sum(axis=1))

    @property
    def apart_m(self) -> float:
        """Usual distance from a point to the next."""
        if len(self.points_m) < 2:
            return float("inf")
        return float(np.median(self._tree.query(self.points_m, k=2)[0][:, 1]))

    @cached_property
    def _tree(self) -> KDTree:
        from scipy.spatial import KDTree  # only where a wall was measured

        return KDTree(self.points_m)


@dataclass(frozen=True, eq=False)
class LocalWalls:
    """Where the wall is not that of its height: ``regions`` with a wall of their own, and measured spots."""

    regions: Sequence[WallRegion] = ()
    gauge: WallGauge | None = None


NO_LOCAL_WALLS = LocalWalls()


def gauged(gauge: WallGauge, triangles: np.ndarray) -> list[tuple[np.ndarray, float]]:
    """Triangles (m, 3, 3) sorted by their wall: those of a class with its mean thickness, by area."""
    import trimesh

    if len(gauge.points_m) > 1:
        side = max(FINE * gauge.apart_m, _finest(triangles))
        vertices, faces = trimesh.remesh.subdivide_to_size(  # type: ignore[no-untyped-call]
            triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), side, max_iter=30
        )
        triangles = np.asarray(vertices[faces], float)
    wall = gauge.at(triangles.mean(axis=1))
    area = 0.5 * np.linalg.norm(np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1)
    order = np.argsort(wall, kind="stable")
    out = []
    for mine in np.array_split(order, CLASSES):
        if len(mine):
            own = np.maximum(area[mine], 1e-30)
            out.append((triangles[mine], float(np.average(wall[mine], weights=own))))
    return out


def _finest(triangles: np.ndarray) -> float:
    """Side [m] of triangles of which `MOST_TRIANGLES` would cover the same."""
    area = (
        0.5
        * np.linalg.norm(np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1).sum()
    )
    return float(2.0 * np.sqrt(area / MOST_TRIANGLES))


def check_gauge_on_piece(gauge: WallGauge | None, vertices_m: np.ndarray) -> None:
    """Raise `JobError` where measured points lie off the piece, or walls do not fit into it."""
    if gauge is None:
        return
    low, high = vertices_m.min(axis=0), vertices_m.max(axis=0)
    size, narrowest = float((high - low).max()), float((high - low).min())
    beyond = np.maximum(low - gauge.points_m, gauge.points_m - high).max(axis=1)
    if beyond.max() > OUT * size:
        k = int(np.argmax(beyond))
        raise JobError(
            "wall.map",
            Said(gauge.source),
            f"its point {k + 1} lies {length_words(float(beyond[k]))} off the piece, which is {length_words(size)} "
            "large: check the units of its columns, and that its axes are those of the shell file.",
        )
    if 2 * gauge.thickness_m.max() >= narrowest:
        raise JobError(
            "wall.map",
            Said(gauge.source),
            f"two walls of {length_words(float(gauge.thickness_m.max()))} do not fit into the piece, which is "
            f"{length_words(narrowest)} across at its narrowest extent; check its units.",
        )
