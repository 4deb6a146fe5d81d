"""Liquid on its way in: down a tube by its own weight."""

from __future__ import annotations

import math
from typing import Any

from pourwright.physics.constants import STANDARD_GRAVITY


def tube_flow(bore: Any, density: Any, viscosity: Any) -> Any:
    """Volume flow down an upright tube that runs full, by its own weight alone: ``Q = pi rho g r^4 / (8 mu)``.

    Parameters
    ----------
    bore : float or array [m] e.g. 0.025
    density : float or array [kg/m^3] e.g. 1100
    viscosity : float or array [Pa*s] e.g. 0.5

    Returns
    -------
    float or array [m^3/s]

    Notes
    -----
    Laminar (Reynolds number below about 2000), Newtonian, open to the air at both ends: the length cancels.

    Examples
    --------
    >>> f"{tube_flow(0.025, 1100, 0.5) * 1000:.3f} L/s"
    '0.207 L/s'

    References
    ----------
    Hagen and Poiseuille, in any textbook of fluid mechanics (from memory).
    """
    return math.pi * density * STANDARD_GRAVITY * (bore / 2) ** 4 / (8 * viscosity)
