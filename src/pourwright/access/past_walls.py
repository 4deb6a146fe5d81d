"""How near an upright line comes to the walls of the mesh itself, level by level: by cutting its triangles out."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

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
    """Distance in plan of a place from triangles (n, 3, 3) cut off at two heights; inf where nothing is between.

    That of the nearest of their sides and cuts; 0 over or under one. trimesh does it too, but takes long to load.
    """
    start = corners - np.array([*xy, 0.0])
    step = np.roll(start, -1, axis=1) - start
    with np.errstate(divide="ignore", invalid="ignore"):
        at = (np.array([low_m, high_m])[:, None, None] - start[..., 2]) / step[..., 2]  # nan: level, and at that height
    level = np.where((start[..., 2] >= low_m) & (start[..., 2] <= high_m), 1.0, -1.0)
    flat = step[..., 2] == 0.0
    first = np.where(flat, 0.0, np.clip(at.min(axis=0), 0.0, None))
    last = np.where(flat, level, np.clip(at.max(axis=0), None, 1.0))
    some = first <= last
    ends = [(start + share[..., None] * step)[some] for share in (first, last)]
    for shares in at:
        cut = start + np.nan_to_num(shares)[..., None] * step
        met = (shares >= 0.0) & (shares <= 1.0)
        for a, b in ((0, 1), (1, 2), (2, 0)):
            both = met[:, a] & met[:, b]
            ends = [np.concatenate([ends[0], cut[both, a]]), np.concatenate([ends[1], cut[both, b]])]
    if not len(ends[0]):
        return np.inf
    if _over(start, low_m, high_m):
        return 0.0
    along = (ends[1] - ends[0])[:, :2]
    share = np.clip(-(ends[0][:, :2] * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-18), 0.0, 1.0)
    return float(np.linalg.norm(ends[0][:, :2] + share[:, None] * along, axis=1).min())


def _over(corners: np.ndarray, low_m: float, high_m: float) -> bool:
    """Whether the upright line through the origin meets one of the triangles (n, 3, 3) between two heights."""
    x, y, z = (corners[..., k] for k in range(3))
    shares = np.roll(x, -1, 1) * np.roll(y, -2, 1) - np.roll(x, -2, 1) * np.roll(y, -1, 1)
    area = shares.sum(axis=1)
    inside = (area != 0.0) & ((shares >= 0.0).all(axis=1) | (shares <= 0.0).all(axis=1))
    height = (shares[inside] * z[inside]).sum(axis=1) / area[inside]
    return bool(((height >= low_m) & (height <= high_m)).any())
