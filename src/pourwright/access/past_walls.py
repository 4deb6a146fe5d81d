"""How near an upright line comes to the walls of the mesh itself, level by level: by cutting its triangles out."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely
from trimesh.intersections import slice_faces_plane

from pourwright.cavity import PourFrame
from pourwright.shell import Skin

FARTHEST_M = 0.075
"""Distance from the wall that is looked for at most [m]: that of a straight fall of 3 m; our judgement."""

LAYERS = 6
"""Layers of a wall's thickness; our judgement."""


class Walls:
    """The skin of a piece, standing, to be asked how near its inside comes to upright lines.

    Parameters
    ----------
    skin : Skin
    frame : PourFrame
    open_ : tuple of int
        Openings that liquid may come in by: their caps are no wall.
    """

    def __init__(self, skin: Skin, frame: PourFrame, open_: tuple[int, ...]) -> None:
        faces = skin.faces[~np.isin(skin.cap_opening, open_)]
        middle = skin.vertices_m[faces].mean(axis=1)
        self._corners = frame.to_standing(skin.vertices_m)[faces]
        behind = skin.void_face[~np.isin(skin.cap_opening, open_)] | (len(skin.bands) == 0 and skin.gauge is None)
        self._wall_m = np.where(behind, 0.0, np.nan_to_num(skin.thickness_of(middle)))
        self._low, self._high = self._corners.min(axis=1), self._corners.max(axis=1)

    def past_m(self, xy_m: np.ndarray, low_m: float, high_m: float) -> float:
        """Distance in plan of an upright line from the inside of the walls between two heights [m].

        The wall is all that lies no farther from the mesh than it is thick, so that its inside at a height comes from
        parts of the mesh up to that much above and below. In `LAYERS` of these it counts as thick to the side as it is
        at the nearest of the layer: the distance is never more than it is. At most `FARTHEST_M`.
        """
        reach = FARTHEST_M + float(self._wall_m.max(initial=0.0))
        x, y = (float(v) for v in xy_m)
        near = np.flatnonzero(
            (self._low[:, 0] <= x + reach) & (self._high[:, 0] >= x - reach)
            & (self._low[:, 1] <= y + reach) & (self._high[:, 1] >= y - reach)
            & (self._low[:, 2] <= high_m + self._wall_m) & (self._high[:, 2] >= low_m - self._wall_m)
        )  # fmt: skip
        least = FARTHEST_M
        for wall in np.unique(self._wall_m[near]).tolist():
            mine = near[self._wall_m[near] == wall]
            least = min(least, _in_plan(self._corners[mine], (x, y), low_m, high_m) - wall)
            for near_m, far_m in pairwise(np.linspace(0.0, wall, LAYERS + 1).tolist() if wall > 0 else ()):
                aside = math.sqrt(wall**2 - near_m**2)
                for ends in ((low_m - far_m, low_m - near_m), (high_m + near_m, high_m + far_m)):
                    least = min(least, _in_plan(self._corners[mine], (x, y), *ends) - aside)
        return max(0.0, least)


def _in_plan(corners: np.ndarray, xy: tuple[float, float], low_m: float, high_m: float) -> float:
    """Distance in plan of a place from triangles (n, 3, 3) cut off at two heights; inf where nothing is between."""
    vertices, faces = corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)
    for normal, height in ((1.0, low_m), (-1.0, high_m)):
        vertices, faces, _ = slice_faces_plane(vertices, faces, [0.0, 0.0, normal], [0.0, 0.0, height])  # type: ignore[no-untyped-call]
    if not len(faces):
        return np.inf
    rings = shapely.linearrings(vertices[faces][:, [0, 1, 2, 0], :2])
    return float(shapely.distance(shapely.Point(xy), shapely.polygons(rings)).min())
