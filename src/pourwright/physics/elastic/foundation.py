"""A skin on foam: beams and plates on foundations, one foundation function k(alpha), dents, panels, wrinkles."""

from __future__ import annotations

import math

import numpy as np
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

DIMENSIONS_BY_SCALING = ("foundation", "dent_stiffness", "axial_wrinkling", "panel_gain", "plate_on_half_space")

FOUNDATIONS = ("frictionless", "bonded", "bonded-plane-stress")


def beam_on_foundation(rigidity_nm2: float, foundation_pa: float, load_n: float) -> tuple[float, float, float]:
    """Long beam on springs under a point load: B = (k / 4 EI)^(1/4), w = P B / (2 k), M = P / (4 B).

    Parameters
    ----------
    rigidity_nm2 : float or array [N m^2] e.g. 100
    foundation_pa : float or array [N/m^2] e.g. 2e5
    load_n : float or array [N] e.g. 50

    Returns
    -------
    decay : float or array [1/m]
    deflection : float or array [m]
    moment : float or array [N m]

    Notes
    -----
    Longer than pi / B to both sides; springs pull as well as push.

    Examples
    --------
    >>> b, w, m = beam_on_foundation(100, 2e5, 50)
    >>> round(b, 5), round(w * 1e3, 6), round(m, 5)
    (4.72871, 0.591089, 2.64343)

    References
    ----------
    Hetenyi, Beams on Elastic Foundation, 1946 (from memory).
    """
    decay = (foundation_pa / (4 * rigidity_nm2)) ** 0.25
    return decay, load_n * decay / (2 * foundation_pa), load_n / (4 * decay)


def plate_on_springs(rigidity_nm: float, foundation_pa_m: float, load_n: float) -> tuple[float, float, float]:
    """Wide plate on springs under a point load: w = P / (8 sqrt(k D)), l = (D/k)^(1/4), pressure P / (8 l^2).

    Parameters
    ----------
    rigidity_nm : float or array [N m] e.g. 17.6748
    foundation_pa_m : float or array [Pa/m] e.g. 1.6e8
    load_n : float or array [N] e.g. 100

    Returns
    -------
    deflection : float or array [m]
    length : float or array [m]
    pressure : float or array [Pa]

    Notes
    -----
    Wider than about 4 l to all sides; springs pull as well as push.

    Examples
    --------
    >>> w, length, p = plate_on_springs(17.6748, 1.6e8, 100)
    >>> round(w * 1e3, 6), round(length * 1e3, 3), round(p)
    (0.235057, 18.231, 37609)

    References
    ----------
    Hertz 1884; Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, art. 57 (from memory; the
    constant 1/8 recomputed from the Hankel integral).
    """
    length = (rigidity_nm / foundation_pa_m) ** 0.25
    return (
        load_n / (8 * (foundation_pa_m * rigidity_nm) ** 0.5),
        length,
        load_n / (8 * length**2),
    )


def plate_on_half_space(
    rigidity_nm: float, core_pa: float, core_poisson: float, load_n: float
) -> tuple[float, float, float]:
    """Wide plate lying on a deep elastic body under a point load.

    l^3 = 2 D (1 - nu_c^2) / E_c, w = P l^2 / (3 sqrt(3) D), greatest pressure P / (3 sqrt(3) l^2)

    Parameters
    ----------
    rigidity_nm : float or array [N m] e.g. 17.6748
    core_pa : float or array [Pa] e.g. 8e6
    core_poisson : float or array [-] e.g. 0.3
    load_n : float or array [N] e.g. 100

    Returns
    -------
    deflection : float or array [m]
    length : float or array [m]
    pressure : float or array [Pa]

    Notes
    -----
    No friction; contact held everywhere. Body deeper than about 5 l.

    Examples
    --------
    >>> w, length, p = plate_on_half_space(17.6748, 8e6, 0.3, 100)
    >>> round(w * 1e3, 6), round(length * 1e3, 4), round(p / 1e3, 1)
    (0.27533, 15.9018, 76.1)

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 8 (from memory; constant recomputed).
    """
    length = (2 * rigidity_nm * (1 - core_poisson**2) / core_pa) ** (1 / 3)
    constant = 1 / (3 * 3**0.5)
    return constant * load_n * length**2 / rigidity_nm, length, constant * load_n / length**2


def layer_modulus(core_pa: float, core_poisson: float, depth_m: float, bonded: bool = False) -> float:
    """Spring stiffness of a thin foam layer on a stiff back under a wide load.

    sliding faces E_c / ((1 - nu^2) h), bonded faces E_c (1 - nu) / ((1 + nu) (1 - 2 nu) h)

    Parameters
    ----------
    core_pa : float or array [Pa] e.g. 8e6
    core_poisson : float or array [-] e.g. 0.3
    depth_m : float or array [m] e.g. 0.05
    bonded : bool

    Returns
    -------
    float or array [Pa/m]

    Notes
    -----
    Layer much thinner than the loaded patch. For a deep core use ``foundation``: E_c / h is far too soft there.

    Examples
    --------
    >>> round(layer_modulus(8e6, 0.3, 1.0, bonded=True) / 1e6, 2)
    10.77

    References
    ----------
    Plane-strain and one-dimensional compression moduli of an elastic layer.
    """
    if bonded:
        return core_pa * (1 - core_poisson) / ((1 + core_poisson) * (1 - 2 * core_poisson) * depth_m)
    return core_pa / ((1 - core_poisson**2) * depth_m)


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


def axial_wrinkling(
    skin_pa: float,
    poisson: float,
    thickness_m: float,
    radius_m: float,
    core_pa: float,
    core_poisson: float,
    interface: str = "frictionless",
) -> tuple[float, float]:
    """Axial stress at which a round skin on foam wrinkles in rings, and the wave's length over 2 pi.

    sigma t = least over l of D / l^2 + (E t / r^2) l^2 + k(1/l) l^2

    Parameters
    ----------
    skin_pa : float [Pa] e.g. 8e9
    poisson : float [-] e.g. 0.3
    thickness_m : float [m] e.g. 0.003
    radius_m : float [m] e.g. 0.3
    core_pa : float [Pa] e.g. 8e6
    core_poisson : float [-] e.g. 0.3
    interface : str

    Returns
    -------
    stress : float [Pa]
    wave : float [m]

    Notes
    -----
    Perfect skin, ring mode, foam deeper than about five ``wave``. ``frictionless`` is the published elastic-core
    cylinder, ``bonded-plane-stress`` that of Karam & Gibson and, for a flat skin, Allen's wrinkling stress.
    Outward lobes need a bond: unbonded, do not count this. Apply the bare cylinder's knockdown.

    Examples
    --------
    >>> s, wave = axial_wrinkling(8e9, 0.3, 0.003, 0.3, 8e6, 0.3, "bonded-plane-stress")
    >>> round(s / (8e9 * 0.01), 6), round(wave * 1e3, 3)
    (0.900704, 14.718)

    References
    ----------
    Karam & Gibson 1995, Int. J. Solids Struct. 32, part I (from memory); NASA/SP-8007-2020/Rev 2, eqs. 127 to 129.
    """
    d = skin_pa * thickness_m**3 / (12 * (1 - poisson**2))
    ring = skin_pa * thickness_m / radius_m**2
    k1 = float(foundation(1.0, core_pa, core_poisson, math.inf, interface))  # k is linear in the wave number

    def stress(log_wave: float) -> float:
        wave = thickness_m * math.exp(log_wave)
        return (d / wave**2 + ring * wave**2 + k1 * wave) / thickness_m

    found = minimize_scalar(stress, bounds=(-3.0, 8.0), method="bounded", options={"xatol": 1e-10})
    return float(found.fun), thickness_m * math.exp(float(found.x))
