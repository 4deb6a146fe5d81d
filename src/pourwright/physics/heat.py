"""Heat: adiabatic rise, cooling of slabs and spheres, and what a cool wall or the next lift meets.

Excess means temperature above the surroundings; a share of it is excess over the excess at the start.
Series are those of Carslaw and Jaeger; near time zero, where they converge slowly, the image form is used.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from scipy.optimize import brentq
from scipy.special import erfc

# Series over arrays that quantities cannot pass through.
DIMENSIONS_BY_SCALING = ("slab_share", "slab_mean_share", "sphere_centre_share")

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


def contact_temperature(first: float, first_effusivity: float, second: float, second_effusivity: float) -> float:
    """Temperature of the face where two thick bodies touch, from the moment they do.

    ``T = (e1 T1 + e2 T2) / (e1 + e2)``

    Parameters
    ----------
    first : float [K] e.g. 412
    first_effusivity : float [W s^0.5/(m^2 K)] e.g. 50.9
    second : float [K] e.g. 295
    second_effusivity : float [W s^0.5/(m^2 K)] e.g. 886

    Returns
    -------
    float [K]

    Notes
    -----
    Both bodies semi-infinite: for a skin of thickness s only while ``diffusivity * time << s**2`` (seconds to a
    minute for 5 mm). After that see `equalised_temperature`.

    Examples
    --------
    >>> round(contact_temperature(139.0, 50.9, 22.0, 886.0), 1)
    28.4

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 2.15 (two semi-infinite regions).
    """
    return (first * first_effusivity + second * second_effusivity) / (first_effusivity + second_effusivity)


def equalised_temperature(first: float, first_capacity: float, second: float, second_capacity: float) -> float:
    """Common temperature of two bodies that share their heat and lose none: ``(C1 T1 + C2 T2) / (C1 + C2)``.

    The upper bound for a thin skin that is insulated outside by still air and backed by hot foam.

    Parameters
    ----------
    first : float [K] e.g. 412
    first_capacity : float [J/(m^2 K)] e.g. 8651
        Density times specific heat times thickness.
    second : float [K] e.g. 295
    second_capacity : float [J/(m^2 K)] e.g. 9000

    Returns
    -------
    float [K]

    Examples
    --------
    0.1 m of 48.06 kg/m3 foam at 139 °C against 5 mm of glass-fibre laminate at 22 °C:

    >>> round(equalised_temperature(139.0, 48.06 * 1800 * 0.1, 22.0, 1800 * 1000 * 0.005), 1)
    79.3
    """
    return (first * first_capacity + second * second_capacity) / (first_capacity + second_capacity)


def fourier_number(diffusivity: float, time: float, thickness: float) -> float:
    """Dimensionless time ``alpha t / L^2``.

    Parameters
    ----------
    diffusivity : float [m^2/s] e.g. 3.468e-7
    time : float [s] e.g. 3600
    thickness : float [m] e.g. 0.15

    Returns
    -------
    float [-]

    Examples
    --------
    >>> round(fourier_number(3.468e-7, 3600, 0.15), 5)
    0.05549
    """
    return diffusivity * time / thickness**2


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
    fo, x = np.broadcast_arrays(np.asarray(fourier, float)[..., None], np.asarray(position, float)[..., None])
    n = np.arange(_TERMS)
    odd = 2 * n + 1
    series = 4 / np.pi * np.sum(np.sin(odd * np.pi * x) / odd * np.exp(-(odd**2) * np.pi**2 * fo), axis=-1)
    root = 2 * np.sqrt(np.maximum(fo, 1e-12))
    images = 1 - np.sum((-1.0) ** n * (erfc((n + x) / root) + erfc((n + 1 - x) / root)), axis=-1)
    return np.where(fo[..., 0] < _SERIES_FROM, images, series)[()]


def slab_mean_share(fourier: Any) -> Any:
    """Share of the heat left in a slab whose two faces are held at the surroundings.

    ``(8/pi^2) sum exp(-(2n+1)^2 pi^2 Fo) / (2n+1)^2``

    Parameters
    ----------
    fourier : float or array [-] e.g. 0.1
        ``alpha t / L^2`` with L the FULL thickness.

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(float(slab_mean_share(0.1)), 4)
    0.3021

    References
    ----------
    Carslaw & Jaeger, 2nd ed. 1959, section 3.3.
    """
    fo = np.asarray(fourier, float)[..., None]
    odd = 2 * np.arange(_TERMS) + 1
    series = 8 / np.pi**2 * np.sum(np.exp(-(odd**2) * np.pi**2 * fo) / odd**2, axis=-1)
    early = 1 - 4 * np.sqrt(np.maximum(fo[..., 0], 0.0) / np.pi)
    return np.where(fo[..., 0] < _SERIES_FROM / 2, early, series)[()]


def sphere_centre_share(fourier: Any) -> Any:
    """Share of the excess left at the centre of a sphere whose surface is held at the surroundings.

    ``theta = 2 sum (-1)^(n+1) exp(-n^2 pi^2 Fo)``

    Parameters
    ----------
    fourier : float or array [-] e.g. 0.1
        ``alpha t / R^2`` with R the radius.

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(float(sphere_centre_share(0.1)), 5)
    0.7071

    References
    ----------
    Carslaw & Jaeger, 2nd ed. 1959, section 9.3 (sphere, zero surface temperature, constant initial temperature).
    """
    fo = np.asarray(fourier, float)[..., None]
    n = np.arange(1, _TERMS + 1)
    series = 2 * np.sum((-1.0) ** (n + 1) * np.exp(-(n**2) * np.pi**2 * fo), axis=-1)
    safe = np.maximum(fo, 1e-6)
    images = 1 - 2 / np.sqrt(np.pi * safe[..., 0]) * np.sum(np.exp(-((2 * n - 1) ** 2) / (4 * safe)), axis=-1)
    return np.where(fo[..., 0] < 2 * _SERIES_FROM, images, series)[()]


@lru_cache(maxsize=256)
def _slab_fourier_at(share: float) -> float:
    """Full-thickness Fourier number at which the centre of a slab keeps ``share`` of its excess."""
    if not 0 < share < 1:
        raise ValueError(f"share of the excess must be between 0 and 1, got {share:g}")
    guess = max(math.log(4 / (math.pi * share)) / math.pi**2, 0.0)  # one term of the series, exact as share -> 0
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


def slowest_mode_time(thickness: float, diffusivity: float) -> float:
    """Time constant of the slowest mode of a slab with both faces cooled: ``L^2 / (pi^2 alpha)``.

    Parameters
    ----------
    thickness : float [m] e.g. 0.2
        Full thickness; twice it where one face is adiabatic.
    diffusivity : float [m^2/s] e.g. 3.468e-7

    Returns
    -------
    float [s]

    Examples
    --------
    >>> [round(slowest_mode_time(h, 3.47e-7) / 3600, 1) for h in (0.1, 0.2, 0.3, 0.5)]
    [0.8, 3.2, 7.3, 20.3]

    References
    ----------
    Carslaw & Jaeger, 2nd ed. 1959, section 3.3, first term of the series.
    """
    return thickness**2 / (math.pi**2 * diffusivity)
