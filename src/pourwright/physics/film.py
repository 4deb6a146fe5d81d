"""Cooling of a slab by the air over one face: how warm the face is that the next lift lands on."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import erfcx


@lru_cache(maxsize=64)
def _roots(biot: float, terms: int = 60) -> np.ndarray:
    """Roots of ``b tan b = Bi``, one in each ((n pi), (n + 1/2) pi)."""
    return np.array(
        [
            brentq(lambda b: b * math.sin(b) - biot * math.cos(b), n * math.pi, (n + 0.5) * math.pi, xtol=1e-13)
            for n in range(terms)
        ]
    )


def slab_shares(
    time: float, thickness: float, diffusivity: float, conductivity: float, film: float
) -> tuple[float, float]:
    """Shares of the excess left at the cooled face and at the far face of a slab that air cools on one face.

    ``theta(x) = sum 4 sin b / (2 b + sin 2b) cos(b x/L) exp(-b^2 Fo)``, ``b tan b = h L / k``; the far face is
    adiabatic. A slab that air cools on both faces is two such slabs of half the thickness, back to back.
    Early (Fo < 0.01) the face is that of a half-space, ``exp(z^2) erfc(z)``, ``z = h sqrt(alpha t) / k``.

    Parameters
    ----------
    time : float [s] e.g. 1800
    thickness : float [m] e.g. 0.15
    diffusivity : float [m^2/s] e.g. 3.468e-7
    conductivity : float [W/(m K)] e.g. 0.03
    film : float [W/(m^2 K)] e.g. 8
        Surface coefficient: about 5 to 10 in still air, radiation included.

    Returns
    -------
    face : float [-]
    far : float [-]

    Notes
    -----
    The face is what the next lift lands on. It cools in minutes while the core stays hot: a cool face says
    nothing about the core.

    Examples
    --------
    >>> face, far = slab_shares(1800.0, 0.15, 3.468e-7, 0.03, 8.0)
    >>> round(face, 3), round(far, 3)
    (0.084, 1.0)

    References
    ----------
    Carslaw & Jaeger, 2nd ed. 1959, sections 3.11 (slab with radiation at its surface) and 2.7 (half-space).
    """
    fo = float(diffusivity * time / thickness**2)
    biot = float(film * thickness / conductivity)
    if fo < 0.01:
        return float(erfcx(biot * math.sqrt(fo))), 1.0
    b = _roots(biot)
    weight = 4 * np.sin(b) / (2 * b + np.sin(2 * b)) * np.exp(-(b**2) * fo)
    return float(weight @ np.cos(b)), float(weight.sum())


def slab_time_to_face(share: float, thickness: float, diffusivity: float, conductivity: float, film: float) -> float:
    """Time until the air-cooled face of `slab_shares` keeps ``share`` of the excess.

    Parameters
    ----------
    share : float [-] e.g. 0.2
    thickness : float [m] e.g. 0.15
    diffusivity : float [m^2/s] e.g. 3.468e-7
    conductivity : float [W/(m K)] e.g. 0.03
    film : float [W/(m^2 K)] e.g. 8

    Returns
    -------
    float [s]

    Raises
    ------
    ValueError
        For a share outside (0, 1).

    Examples
    --------
    >>> t = slab_time_to_face(0.2, 0.15, 3.468e-7, 0.03, 8.0)
    >>> round(slab_shares(t, 0.15, 3.468e-7, 0.03, 8.0)[0], 6)
    0.2
    """
    wanted = float(share)
    if not 0 < wanted < 1:
        raise ValueError(f"share of the excess must be between 0 and 1, got {wanted:g}")
    biot = float(film * thickness / conductivity)

    def off(log_fo: float) -> float:
        return slab_shares(math.exp(log_fo), 1.0, 1.0, 1.0, biot)[0] - wanted

    high = math.log(10.0 + 10.0 / min(biot, 10.0))
    return math.exp(brentq(off, -30.0, high, xtol=1e-12)) * thickness**2 / diffusivity
