"""Round inserts bonded into foam."""

from __future__ import annotations

import math
from typing import Any


def insert_bearing(shear_n: float, diameter_m: float, depth_m: float, arm_m: float = 0.0) -> float:
    """Greatest pressure of a rigid round insert on the foam it is bonded into, (4 + 6 e / L) V / (d L).

    Parameters
    ----------
    shear_n : float or array [N] e.g. 100
    diameter_m : float or array [m] e.g. 0.03
    depth_m : float or array [m] e.g. 0.1
    arm_m : float or array [m] e.g. 0.02

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    V acts at ``arm_m`` outside the face of the foam, across the insert; foam an even elastic bed along the depth L,
    insert rigid, nothing held by the skin. Pressure falls linearly from this value at the face, changes side below
    two thirds of the depth and balances V and its moment.

    Examples
    --------
    >>> round(insert_bearing(100.0, 0.03, 0.1), 0)
    133333.0

    References
    ----------
    Equilibrium of a rigid body on an elastic bed, derived: p(z) = p0 - s z with force and moment as given.
    """
    return (4 + 6 * arm_m / depth_m) * shear_n / (diameter_m * depth_m)


def insert_shear_pull(strength_pa: float, diameter_m: float, depth_m: float) -> float:
    """Pull at which a cylinder of foam as wide as the insert or its head shears off, tau pi d L.

    Parameters
    ----------
    strength_pa : float or array [Pa] e.g. 200e3
    diameter_m : float or array [m] e.g. 0.03
    depth_m : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [N]

    Notes
    -----
    Shear even over the cylinder, which needs a foam that yields before it cracks: an upper bound where it does not.
    The bond between insert and foam is taken to be as strong as the foam.

    Examples
    --------
    >>> round(insert_shear_pull(200e3, 0.03, 0.1))
    1885

    References
    ----------
    Equilibrium of the cylinder.
    """
    return strength_pa * math.pi * diameter_m * depth_m


def head_crush_pull(strength_pa: float, head_m: float, shaft_m: float) -> float:
    """Pull at which a flat head crushes the foam before it, sigma pi (D^2 - d^2) / 4.

    Parameters
    ----------
    strength_pa : float or array [Pa] e.g. 276e3
    head_m : float or array [m] e.g. 0.08
    shaft_m : float or array [m] e.g. 0.02

    Returns
    -------
    float or array [N]

    Notes
    -----
    Head stiff, pressure even.

    Examples
    --------
    >>> round(head_crush_pull(276e3, 0.08, 0.02))
    1301

    References
    ----------
    Equilibrium of the head.
    """
    return strength_pa * math.pi * (head_m**2 - shaft_m**2) / 4


def rod_stress(shear_n: Any, axial_n: Any, diameter_m: float, arm_m: float) -> Any:
    """Greatest stress of a round rod held at one end, 4 N / (pi d^2) + 32 V e / (pi d^3).

    Parameters
    ----------
    shear_n : float or array [N] e.g. 500
    axial_n : float or array [N] e.g. 1000
    diameter_m : float or array [m] e.g. 0.016
    arm_m : float or array [m] e.g. 0.05

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Elastic, free over ``arm_m``; the sign of ``axial_n`` does not count. Shear stress is left out: it is nothing where
    bending is greatest.

    Examples
    --------
    >>> round(rod_stress(500.0, 1000.0, 0.016, 0.05) / 1e6, 1)
    67.1

    References
    ----------
    Navier's bending of a straight bar, any text on strength of materials.
    """
    return 4 * abs(axial_n) / (math.pi * diameter_m**2) + 32 * shear_n * arm_m / (math.pi * diameter_m**3)


def rod_push(stress_pa: float, modulus_pa: float, diameter_m: float, length_m: float, safety: float) -> float:
    """Push on a round rod held at one end, free at the other, 1 / (1 / (s A) + n / P), P = pi^2 E I / (2 L)^2.

    Parameters
    ----------
    stress_pa : float or array [Pa] e.g. 160e6
    modulus_pa : float or array [Pa] e.g. 210e9
    diameter_m : float or array [m] e.g. 0.016
    length_m : float or array [m] e.g. 0.3
    safety : float or array [-] e.g. 3

    Returns
    -------
    float or array [N]

    Notes
    -----
    ``safety`` divides Euler's load only; the stress is an allowed one. Rankine's sum is below both.

    Examples
    --------
    >>> round(rod_push(160e6, 210e9, 0.016, 0.3, 3.0))
    5180

    References
    ----------
    Euler's load of a cantilever, effective length 2 L; Rankine's formula; any text on strength of materials.
    """
    area, second = math.pi * diameter_m**2 / 4, math.pi * diameter_m**4 / 64
    squash = stress_pa * area
    return squash / (1.0 + safety * squash * (2 * length_m) ** 2 / (math.pi**2 * modulus_pa * second))


def plate_pull(shear_n: Any, pull_n: Any, arm_m: float, side_m: float) -> Any:
    """Pull on the one fixing of a stiff plate that a shear across a gap prises off its wall, N + 2 V e / b.

    Parameters
    ----------
    shear_n : float or array [N] e.g. 500
    pull_n : float or array [N] e.g. 1000
    arm_m : float or array [m] e.g. 0.05
    side_m : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [N]

    Notes
    -----
    The plate turns about its edge; it neither bends nor crushes the wall, which would shorten the arm b / 2.

    Examples
    --------
    >>> plate_pull(500.0, 1000.0, 0.05, 0.1)
    1500.0

    References
    ----------
    Moments about the edge of the plate.
    """
    return pull_n + 2 * shear_n * arm_m / side_m
