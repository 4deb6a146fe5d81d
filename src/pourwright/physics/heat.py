"""Heat: adiabatic rise, cooling of slabs and spheres, and what a cool wall or the next lift meets.

Excess means temperature above the surroundings; a share of it is excess over the excess at the start.
Series are those of Carslaw and Jaeger; near time zero, where they converge slowly, the image form is used.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np

_SERIES_FROM = 0.03  # Fourier number above which the eigenfunction series is used (few terms on either side)
_TERMS = 12


def adiabatic_rise(heat: float, specific_heat: float) -> float:
    r"""Temperature rise of a mass that keeps all its heat: ``heat / specific_heat``.

    Parameters
    ----------
    heat : float [J/kg] e.g. 250e3
        Heat of reaction per kilogram of mixed liquids.
    specific_heat : float [J/(kg K)] e.g. 1700
        Mean specific heat over the rise.

    Returns
    -------
    float [K]
        Rise above the temperature at the start.

    Notes
    -----
    Valid where reaction outruns conduction: the core of more than some 65 mm of risen 48 kg/m3 foam.

    Examples
    --------
    >>> round(adiabatic_rise(250e3, 1700), 2)
    147.06
    """
    return heat / specific_heat


def diffusivity(conductivity: float, density: float, specific_heat: float) -> float:
    """Thermal diffusivity ``k / (rho c)``.

    Parameters
    ----------
    conductivity : float [W/(m K)] e.g. 0.025
    density : float [kg/m^3] e.g. 48.06
    specific_heat : float [J/(kg K)] e.g. 1500

    Returns
    -------
    float [m^2/s]

    Examples
    --------
    >>> f"{diffusivity(0.025, 48.06, 1500):.3e}"
    '3.468e-07'
    """
    return conductivity / (density * specific_heat)


def effusivity(conductivity: float, density: float, specific_heat: float) -> float:
    """Thermal effusivity ``sqrt(k rho c)``: how strongly a body holds its own temperature on contact.

    Parameters
    ----------
    conductivity : float [W/(m K)] e.g. 0.03
    density : float [kg/m^3] e.g. 48.06
    specific_heat : float [J/(kg K)] e.g. 1800

    Returns
    -------
    float [W s^0.5/(m^2 K)]

    Examples
    --------
    >>> round(effusivity(0.03, 48.06, 1800), 1)
    50.9
    """
    return (conductivity * density * specific_heat) ** 0.5


def slab_share(fourier: Any, position: Any = 0.5) -> Any:
    r"""Share of the excess left at ``position`` in a slab whose two faces are held at the surroundings.

    ``theta = (4/pi) sum sin((2n+1) pi x) / (2n+1) exp(-(2n+1)^2 pi^2 Fo)``

    Parameters
    ----------
    fourier : float or array [-] e.g. 0.125
        ``alpha t / L^2`` with L the FULL thickness. With one face adiabatic use twice the thickness.
    position : float or array [-] e.g. 0.5
        Distance from one face over the thickness, 0 to 1.

    Returns
    -------
    float or array [-]

    Examples
    --------
    Centre, half-thickness Fourier number 0.5, that is 0.125 on the full thickness:

    >>> round(float(slab_share(0.125)), 5)
    0.37078

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 3.3 (slab, zero surface temperature,
    constant initial temperature; series and image forms).
    """
    from scipy.special import erfc  # slow to load, and most have no use for it

    fo, x = np.broadcast_arrays(np.asarray(fourier, float)[..., None], np.asarray(position, float)[..., None])
    n = np.arange(_TERMS)
    odd = 2 * n + 1
    series = 4 / np.pi * np.sum(np.sin(odd * np.pi * x) / odd * np.exp(-(odd**2) * np.pi**2 * fo), axis=-1)
    root = 2 * np.sqrt(np.maximum(fo, 1e-12))
    images = 1 - np.sum((-1.0) ** n * (erfc((n + x) / root) + erfc((n + 1 - x) / root)), axis=-1)
    return np.where(fo[..., 0] < _SERIES_FROM, images, series)[()]


@lru_cache(maxsize=256)
def _slab_fourier_at(share: float) -> float:
    """Full-thickness Fourier number at which the centre of a slab keeps ``share`` of its excess."""
    if not 0 < share < 1:
        raise ValueError(f"share of the excess must be between 0 and 1, got {share:g}")
    guess = max(math.log(4 / (math.pi * share)) / math.pi**2, 0.0)  # one term of the series, exact as share -> 0
    from scipy.optimize import brentq  # slow to load, and most have no use for it

    return float(brentq(lambda fo: float(slab_share(fo)) - share, 1e-4, guess + 0.1, xtol=1e-12, rtol=1e-12))


def slab_time_to_share(share: float, thickness: float, diffusivity: float, one_face_adiabatic: bool = False) -> float:
    """Time until the hottest plane of a cooling slab keeps ``share`` of its excess; root of `slab_share`.

    Parameters
    ----------
    share : float [-] e.g. 0.3
        More than 0, less than 1.
    thickness : float [m] e.g. 0.15
        Full thickness.
    diffusivity : float [m^2/s] e.g. 3.468e-7
    one_face_adiabatic : bool
        One face passes no heat (hot foam behind it): as a slab twice as thick, four times the time.

    Returns
    -------
    float [s]

    Raises
    ------
    ValueError
        For a share outside (0, 1).

    Examples
    --------
    >>> round(slab_time_to_share(0.5, 0.30, 3.468e-7) / 3600, 2)
    6.83

    References
    ----------
    Carslaw & Jaeger, 2nd ed. 1959, section 3.3.
    """
    length = 2 * thickness if one_face_adiabatic else thickness
    return _slab_fourier_at(float(share)) * length**2 / diffusivity
