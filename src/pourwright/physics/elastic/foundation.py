"""A skin on foam: beams and plates on foundations, one foundation function k(alpha), dents, panels, wrinkles."""

from __future__ import annotations

import math

import numpy as np

FOUNDATIONS = ("frictionless", "bonded", "bonded-plane-stress")


def foundation(
    wavenumber_1_m: float,
    core_pa: float,
    core_poisson: float,
    depth_m: float = math.inf,
    interface: str = "frictionless",
) -> float:
    """Pressure per movement of a foam body whose surface moves as cos(a x): the foundation function k(a).

    frictionless          E_c a / (2 (1 - nu^2))
    bonded                2 E_c a (1 - nu) / ((1 + nu) (3 - 4 nu))
    bonded-plane-stress   2 E_c a / ((3 - nu) (1 + nu))
    depth h, rigid back   times (a h + sinh a h cosh a h) / sinh^2 a h

    Parameters
    ----------
    wavenumber_1_m : float or array [1/m] e.g. 15
    core_pa : float or array [Pa] e.g. 8e6
    core_poisson : float or array [-] e.g. 0.3
    depth_m : float or array [m] e.g. 0.1
    interface : str

    Returns
    -------
    float or array [Pa/m]

    Notes
    -----
    ``bonded`` skins do not stretch (plane strain). The depth factor is that of a frictionless back; with a bonded
    interface it is an approximation. Both surfaces stay in contact: for an unbonded skin only where it presses.

    Examples
    --------
    >>> round(float(foundation(14.8096, 8e6, 0.3)) / 1e7, 4)
    6.5097

    References
    ----------
    Half-space and layer under a wave of pressure: Timoshenko & Woinowsky-Krieger 1959, ch. 8, and
    NASA/SP-8007-2020/Rev 2, section 4.1.4.1 (frictionless); Allen 1969, ch. 8 (bonded, plane stress); derived.
    """
    nu = core_poisson
    if interface == "frictionless":
        k = core_pa * wavenumber_1_m / (2 * (1 - nu**2))
    elif interface == "bonded":
        k = 2 * core_pa * wavenumber_1_m * (1 - nu) / ((1 + nu) * (3 - 4 * nu))
    elif interface == "bonded-plane-stress":
        k = 2 * core_pa * wavenumber_1_m / ((3 - nu) * (1 + nu))
    else:
        raise ValueError(f"interface = {interface!r}: one of {', '.join(FOUNDATIONS)}")
    ah = np.minimum(wavenumber_1_m * depth_m, 300.0)  # factor is 1 long before sinh overflows
    return k * (ah + np.sinh(ah) * np.cosh(ah)) / np.sinh(ah) ** 2


def dent_stiffness(
    rigidity_nm: float,
    curvature_pa_m: float,
    core_pa: float,
    core_poisson: float,
    depth_m: float = math.inf,
    interface: str = "frictionless",
) -> float:
    """Force per movement of a hand push on a skin backed by foam.

    P / w = 2 pi / integral from 0 to infinity of a da / (D a^4 + k_s + k(a)), k_s = E t / R^2 (0 for a flat skin)

    Parameters
    ----------
    rigidity_nm : float [N m] e.g. 47.88
    curvature_pa_m : float [Pa/m] e.g. 1.28e8
    core_pa : float [Pa] e.g. 8e6
    core_poisson : float [-] e.g. 0.3
    depth_m : float [m] e.g. 0.2
    interface : str

    Returns
    -------
    float [N/m]

    Notes
    -----
    Point push on a wide skin (sphere or flat), small movement, contact held. Without foam, on a sphere, it is
    Reissner's 4 E t^2 / (R sqrt(3 (1 - nu^2))) exactly. Zero for a flat skin without foam.

    Examples
    --------
    >>> d = 8e9 * 0.004**3 / (12 * (1 - 0.33**2))
    >>> round(dent_stiffness(d, 8e9 * 0.004 / 0.5**2, 0.0, 0.3) / 1e3, 2)
    626.29
    >>> round(dent_stiffness(d, 8e9 * 0.004 / 0.5**2, 8e6, 0.3) / 1e3, 2)
    902.87

    References
    ----------
    Reissner 1946, J. Math. Phys. 25 (bare sphere, from memory); Timoshenko & Woinowsky-Krieger 1959, ch. 8 (flat);
    the joint integral is derived.
    """
    if core_pa == 0 and curvature_pa_m == 0:
        return 0.0 * rigidity_nm
    from scipy.integrate import quad  # slow to load, and only this function has a use for it

    # Lengths in the plate's own measure make the integrand dimensionless with its hump near one.
    deep = float(foundation(1.0, core_pa, core_poisson, math.inf, interface)) if core_pa else 0.0
    scale = max((curvature_pa_m / rigidity_nm) ** 0.25, (deep / rigidity_nm) ** (1 / 3))

    def integrand(s: float) -> float:
        a = s * scale
        k = float(foundation(a, core_pa, core_poisson, depth_m, interface)) if core_pa and s > 0 else 0.0
        return s / (s**4 + (curvature_pa_m + k) / (rigidity_nm * scale**4))

    inner, _ = quad(integrand, 0.0, 4.0, epsabs=0, epsrel=1e-10, limit=400)
    outer, _ = quad(integrand, 4.0, math.inf, epsabs=0, epsrel=1e-10, limit=400)
    return float(2 * math.pi * rigidity_nm * scale**2 / (inner + outer))


def panel_gain(
    width_m: float,
    rigidity_nm: float,
    curvature_pa_m: float,
    core_pa: float,
    core_poisson: float,
    depth_m: float = math.inf,
    interface: str = "frictionless",
) -> float:
    """How much stiffer a panel is against being pushed in: 1 + k(a) / (D a^4 + k_s), a = pi sqrt(2) / b.

    Parameters
    ----------
    width_m : float [m] e.g. 0.3
    rigidity_nm : float [N m] e.g. 38.9
    curvature_pa_m : float [Pa/m] e.g. 6.5e6
    core_pa : float [Pa] e.g. 8e6
    core_poisson : float [-] e.g. 0.3
    depth_m : float
    interface : str

    Returns
    -------
    float [-]

    Notes
    -----
    First mode of a simply supported square panel of side b, foam in contact. Pulling away there is no gain unless
    bonded.

    Examples
    --------
    >>> d = 6.5e9 * 0.004**3 / (12 * (1 - 0.33**2))
    >>> [round(float(panel_gain(0.3, d, 6.5e9 * 0.004 / r**2, 8e6, 0.3)), 3) for r in (1e9, 2.0, 0.5)]
    [35.786, 8.776, 1.615]

    References
    ----------
    Derived from the foundation function and the Navier mode.
    """
    a = math.pi * 2**0.5 / width_m
    return 1 + foundation(a, core_pa, core_poisson, depth_m, interface) / (rigidity_nm * a**4 + curvature_pa_m)
