"""How warm a skin gets on hot foam that is thick: closed form."""

from __future__ import annotations

import cmath
import math

import numpy as np
from scipy.special import wofz


def skin_over_air(
    time_s: float,
    foam_over_air_k: float,
    skin_over_air_k: float,
    foam_effusivity: float,
    skin_heat_j_m2k: float,
    film_w_m2k: float,
) -> tuple[float, float]:
    """A thin skin a while after thick hot foam came to lie on it: its temperature over the air's, and what heats it.

    C x' = e d^(1/2)/dt^(1/2) (foam - x) - h x, solved by Laplace transform: with a and b the roots of
    C p^2 - e p + h = 0 and E(p) = exp(p^2 t) erfc(p sqrt(t)),
    x = [foam e / C (E(a) - E(b)) + start (b E(b) - a E(a))] / (b - a)

    Parameters
    ----------
    time_s : float [s] e.g. 600
    foam_over_air_k : float [K] e.g. 130
    skin_over_air_k : float [K] e.g. 1.0
    foam_effusivity : float [W s^0.5/(m^2 K)] e.g. 45
    skin_heat_j_m2k : float [J/(m^2 K)] e.g. 8600
    film_w_m2k : float [W/(m^2 K)] e.g. 8

    Returns
    -------
    skin_over_air : float [K]
    flow : float [W/m^2]

    Notes
    -----
    A flat skin without a gradient across it; foam without end behind it, hot from the start. ``skin_over_air_k`` is at
    the start; effusivity is sqrt(k rho c) of the foam; the skin's heat is rho c t.

    Examples
    --------
    >>> x, q = skin_over_air(600.0, 130.0, 0.0, 45.0, 8600.0, 8.0)
    >>> round(x, 2), round(q)
    (12.02, 119)

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, ch. 12: a half-space in touch with a well-stirred
    fluid (from memory); worked out here, and checked against a numerical solution.
    """
    e, c, h = foam_effusivity, skin_heat_j_m2k, film_w_m2k
    root = cmath.sqrt(e * e - 4 * c * h) or 1e-6 * e
    a, b = (e - root) / (2 * c), (e + root) / (2 * c)
    at_a, at_b = (complex(wofz(1j * p * math.sqrt(time_s))) for p in (a, b))  # exp(z^2) erfc(z) = w(i z)
    early = 1.0 / math.sqrt(math.pi * time_s)
    rate_a, rate_b = a * a * at_a - a * early, b * b * at_b - b * early
    foam, start = foam_over_air_k * e / c, skin_over_air_k
    x = (foam * (at_a - at_b) + start * (b * at_b - a * at_a)) / (b - a)
    rate = (foam * (rate_a - rate_b) + start * (b * rate_b - a * rate_a)) / (b - a)
    return float(x.real), float(c * rate.real + h * x.real)


def inner_face_peak_over_air(
    foam_over_air_k: float,
    skin_over_air_k: float,
    foam_effusivity: float,
    skin_heat_j_m2k: float,
    film_w_m2k: float,
    half_wall_m2k_w: float,
    from_s: float,
) -> float:
    """The hottest that the inner face of such a skin gets, over the air: the skin and what heats it through half of it.

    max over t of x + q R

    Parameters
    ----------
    foam_over_air_k : float [K] e.g. 130
    skin_over_air_k : float [K] e.g. 1.0
    foam_effusivity : float [W s^0.5/(m^2 K)] e.g. 45
    skin_heat_j_m2k : float [J/(m^2 K)] e.g. 8600
    film_w_m2k : float [W/(m^2 K)] e.g. 8
    half_wall_m2k_w : float [m^2 K/W] e.g. 0.0125
    from_s : float [s] e.g. 240

    Returns
    -------
    float [K]

    Notes
    -----
    Before ``from_s`` the foam is still heating; the closed form has it hot at once and would put its own temperature on
    the face. Greatest of 200 times up to 1000 C/h, which miss the top by less than 0.1 %.

    Examples
    --------
    >>> round(inner_face_peak_over_air(130.0, 0.0, 45.0, 8600.0, 8.0, 0.0125, 240.0), 2)
    13.62

    References
    ----------
    As ``skin_over_air``.
    """
    last = max(1e3 * skin_heat_j_m2k / film_w_m2k, 2 * from_s)
    given = foam_over_air_k, skin_over_air_k, foam_effusivity, skin_heat_j_m2k, film_w_m2k
    found = [skin_over_air(float(t), *given) for t in np.geomspace(from_s, last, 200)]
    return max(x + q * half_wall_m2k_w for x, q in found)
