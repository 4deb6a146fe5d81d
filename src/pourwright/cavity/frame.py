"""The pour frame: the shell turned so that the pour direction points up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class PourFrame:
    """Axes of the standing piece: x to its right, y to its back, z up.

    ``rotation`` (3, 3) takes shell coordinates to standing ones: ``standing = rotation @ shell - offset``.
    ``offset_m`` puts the lowest, left-most and front-most extents of the skin at zero, so a standing
    coordinate is itself the measure from the left, from the front and from the base. Read-only arrays.
    """

    rotation: np.ndarray
    offset_m: np.ndarray
    size_m: np.ndarray  # (3,) extents of the standing skin: width, depth, height

    @property
    def up(self) -> np.ndarray:
        """The pour direction in the shell file's axes, unit length."""
        return self.rotation[2]

    def to_standing(self, points_m: np.ndarray) -> np.ndarray:
        """Shell coordinates (..., 3) to standing coordinates, metres."""
        return np.asarray(points_m) @ self.rotation.T - self.offset_m

    def to_shell(self, points_m: np.ndarray) -> np.ndarray:
        """Standing coordinates (..., 3) to shell coordinates, metres."""
        return (np.asarray(points_m) + self.offset_m) @ self.rotation


def pour_frame(vertices_m: np.ndarray, up: np.ndarray, front: np.ndarray) -> PourFrame:
    """Frame for a skin ``vertices_m`` (n, 3) stood with ``up`` (3,) upwards and ``front`` (3,) facing the reader.

    ``front`` is the direction from the piece towards the reader; its part along ``up`` is dropped, and
    where nothing is left of it the file's axis least along ``up`` is taken. Neither needs unit length.

    >>> import numpy as np
    >>> f = pour_frame(np.array([[0.0, 0, 0], [1, 2, 3]]), np.array([0.0, 0, 1]), np.array([0.0, -1, 0]))
    >>> f.to_standing(np.array([1.0, 2, 3]))
    array([1., 2., 3.])
    """
    z = np.asarray(up, float) / np.linalg.norm(up)
    y = -np.asarray(front, float)
    y = y - z * (y @ z)
    if np.linalg.norm(y) < 1e-9:
        axis = np.eye(3)[np.argmin(np.abs(z))]
        y = axis - z * (axis @ z)
    y = y / np.linalg.norm(y)
    rotation = np.array([np.cross(y, z), y, z])
    turned = np.asarray(vertices_m, float) @ rotation.T
    low, high = turned.min(axis=0), turned.max(axis=0)
    arrays = (rotation, low, high - low)
    for array in arrays:
        array.setflags(write=False)
    return PourFrame(*arrays)
