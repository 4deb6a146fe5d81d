"""Liquid that a turning wall carries round with it."""

from __future__ import annotations

import math

from pourwright.physics.constants import STANDARD_GRAVITY

CARRIED = math.sqrt(0.5)


def most_turned_film(kinematic_viscosity: float, speed: float) -> float:
    """Mean film that a wall turning about a level axis carries round at most: ``0.707 sqrt(nu U / g)``.

    Where the wall goes up the film carries ``U h - g h^3 / (3 nu)`` per width; no steady flow above
    ``2/3 U sqrt(nu U / g)`` passes there. With that flow the film all round is ``0.707 sqrt(nu U / g)`` in the mean.
    What is more runs back into the pool.

    Parameters
    ----------
    kinematic_viscosity : float [m^2/s] e.g. 0.001
    speed : float [m/s] e.g. 0.1
        Of the wall.

    Returns
    -------
    float [m]

    Raises
    ------
    ValueError
        For a viscosity or speed below zero.

    Notes
    -----
    Thin against the radius, slow enough for inertia not to count, no surface tension.

    Examples
    --------
    >>> round(most_turned_film(0.001, 0.1) * 1e3, 2)
    2.26

    References
    ----------
    H. K. Moffatt, Behaviour of a viscous film on the outer surface of a rotating cylinder, Journal de Mecanique 16
    (1977) 651-673 (from memory): a load of 4.44 R sqrt(nu U / g) at most, which is 2 pi times as much.
    """
    if kinematic_viscosity < 0 or speed < 0:
        raise ValueError("a turned film needs a viscosity and a speed of zero or more")
    return CARRIED * (kinematic_viscosity * speed / STANDARD_GRAVITY) ** 0.5
