"""Buckling of spheres and cylinders, bare and on an elastic core; wrinkling of a face on its core."""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import minimize_scalar

DIMENSIONS_BY_SCALING = ("axial_knockdown", "core_axial_ratio")


def sphere_collapse_pressure(
    radius_m: float, thickness_m: float, youngs_pa: float, poisson: float, half_angle_rad: float = math.pi / 2
) -> tuple[float, float]:
    """Outside pressure that buckles a sphere or cap: the classical value and the one with its knockdown.

    p_cl = 2 E (t/R)^2 / sqrt(3 (1 - nu^2)), p_cr = p_cl (0.14 + 3.2 / L^2),
    L = (12 (1 - nu^2))^(1/4) (R/t)^(1/2) 2 sin(phi / 2)

    Parameters
    ----------
    radius_m : float [m] e.g. 2.0
    thickness_m : float [m] e.g. 0.004
    youngs_pa : float [Pa] e.g. 70e9
    poisson : float [-] e.g. 0.33
    half_angle_rad : float

    Returns
    -------
    classical : float [Pa]
    design : float [Pa]

    Notes
    -----
    Elastic, clamped caps and deep shells, L > 2 (the design value is not a number below). Half angle pi/2 is a
    hemisphere.

    Examples
    --------
    >>> p_cl, p = sphere_collapse_pressure(2.0, 0.004, 70e9, 0.33)
    >>> round(p_cl), round(p)
    (342503, 48286)

    References
    ----------
    Zoelly 1915; NASA SP-8032 (1969), eqs. 1 to 4 (read at second hand).
    """
    classical = 2 * youngs_pa * (thickness_m / radius_m) ** 2 / (3 * (1 - poisson**2)) ** 0.5
    length = (12 * (1 - poisson**2)) ** 0.25 * (radius_m / thickness_m) ** 0.5 * 2 * math.sin(half_angle_rad / 2)
    return classical, classical * (0.14 + 3.2 / length**2 if length > 2 else math.nan)


def axial_knockdown(radius_over_thickness: float, bending: bool = False) -> float:
    """Share of the classical axial buckling stress that a real cylinder reaches.

    gamma = 1 - c (1 - exp(-phi)), phi = sqrt(r/t) / 16; c = 0.901 in compression, 0.731 in bending

    Parameters
    ----------
    radius_over_thickness : float or array [-] e.g. 100
    bending : bool

    Returns
    -------
    float or array [-]

    Notes
    -----
    r/t < 1500.

    Examples
    --------
    >>> round(float(axial_knockdown(100)), 5), round(float(axial_knockdown(100, bending=True)), 5)
    (0.58127, 0.66028)

    References
    ----------
    NASA/SP-8007-2020/Rev 2, eqs. 7 to 10 and 14, 15.
    """
    return 1 - (0.731 if bending else 0.901) * (1 - np.exp(-np.sqrt(radius_over_thickness) / 16))


def cylinder_axial_stress(radius_m: float, thickness_m: float, youngs_pa: float, poisson: float) -> float:
    """Classical axial buckling stress of a cylinder, E t / (r sqrt(3 (1 - nu^2))), before the knockdown.

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.3
    thickness_m : float or array [m] e.g. 0.003
    youngs_pa : float or array [Pa] e.g. 8e9
    poisson : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Elastic, moderately long. Multiply by ``axial_knockdown``.

    Examples
    --------
    >>> round(cylinder_axial_stress(0.3, 0.003, 8e9, 0.3) / 1e6, 2)
    48.42

    References
    ----------
    NASA/SP-8007-2020/Rev 2, section 4.1.1.
    """
    return youngs_pa * thickness_m / (radius_m * (3 * (1 - poisson**2)) ** 0.5)


def cylinder_collapse_pressure(
    radius_m: float, length_m: float, thickness_m: float, youngs_pa: float, poisson: float, knockdown: float = 0.5625
) -> tuple[float, float]:
    """Outside pressure that buckles a cylinder, and its curvature parameter gamma Z.

    p = 0.855 E sqrt(gamma) / ((1 - nu^2)^(3/4) (r/t)^(5/2) (L/r)), Z = L^2 / (r t) sqrt(1 - nu^2); a long one at
    least gamma E / (4 (1 - nu^2)) (t/r)^3

    Parameters
    ----------
    radius_m : float [m] e.g. 0.3
    length_m : float [m] e.g. 1.5
    thickness_m : float [m] e.g. 0.006
    youngs_pa : float [Pa] e.g. 0.35e9
    poisson : float [-] e.g. 0.42
    knockdown : float [-] e.g. 0.5625

    Returns
    -------
    pressure : float [Pa]
    gamma_z : float [-]

    Notes
    -----
    Ends held round. The first form holds for 100 < gamma Z < 11.8 (r/t)^2 (1 - nu^2); above, the long cylinder's
    value is taken; at or below 100 the pressure is given as not a number (not computed here).

    Examples
    --------
    >>> p, gz = cylinder_collapse_pressure(0.3, 1.5, 0.006, 0.35e9, 0.42)
    >>> round(p), round(gz)
    (2937, 638)

    References
    ----------
    NASA/SP-8007-2020/Rev 2, eqs. 4, 24, 27 and 28; gamma = 0.75^2 as recommended there.
    """
    slender = radius_m / thickness_m
    gamma_z = knockdown * length_m**2 / (radius_m * thickness_m) * (1 - poisson**2) ** 0.5
    if gamma_z <= 100:
        return math.nan * youngs_pa, gamma_z
    if gamma_z >= 11.8 * slender**2 * (1 - poisson**2):
        return knockdown * youngs_pa / (4 * (1 - poisson**2)) / slender**3, gamma_z
    form = (1 - poisson**2) ** 0.75 * slender**2.5 * (length_m / radius_m)
    return 0.855 * youngs_pa * knockdown**0.5 / form, gamma_z


def elastic_core_factor(
    radius_m: float, thickness_m: float, youngs_pa: float, poisson: float, core_pa: float, core_poisson: float
) -> float:
    """Core parameter of an axially loaded cylinder filled with an elastic core.

    phi_1 = (12 (1 - nu^2))^(1/4) / (4 (1 - nu_c^2)) (E_c / E) (r/t)^(3/2)

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.3
    thickness_m : float or array [m] e.g. 0.003
    youngs_pa : float or array [Pa] e.g. 8e9
    poisson : float or array [-] e.g. 0.3
    core_pa : float or array [Pa] e.g. 8e6
    core_poisson : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [-]

    Notes
    -----
    Core deeper than about five buckle lengths, no bond counted. Axial load carried by the skin alone.

    Examples
    --------
    >>> round(elastic_core_factor(0.3, 0.003, 8e9, 0.3, 8e6, 0.3), 5)
    0.49941

    References
    ----------
    Seide 1962; NASA/SP-8007-2020/Rev 2, eq. 129.
    """
    slender = (radius_m / thickness_m) ** 1.5
    return (12 * (1 - poisson**2)) ** 0.25 / (4 * (1 - core_poisson**2)) * core_pa / youngs_pa * slender


def core_axial_ratio(core_factor: float) -> float:
    """Buckling stress of a cylinder on an elastic core over the bare one: least of (x^-2 + x^2) / 2 + phi x over x.

    Parameters
    ----------
    core_factor : float [-] e.g. 0.5

    Returns
    -------
    float [-]

    Notes
    -----
    Any phi >= 0. Published limits 1 + phi (below 0.5) and 1.5 phi^(2/3) (above 3) bracket it. The bare cylinder's
    knockdown still applies.

    Examples
    --------
    >>> round(core_axial_ratio(0.5), 5), round(core_axial_ratio(3.0), 5)
    (1.47221, 3.34468)

    References
    ----------
    NASA/SP-8007-2020/Rev 2, eqs. 127 and 128 for the limits; the minimum is derived (``foundation`` holds k(alpha)).
    """
    found = minimize_scalar(
        lambda s: 0.5 * (math.exp(-2 * s) + math.exp(2 * s)) + core_factor * math.exp(s),
        bounds=(-12.0, 1.0),
        method="bounded",
        options={"xatol": 1e-10},
    )
    return float(found.fun)


def core_lateral_ratio(
    radius_m: float, thickness_m: float, youngs_pa: float, poisson: float, core_pa: float, core_poisson: float
) -> float:
    """Outside pressure p r^3 / D that buckles a long cylinder on an elastic core (bare: 3).

    k / (1 + E_c r / (E t (1 - nu_c))) = 3 phi_2^(2/3), phi_2 = 3 (1 - nu^2) / (1 - nu_c^2) (E_c / E) (r/t)^3

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.3
    thickness_m : float or array [m] e.g. 0.003
    youngs_pa : float or array [Pa] e.g. 8e9
    poisson : float or array [-] e.g. 0.3
    core_pa : float or array [Pa] e.g. 8e6
    core_poisson : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [-]

    Notes
    -----
    Straight-line part of the published curve: phi_2 well above one. Needs foam bonded or pressed on all round.

    Examples
    --------
    >>> round(core_lateral_ratio(0.3, 0.003, 8e9, 0.3, 8e6, 0.3))
    713

    References
    ----------
    NASA/SP-8007-2020/Rev 2, eqs. 131 to 133.
    """
    phi = 3 * (1 - poisson**2) / (1 - core_poisson**2) * core_pa / youngs_pa * (radius_m / thickness_m) ** 3
    return 3 * phi ** (2 / 3) * (1 + core_pa * radius_m / (youngs_pa * thickness_m * (1 - core_poisson)))


def wrinkling_stress(face_pa: float, core_pa: float, core_shear_pa: float, factor: float = 0.5) -> float:
    """Face stress at which a bonded face wrinkles on its core, factor (E_f E_c G_c)^(1/3).

    Parameters
    ----------
    face_pa : float or array [Pa] e.g. 8e9
    core_pa : float or array [Pa] e.g. 8e6
    core_shear_pa : float or array [Pa] e.g. 3.08e6
    factor : float or array [-] e.g. 0.5

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    0.5 is the design value, 0.91 the theory of a perfect face. An unbonded face has no such resistance outwards.

    Examples
    --------
    >>> round(float(wrinkling_stress(8e9, 8e6, 3.08e6)) / 1e6, 2)
    29.1

    References
    ----------
    Hoff & Mautner 1945, J. Aero. Sci. 12; NASA/SP-8007-2020/Rev 2, eq. 122.
    """
    return factor * (face_pa * core_pa * core_shear_pa) ** (1 / 3)


def wrinkling_constant(core_poisson: float) -> float:
    """Allen's constant B in sigma_w = B E_f^(1/3) E_c^(2/3): 3 (12 (3 - nu)^2 (1 + nu)^2)^(-1/3).

    Parameters
    ----------
    core_poisson : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [-]

    Notes
    -----
    Deep isotropic core in plane stress, perfect bond and a perfect face.

    Examples
    --------
    >>> round(wrinkling_constant(0.3), 4), round(wrinkling_constant(0.25), 4)
    (0.5674, 0.5753)

    References
    ----------
    Allen 1969, ch. 8 (from memory; recomputed from k(alpha) in ``foundation``).
    """
    return 3 / (12 * (3 - core_poisson) ** 2 * (1 + core_poisson) ** 2) ** (1 / 3)
