"""Liquid left on a wall that it runs down: what a coat can keep before it sets, and what stays in a tube."""

from __future__ import annotations

import math

import numpy as np

from pourwright.physics.constants import STANDARD_GRAVITY


def draining_film(run: float, slope: float, thinning: float) -> float:
    """Mass per area that is left on a wall after it has drained.

    A film of mass ``m`` per area flows down with ``g sin(slope) m^3 / (3 mu rho)``; far from its upper edge it keeps
    ``m = sqrt(run / (g sin(slope) S))`` with ``S = integral dt / (mu rho)``, whatever was put on, if that was
    more. With constant viscosity and density that is Jeffreys' film ``h = sqrt(mu x / (rho g t))``.

    Parameters
    ----------
    run : float [m] e.g. 0.3
        Way down from where the wet wall begins.
    slope : float [rad] e.g. 1.5708
        Of the wall against the level; the film is thinnest on an upright one.
    thinning : float [m^4 s^2/kg^2] e.g. 0.02
        ``S``, over the time that it drains; `thinning` gives it.

    Returns
    -------
    float [kg/m^2]
        Infinite on a level wall or without time.

    Raises
    ------
    ValueError
        For a run or slope below zero.

    Examples
    --------
    Glycerine (1.2 Pa s, 1260 kg/m3) for 60 s, 0.3 m under the edge of an upright plate:

    >>> round(draining_film(0.3, 1.5708, 60 / (1.2 * 1260)) / 1260 * 1e3, 3)
    0.697

    References
    ----------
    H. Jeffreys, The draining of a vertical plate, Proc. Cambridge Phil. Soc. 26 (1930) 204-205 (from memory). The
    form with changing viscosity follows from the same balance.
    """
    if run < 0 or slope < 0:
        raise ValueError("a film needs a run and a slope of zero or more")
    pull = STANDARD_GRAVITY * math.sin(min(slope, 0.5 * math.pi)) * thinning
    return (run / pull) ** 0.5 if pull > 0 else math.inf


def thinning(time: np.ndarray, viscosity: np.ndarray, density: np.ndarray, start: float, end: float) -> float:
    """``integral dt / (viscosity density)`` from ``start`` to ``end``, for `draining_film`.

    Parameters
    ----------
    time : ndarray (n,) [s] e.g. [0,40,100]
        Rising.
    viscosity : ndarray (n,) [Pa s] e.g. [1.2,1.5,4.0]
    density : ndarray (n,) [kg/m^3] e.g. [1260,900,300]
    start : float [s] e.g. 10
    end : float [s] e.g. 90

    Returns
    -------
    float [m^4 s^2/kg^2]
        Zero where ``end`` is not after ``start``.

    Examples
    --------
    >>> round(thinning(np.array([0.0, 100.0]), np.array([1.2, 1.2]), np.array([1260.0, 1260.0]), 0, 60) * 1512, 6)
    60.0

    References
    ----------
    The time integral of the balance in `draining_film`, by trapezoids.
    """
    if end <= start:
        return 0.0
    at = np.unique(np.concatenate([np.clip(time, start, end), [start, end]]))
    rate = np.interp(at, time, 1.0 / (np.asarray(viscosity) * np.asarray(density)))
    return float(np.trapezoid(rate, at))


def drained_film(length: float, density: float, viscosity: float, time: float) -> float:
    """Mean thickness of the film left on a vertical wall that drains: ``2/3 sqrt(mu L / (rho g t))``.

    Parameters
    ----------
    length : float [m] e.g. 1.0
        Of wall, from its top down.
    density : float [kg/m^3] e.g. 1100
    viscosity : float [Pa*s] e.g. 0.5
    time : float [s] e.g. 15
        It has drained for.

    Returns
    -------
    float [m]

    Notes
    -----
    The film at depth z is that of `draining_film`; its mean over the length is two thirds of that at the foot. Thin
    against the radius of a tube; no drop hangs at the foot; the liquid has not begun to set.

    Examples
    --------
    >>> f"{drained_film(1.0, 1100, 0.5, 15) * 1000:.2f} mm"
    '1.17 mm'

    References
    ----------
    Jeffreys, Proc. Cambridge Phil. Soc. 26 (1930) 204-205, the draining of a vertical plate (from memory).
    """
    return 2 / 3 * draining_film(length, math.pi / 2, time / (viscosity * density)) / density
