"""Foam and polyethylene while they are hot: how stiff, how strong, and how far a part grows out of its fixture."""

from __future__ import annotations

from typing import Any

import numpy as np

from pourwright.physics.constants import ZERO_CELSIUS_K

FOAM_K = tuple(ZERO_CELSIUS_K + c for c in (23.0, 60.0, 100.0, 130.0, 150.0, 180.0))
FOAM_SHARE = (1.0, 0.85, 0.6, 0.4, 0.2, 0.05)
"""Of foam: temperatures [K], and what is left there of stiffness at 23 degC: our judgement, no published source."""
PLASTIC_K = tuple(ZERO_CELSIUS_K + c for c in (23.0, 37.8, 48.9, 60.0, 80.0, 100.0, 120.0))
PLASTIC_SHARE = (1.0, 0.73, 0.58, 0.43, 0.27, 0.15, 0.05)
"""Of polyethylene: to 60 degC the multipliers of apparent modulus of the Handbook of Polyethylene Pipe, 2nd ed., ch. 3,
appendix B.1 (from memory); above it our judgement, no published source."""


def warm_foam_share(temperature: Any) -> Any:
    """Stiffness and strength left to rigid polyurethane foam at a temperature, over that at 23 degC.

    Parameters
    ----------
    temperature : float or array [K] e.g. 373.15

    Returns
    -------
    float or array [-]

    Notes
    -----
    Our judgement, no published source, for a glass transition near 150 degC: 60 % at 100 degC, 40 % at 130 degC, a
    fifth at 150 degC, hardly anything at 180 degC. Below 23 degC it counts as 1. A part that was measured as it came
    out of its fixture is better.

    Examples
    --------
    >>> round(float(warm_foam_share(373.15)), 2)
    0.6
    """
    return np.interp(np.asarray(temperature, float), FOAM_K, FOAM_SHARE)


def warm_polyethylene_share(temperature: Any) -> Any:
    """Modulus of rotomolded polyethylene at a temperature over that at 23 degC.

    Parameters
    ----------
    temperature : float or array [K] e.g. 333.15

    Returns
    -------
    float or array [-]

    Notes
    -----
    Multipliers of a handbook for pipe up to 60 degC; that they hold for rotomoulding grades too is our judgement, and
    above 60 degC all of it is: it falls by half every 25 K or so, and melts near 130 degC. A supplier's
    curve for the resin is better.

    Examples
    --------
    >>> round(float(warm_polyethylene_share(333.15)), 2)
    0.43

    References
    ----------
    Plastics Pipe Institute, Handbook of Polyethylene Pipe, 2nd ed., chapter 3, appendix B.1 (from memory).
    """
    return np.interp(np.asarray(temperature, float), PLASTIC_K, PLASTIC_SHARE)


def hardened_share(conversion: Any, at_gel: Any) -> Any:
    """Stiffness of foam that is still reacting over that of foam that has done: ``(c - c_gel) / (1 - c_gel)``.

    Parameters
    ----------
    conversion : float or array [-] e.g. 0.95
        Share of the heat of reaction that has come.
    at_gel : float or array [-] e.g. 0.75
        The same when it gelled: there a network begins, and carries nothing yet.

    Returns
    -------
    float or array [-]

    Notes
    -----
    Straight between: our judgement, no published source. 0 before the gel point.

    Examples
    --------
    >>> round(float(hardened_share(0.95, 0.75)), 2)
    0.8
    """
    return np.clip((np.asarray(conversion, float) - at_gel) / (1.0 - at_gel), 0.0, 1.0)


def growth_share(pressure: Any, modulus: Any, poisson: Any = 0.33) -> Any:
    """Share by which foam with gas under pressure grows each way where nothing holds it: ``p (1 - 2 nu) / E``.

    Parameters
    ----------
    pressure : float or array [Pa] e.g. 15e3
        Of the gas in the cells over that of the air.
    modulus : float or array [Pa] e.g. 2e6
        Of the foam as it is at the moment.
    poisson : float or array [-] e.g. 0.33

    Returns
    -------
    float or array [-]

    Notes
    -----
    A linear solid under even tension from within. What its skin holds back is left out: on the safe side. Creep of hot
    foam is left out too: on the other side.

    Examples
    --------
    >>> round(growth_share(15e3, 2e6), 5)
    0.00255

    References
    ----------
    Hooke's law in three dimensions.
    """
    return pressure * (1.0 - 2.0 * poisson) / modulus
