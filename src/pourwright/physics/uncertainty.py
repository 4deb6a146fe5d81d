"""Combining uncertainties after the Guide to the Expression of Uncertainty in Measurement (GUM)."""

from __future__ import annotations

import numpy as np

DIMENSIONS_BY_SCALING = ("centre_uncertainty", "combined")


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known only to lie within plus or minus a: a / sqrt(3).

    Parameters
    ----------
    half_width : float or array [-] e.g. 5

    Returns
    -------
    float or array [-]

    Notes
    -----
    Any unit; comes back in the same.

    Examples
    --------
    >>> round(rectangular(5.0), 4)
    2.8868

    References
    ----------
    JCGM 100:2008 (GUM), 4.3.7.
    """
    return half_width / 3**0.5


def triangular(half_width: float) -> float:
    """Standard uncertainty where values near the middle are likelier than the bounds plus or minus a: a / sqrt(6).

    Parameters
    ----------
    half_width : float or array [-] e.g. 5

    Returns
    -------
    float or array [-]

    Notes
    -----
    Any unit; comes back in the same.

    Examples
    --------
    >>> round(triangular(5.0), 4)
    2.0412

    References
    ----------
    JCGM 100:2008 (GUM), 4.3.9.
    """
    return half_width / 6**0.5


def combined(contributions: float, correlated: bool = False) -> float:
    """Standard uncertainty of a sum of contributions c_i u_i: root of the sum of squares, or their plain sum.

    u^2 = sum (c_i u_i)^2 where independent, u = |sum c_i u_i| where they share one cause (correlation 1)

    Parameters
    ----------
    contributions : float or array [-] e.g. [3,4]
    correlated : bool

    Returns
    -------
    float [-]

    Notes
    -----
    First order: good while the formula is near straight over the uncertainties. Any unit. Batches of one foam share
    their density error: pass ``correlated=True``.

    Examples
    --------
    >>> float(combined([3.0, 4.0])), float(combined([3.0, 4.0], correlated=True))
    (5.0, 7.0)

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 and 5.2.2.
    """
    values = np.asarray(contributions)
    return abs(values.sum()) if correlated else (values**2).sum() ** 0.5


def product_uncertainty(value_a: float, relative_a: float, value_b: float, relative_b: float) -> float:
    """Standard uncertainty of a product of two independent values, |a b| sqrt(r_a^2 + r_b^2).

    Parameters
    ----------
    value_a : float or array [m^3] e.g. 0.5
    relative_a : float or array [-] e.g. 0.03
    value_b : float or array [kg/m^3] e.g. 45
    relative_b : float or array [-] e.g. 0.064

    Returns
    -------
    float or array [kg]

    Notes
    -----
    The r are standard uncertainties as shares of the value; written here for volume times density.

    Examples
    --------
    >>> round(product_uncertainty(0.5, 0.03, 45.0, rectangular(5.0) / 45.0), 3)
    1.593

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.6.
    """
    return abs(value_a * value_b) * (relative_a**2 + relative_b**2) ** 0.5


def expanded(standard: float, coverage: float = 2.0) -> float:
    """Expanded uncertainty U = k u; k = 2 covers about 95 %.

    Parameters
    ----------
    standard : float or array [-] e.g. 1.593
    coverage : float or array [-] e.g. 2

    Returns
    -------
    float or array [-]

    Notes
    -----
    k = 2 where the combined value is near normal.

    Examples
    --------
    >>> round(expanded(1.593), 2)
    3.19

    References
    ----------
    JCGM 100:2008 (GUM), 6.2.
    """
    return coverage * standard


def centre_uncertainty(
    mass_kg: np.ndarray, mass_u_kg: np.ndarray, place_m: np.ndarray, place_u_m: np.ndarray
) -> tuple[float, float, float, float]:
    """Mass and centre of mass of parts on one axis with their standard uncertainties.

    X = sum m x / M, dX/dm_i = (x_i - X) / M, dX/dx_i = m_i / M

    Parameters
    ----------
    mass_kg : array [kg] e.g. [20,22.5]
    mass_u_kg : array [kg] e.g. [1,1.6]
    place_m : array [m] e.g. [0.3,0.9]
    place_u_m : array [m] e.g. [0.01,0.03]

    Returns
    -------
    mass : float [kg]
    mass_u : float [kg]
    centre : float [m]
    centre_u : float [m]

    Notes
    -----
    Parts independent of each other; first order.

    Examples
    --------
    >>> m, um, x, ux = centre_uncertainty([20, 22.5], [1, 1.61], [0.3, 0.9], [0.01, 0.03])
    >>> round(m, 1), round(um, 3), round(x, 5), round(ux, 5)
    (42.5, 1.895, 0.61765, 0.02109)

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2.
    """
    m, um, x, ux = (np.asarray(a, float) for a in (mass_kg, mass_u_kg, place_m, place_u_m))
    total = m.sum()
    centre = (m * x).sum() / total
    spread = (((x - centre) / total * um) ** 2).sum() + ((m / total * ux) ** 2).sum()
    return float(total), float((um**2).sum() ** 0.5), float(centre), float(spread**0.5)
