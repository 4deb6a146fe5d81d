"""A skin seen from one side on a chart, each triangle in its own colour."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection

TILT_DEG = 20.0
"""From above the level: so much is looked down on the piece."""


def seen_from(points_m: np.ndarray, azimuth_deg: float, tilt_deg: float = TILT_DEG) -> np.ndarray:
    """Right, up and away (..., 3) of points (..., 3) in standing axes for someone who looks down on the piece.

    An azimuth of 0 looks from the front, 90 from the right.

    >>> seen_from(np.array([0.0, 0.0, 1.0]), 0.0, 0.0).tolist()
    [0.0, 1.0, 0.0]
    """
    turn, lift = np.radians(azimuth_deg), np.radians(tilt_deg)
    right = np.array([np.cos(turn), np.sin(turn), 0.0])
    away = np.array([-np.sin(turn) * np.cos(lift), np.cos(turn) * np.cos(lift), -np.sin(lift)])
    over = np.cross(right, away)
    return np.asarray(points_m @ np.stack([right, over, away], axis=1))


def paint_skin(
    ax: Axes,
    corners_m: np.ndarray,
    normal: np.ndarray,
    colour: np.ndarray,
    azimuth_deg: float,
    tilt_deg: float = TILT_DEG,
) -> None:
    """Draw triangles, those that face away first and then the farthest first.

    Parameters
    ----------
    ax : Axes
        Gets the limits of what is drawn, even scales and no frame.
    corners_m : ndarray (n, 3, 3)
        Standing axes.
    normal : ndarray (n, 3)
        Unit, outwards, standing axes.
    colour : ndarray (n, 3)
        0 to 1, as in full light.
    azimuth_deg, tilt_deg : float
        As for `seen_from`.
    """
    facing = seen_from(normal, azimuth_deg, tilt_deg)
    seen = seen_from(corners_m, azimuth_deg, tilt_deg)
    order = np.lexsort((-seen[..., 2].mean(axis=1), facing[:, 2] < 0))  # those that face away close the outline's gaps
    flat = seen[order, :, :2]
    light = 0.72 + 0.28 * np.clip((facing[order, 1] - facing[order, 2]) / np.sqrt(2.0), 0.0, 1.0)
    shade = colour[order] * light[:, None]
    ax.add_collection(PolyCollection(list(flat), facecolors=shade, edgecolors=shade, linewidths=0.1))
    ax.set_xlim(flat[..., 0].min(), flat[..., 0].max())
    ax.set_ylim(flat[..., 1].min(), flat[..., 1].max())
    ax.set_aspect("equal")
    ax.set_axis_off()
