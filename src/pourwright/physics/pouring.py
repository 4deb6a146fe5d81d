"""Liquid on its way in: down a tube by its own weight, and what stays on its wall."""

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


def drained_film(length: Any, density: Any, viscosity: Any, time: Any) -> Any:
    """Mean thickness of the film left on an upright wall that drains: ``2/3 sqrt(mu L / (rho g t))``.

    Parameters
    ----------
    length : float or array [m] e.g. 1.0
        Of wall, from its top down.
    density : float or array [kg/m^3] e.g. 1100
    viscosity : float or array [Pa*s] e.g. 0.5
    time : float or array [s] e.g. 15
        It has drained for.

    Returns
    -------
    float or array [m]

    Notes
    -----
    The film at depth z is ``sqrt(mu z / (rho g t))``; its mean over the length is two thirds of that at the foot. Thin
    against the radius of a tube; no drop hangs at the foot; the liquid has not begun to set.

    Examples
    --------
    >>> f"{drained_film(1.0, 1100, 0.5, 15) * 1000:.2f} mm"
    '1.17 mm'

    References
    ----------
    Jeffreys, Proc. Cambridge Phil. Soc. 26 (1930) 204-205, the draining of a vertical plate (from memory).
    """
    return 2 / 3 * (viscosity * length / (density * STANDARD_GRAVITY * time)) ** 0.5
