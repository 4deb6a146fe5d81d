"""Stiffness and strength of rigid foam from its density, and the depth of water that crushes it.

Solid polyurethane, from memory of Gibson & Ashby, Cellular Solids, 2nd ed. 1997, Table 3.1: 1.6 GPa, 127 MPa,
1200 kg/m3. A grade's data sheet overrides every value here.
"""

from __future__ import annotations

from typing import Any

from pourwright.physics.constants import SOLID_DENSITY, STANDARD_GRAVITY

SOLID_MODULUS = 1.6e9  # [Pa]
SOLID_YIELD = 127e6  # [Pa]
SHEAR_REFERENCE_STRENGTH = 120e3  # [Pa]
SHEAR_REFERENCE_DENSITY = 30.0  # [kg/m^3]
SHEAR_EXPONENT = 1.098
COLLAPSE_EXPONENT = 1.5
"""Of the density, in the collapse of open cells; Gibson & Ashby, Cellular Solids, chapter 5, from memory."""
COLLAPSE_TYPICAL = 0.30
"""Of the solid's yield stress; from memory, as above."""


def random_field_modulus(density: Any) -> Any:
    """Young's modulus by the closed-cell Gaussian-random-field law: ``E = 0.694 Es (rho/rhos)^1.54``.

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Published for relative densities 0.15 to 0.4 (2 %); below 0.15, that is below 180 kg/m3, it is an
    extrapolation. It agrees with the range of pour foams (from memory 7 to 10 MPa at 48 kg/m3); tetrakaidecahedral
    models are two to three times stiffer.

    Examples
    --------
    >>> round(random_field_modulus(48.055) / 1e6, 2)
    7.82

    References
    ----------
    Roberts & Garboczi, Acta Materialia 49 (2001) 189-197, eq. 11 of the authors' NIST pages.
    """
    return 0.694 * SOLID_MODULUS * (density / SOLID_DENSITY) ** 1.54


def collapse_stress(density: Any, factor: Any = COLLAPSE_TYPICAL) -> Any:
    """Compressive collapse stress: ``0.3 sigma_ys (rho/rhos)^1.5``.

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06
    factor : float or array [-] e.g. 0.3
        0.30 typical; 0.27 is a lower value for design that gives 40 psi at 3 lb/ft3 (our judgement).

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    The open-cell form, which fits closed-cell polyurethane better than the closed-cell one. Relative density
    below about 0.3. Along the rise; across it 0.6 to 0.8 of that (from memory).

    Examples
    --------
    >>> round(collapse_stress(48.06) / 1e3), round(collapse_stress(48.06, 0.27) / 6894.757, 1)
    (305, 39.9)

    References
    ----------
    Gibson & Ashby, Cellular Solids, 2nd ed. 1997, chapter 5 (form and constants from memory).
    """
    return factor * SOLID_YIELD * (density / SOLID_DENSITY) ** COLLAPSE_EXPONENT


def shear_strength(density: Any) -> Any:
    """Shear strength through a published range's end points: ``120 kPa (rho / 30 kg/m3)^1.098``.

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    30 to 100 kg/m3; do not use above 130. At 48 kg/m3 it is 27 % below a United States guide specification's
    minimum (275 kPa), so on the safe side. The power law between the end points is ours.

    Examples
    --------
    >>> round(shear_strength(48.06) / 1e3)
    201
    """
    return SHEAR_REFERENCE_STRENGTH * (density / SHEAR_REFERENCE_DENSITY) ** SHEAR_EXPONENT


def crush_depth(strength: Any, water_density: Any = 1025.0, share: Any = 1.0, gravity: float = STANDARD_GRAVITY) -> Any:
    """Depth of water whose pressure is ``share`` of the foam's strength: ``share sigma / (rho_w g)``.

    Parameters
    ----------
    strength : float or array [Pa] e.g. 275790
    water_density : float or array [kg/m^3] e.g. 1025
    share : float or array [-] e.g. 1
        1 crushes; 0.5 up to a day, 0.25 for good (our judgement; creep tests of insulation give 0.20 to 0.25).
    gravity : float [m/s^2] e.g. 9.80665

    Returns
    -------
    float or array [m]

    Notes
    -----
    Hydrostatic yield differs from uniaxial strength and can be lower: a screening value, not a rating.

    Examples
    --------
    >>> round(crush_depth(275790.0), 1), round(crush_depth(275790.0, share=0.25), 1)
    (27.4, 6.9)
    """
    return share * strength / (water_density * gravity)
