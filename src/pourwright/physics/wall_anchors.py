"""Round inserts bonded into foam."""

from __future__ import annotations

import math


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
