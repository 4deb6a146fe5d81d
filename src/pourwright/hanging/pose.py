"""The one way from what is measured on the hanging piece to points of the shell, and back."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame, pour_frame
from pourwright.outcome import Anchor, Hang, Spot


@dataclass(frozen=True, eq=False)
class HangingPose:
    """The piece as it hangs: the axes that it is taped in, and the wall behind it.

    ``frame`` turns the shell file's axes to right, back and up as the reader faces the wall. ``to_wall`` (3, 3) turns
    those to right, up in the wall and out of the wall; its rows are unit vectors. Read-only arrays.
    """

    frame: PourFrame
    to_wall: np.ndarray
    tilt_rad: float  # of the wall: positive leans back, negative overhangs
    back_m: float  # the plane of the piece's back, along the way out of the wall, from the frame's origin

    @property
    def out(self) -> np.ndarray:
        """Out of the wall into the room (3,), in the axes of ``frame``, unit length."""
        return self.to_wall[2]


def hanging_pose(vertices_m: np.ndarray, asked: Hang) -> HangingPose:
    """How a skin ``vertices_m`` (n, 3) hangs.

    >>> box = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 0.5) for z in (0.0, 2.0)])
    >>> pose = hanging_pose(box, Hang(out=(0.0, -1.0, 0.0), up=(1.0, 0.0, 0.0)))  # hung on its side
    >>> pose.frame.size_m.tolist(), pose.back_m, pose.tilt_rad
    ([2.0, 0.5, 1.0], -0.5, 0.0)
    """
    up, out = np.asarray(asked.up, float), np.asarray(asked.out, float)
    frame = pour_frame(vertices_m, up, out)
    normal = frame.rotation @ out
    normal = normal / np.linalg.norm(normal)
    tilt = math.asin(float(np.clip(normal[2], -1.0, 1.0)))
    rise = np.array([0.0, 0.0, 1.0]) - normal * normal[2]
    rise = rise / np.linalg.norm(rise)
    to_wall = np.array([np.cross(rise, normal), rise, normal])
    to_wall.setflags(write=False)
    back = float((frame.to_standing(vertices_m) @ normal).min())
    return HangingPose(frame, to_wall, tilt, back)


def hung_point(spot: Spot, pose: HangingPose) -> np.ndarray:
    """A spot of the hanging piece as a point (3,) of the shell file's axes.

    Measures count from the extents of the hanging piece. A spot without a measure along the depth lies in the plane of
    the piece's back, level behind where it is measured.

    Raises
    ------
    ValueError
        No measure along the width or the height.

    >>> box = np.array([[x, y, z] for x in (0.0, 1.0) for y in (0.0, 0.5) for z in (0.0, 2.0)])
    >>> pose = hanging_pose(box, Hang(out=(0.0, -1.0, 0.0), up=(1.0, 0.0, 0.0)))
    >>> (hung_point(Spot(from_left_m=0.3, from_top_m=0.1), pose) + 0.0).round(12).tolist()
    [0.9, 0.5, 1.7]
    """
    point = spot.standing(pose.frame, (math.nan, math.nan, math.nan))
    if math.isnan(point[0]) or math.isnan(point[2]):
        raise ValueError("a spot of the hanging piece needs a measure along the width and the height")
    if math.isnan(point[1]):
        point[1] = (pose.back_m - pose.out[2] * point[2]) / pose.out[1]
    return pose.frame.to_shell(point)


def hung_anchors(anchors: Sequence[Anchor], pose: HangingPose) -> np.ndarray:
    """Points (n, 3) of the anchors, in the shell file's axes; see ``hung_point``."""
    return np.array([hung_point(anchor.spot, pose) for anchor in anchors]).reshape(-1, 3)
