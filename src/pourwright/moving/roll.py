"""How a piece that hangs by a line of two points rolls about it."""

from __future__ import annotations

import math

import numpy as np


def rolled(line: np.ndarray, arm: np.ndarray) -> float:
    """Angle [rad] by which a piece rolls about a line until a mass at ``arm`` from a point of it is plumb below it.

    >>> round(math.degrees(rolled(np.array([1.0, 0, 0]), np.array([0.3, 0.2, -0.2]))))
    45
    """
    along = line / np.linalg.norm(line)
    beside, down = (way - (way @ along) * along for way in (arm, np.array([0.0, 0.0, -1.0])))
    size = float(np.linalg.norm(beside) * np.linalg.norm(down))
    return math.acos(float(np.clip(beside @ down / size, -1.0, 1.0))) if size > 1e-9 else 0.0


def turns_over(roll_rad: float) -> bool:
    """Whether a mass that rolls so far was above the line.

    >>> turns_over(math.radians(90)), turns_over(math.radians(91))
    (False, True)
    """
    return roll_rad > math.pi / 2 + 1e-9  # what rounding makes of a right angle
