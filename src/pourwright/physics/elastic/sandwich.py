"""Skins joined by foam: sandwich beams, partial bond, transformed sections."""

from __future__ import annotations

import math


def sandwich_rigidity(
    face_pa: float, face_thickness_m: float, core_pa: float, core_thickness_m: float, width_m: float
) -> float:
    """Bending stiffness of a beam of two equal faces and a core, all bonded.

    D = E_f b t d^2 / 2 + E_f b t^3 / 6 + E_c b c^3 / 12, d = c + t

    Parameters
    ----------
    face_pa : float or array [Pa] e.g. 7e9
    face_thickness_m : float or array [m] e.g. 0.003
    core_pa : float or array [Pa] e.g. 8e6
    core_thickness_m : float or array [m] e.g. 0.05
    width_m : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [N m^2]

    Notes
    -----
    Exact for equal faces. For a wide plate divide by (1 - nu_f^2).

    Examples
    --------
    >>> round(sandwich_rigidity(7e9, 0.003, 8e6, 0.05, 0.1), 2)
    2960.93

    References
    ----------
    Allen, Analysis and Design of Structural Sandwich Panels, 1969, ch. 2; Zenkert, An Introduction to Sandwich
    Construction, 1995, ch. 2 (from memory; equals direct integration over the section).
    """
    d = core_thickness_m + face_thickness_m
    faces = face_pa * width_m * face_thickness_m * (d**2 / 2 + face_thickness_m**2 / 6)
    return faces + core_pa * width_m * core_thickness_m**3 / 12


def sandwich_shear_stiffness(
    core_shear_pa: float, core_thickness_m: float, face_thickness_m: float, width_m: float
) -> float:
    """Shear stiffness of a sandwich beam, A G = b d^2 G_c / c, d = c + t.

    Parameters
    ----------
    core_shear_pa : float or array [Pa] e.g. 3.0769e6
    core_thickness_m : float or array [m] e.g. 0.05
    face_thickness_m : float or array [m] e.g. 0.003
    width_m : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [N]

    Notes
    -----
    Faces much stiffer than the core.

    Examples
    --------
    >>> round(sandwich_shear_stiffness(8e6 / 2.6, 0.05, 0.003, 0.1))
    17286

    References
    ----------
    Allen 1969, ch. 2 (read in an excerpt).
    """
    return width_m * (core_thickness_m + face_thickness_m) ** 2 * core_shear_pa / core_thickness_m


def sandwich_point_deflection(rigidity_nm2: float, shear_n: float, span_m: float, load_n: float) -> float:
    """Middle of a simply supported sandwich beam under a point load: P L^3 / (48 D) + P L / (4 A G).

    Parameters
    ----------
    rigidity_nm2 : float or array [N m^2] e.g. 2960.93
    shear_n : float or array [N] e.g. 17286
    span_m : float or array [m] e.g. 1.0
    load_n : float or array [N] e.g. 200

    Returns
    -------
    float or array [m]

    Notes
    -----
    Small deflection; no indentation under the load.

    Examples
    --------
    >>> round(sandwich_point_deflection(2960.93, 17286, 1.0, 200) * 1e3, 4)
    4.2997

    References
    ----------
    Allen 1969, ch. 2; Zenkert 1995, ch. 2 (from memory).
    """
    return load_n * span_m**3 / (48 * rigidity_nm2) + load_n * span_m / (4 * shear_n)


def sandwich_even_deflection(rigidity_nm2: float, shear_n: float, span_m: float, load_n_m: float) -> float:
    """Middle of a simply supported sandwich beam under an even line load: 5 q L^4 / (384 D) + q L^2 / (8 A G).

    Parameters
    ----------
    rigidity_nm2 : float or array [N m^2] e.g. 2960.93
    shear_n : float or array [N] e.g. 17286
    span_m : float or array [m] e.g. 1.0
    load_n_m : float or array [N/m] e.g. 400

    Returns
    -------
    float or array [m]

    Notes
    -----
    Small deflection.

    Examples
    --------
    >>> round(sandwich_even_deflection(2960.93, 17286, 1.0, 400) * 1e3, 4)
    4.6515

    References
    ----------
    Allen 1969, ch. 2; Zenkert 1995, ch. 2 (from memory).
    """
    return 5 * load_n_m * span_m**4 / (384 * rigidity_nm2) + load_n_m * span_m**2 / (8 * shear_n)


def sandwich_stresses(
    moment_nm: float, shear_n: float, face_thickness_m: float, core_thickness_m: float, width_m: float
) -> tuple[float, float]:
    """Face stress M / (b t d) and core shear V / (b d), d = c + t.

    Parameters
    ----------
    moment_nm : float or array [N m] e.g. 50
    shear_n : float or array [N] e.g. 100
    face_thickness_m : float or array [m] e.g. 0.003
    core_thickness_m : float or array [m] e.g. 0.05
    width_m : float or array [m] e.g. 0.1

    Returns
    -------
    face : float or array [Pa]
    core : float or array [Pa]

    Notes
    -----
    Thin faces (mean over the face), weak core.

    Examples
    --------
    >>> face, core = sandwich_stresses(50, 100, 0.003, 0.05, 0.1)
    >>> round(face / 1e6, 3), round(core / 1e3, 2)
    (3.145, 18.87)

    References
    ----------
    Allen 1969, ch. 2 (from memory).
    """
    d = core_thickness_m + face_thickness_m
    return moment_nm / (width_m * face_thickness_m * d), shear_n / (width_m * d)


def slip_modulus(
    core_shear_pa: float, core_thickness_m: float, width_m: float, interface_pa_m: float = math.inf
) -> float:
    """Slip modulus per length of a core with its two interfaces in series.

    1 / k = c / (G_c b) + 2 / (k_i b)

    Parameters
    ----------
    core_shear_pa : float or array [Pa] e.g. 3.0769e6
    core_thickness_m : float or array [m] e.g. 0.05
    width_m : float or array [m] e.g. 0.1
    interface_pa_m : float or array [Pa/m] e.g. 1e8

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    ``interface_pa_m`` is the shear stiffness of one bond line: infinite for a perfect bond, towards 0 for none.

    Examples
    --------
    >>> round(slip_modulus(8e6 / 2.6, 0.05, 0.1) / 1e6, 4)
    6.1538

    References
    ----------
    Springs in series, derived.
    """
    return width_m / (core_thickness_m / core_shear_pa + 2 / interface_pa_m)


def partial_bond_rigidity(
    axial_1_n: float, axial_2_n: float, own_nm2: float, distance_m: float, slip_pa: float, span_m: float
) -> float:
    """Bending stiffness of two members that slip on each other, simply supported span.

    EI = EI_full / (1 + (EI_full / EI_0 - 1) / (1 + a^2 L^2 / pi^2)),
    a^2 = k (1/EA_1 + 1/EA_2 + d^2 / EI_0), EI_full = EI_0 + d^2 EA_1 EA_2 / (EA_1 + EA_2)

    Parameters
    ----------
    axial_1_n : float or array [N] e.g. 2.1e6
    axial_2_n : float or array [N] e.g. 2.1e6
    own_nm2 : float or array [N m^2] e.g. 3.15
    distance_m : float or array [m] e.g. 0.053
    slip_pa : float or array [Pa] e.g. 6.1538e6
    span_m : float or array [m] e.g. 1.0

    Returns
    -------
    float or array [N m^2]

    Notes
    -----
    Sine-like load. ``own_nm2`` is the sum about the members' own axes (left without bond), ``slip_pa`` the shear
    flow per slip. Towards no slip and free slip it is exact.

    Examples
    --------
    >>> round(partial_bond_rigidity(2.1e6, 2.1e6, 3.15, 0.053, 8e6 / 2.6 * 0.1 / 0.05, 1.0), 2)
    1102.05

    References
    ----------
    Newmark, Siess & Viest 1951, Proc. SESA 9 (from memory); the same as EN 1995-1-1 Annex B (``gamma_rigidity``).
    """
    full = own_nm2 + distance_m**2 * axial_1_n * axial_2_n / (axial_1_n + axial_2_n)
    a2 = slip_pa * (1 / axial_1_n + 1 / axial_2_n + distance_m**2 / own_nm2)
    return full / (1 + (full / own_nm2 - 1) / (1 + a2 * span_m**2 / math.pi**2))


def gamma_rigidity(
    axial_1_n: float, axial_2_n: float, own_nm2: float, distance_m: float, slip_pa: float, span_m: float
) -> float:
    """The same as ``partial_bond_rigidity`` by the gamma method: 1 / gamma = 1 + pi^2 EA_1 / (k L^2).

    EI = EI_0 + gamma EA_1 a_1^2 + EA_2 a_2^2, a_2 = gamma EA_1 d / (gamma EA_1 + EA_2), a_1 = d - a_2

    Parameters
    ----------
    axial_1_n : float or array [N] e.g. 2.1e6
    axial_2_n : float or array [N] e.g. 2.1e6
    own_nm2 : float or array [N m^2] e.g. 3.15
    distance_m : float or array [m] e.g. 0.053
    slip_pa : float or array [Pa] e.g. 6.1538e6
    span_m : float or array [m] e.g. 1.0

    Returns
    -------
    float or array [N m^2]

    Notes
    -----
    Two members; fastener spacing over slip modulus of the standard is 1 / ``slip_pa``.

    Examples
    --------
    >>> round(gamma_rigidity(2.1e6, 2.1e6, 3.15, 0.053, 8e6 / 2.6 * 0.1 / 0.05, 1.0), 2)
    1102.05

    References
    ----------
    EN 1995-1-1:2004, Annex B (from memory).
    """
    gamma = 1 / (1 + math.pi**2 * axial_1_n / (slip_pa * span_m**2))
    a2 = gamma * axial_1_n * distance_m / (gamma * axial_1_n + axial_2_n)
    return own_nm2 + gamma * axial_1_n * (distance_m - a2) ** 2 + axial_2_n * a2**2


def backed_skin_rigidity(
    skin_pa: float, skin_thickness_m: float, core_pa: float, core_thickness_m: float
) -> tuple[float, float, float]:
    """Bending stiffness per width of a skin with a foam layer on its back: skin alone, unbonded sum, bonded.

    z2 = (t + h) / 2, z = E_c h z2 / (E t + E_c h),
    D = E t^3 / 12 + E_c h^3 / 12 + E t z^2 + E_c h (z2 - z)^2

    Parameters
    ----------
    skin_pa : float or array [Pa] e.g. 7e9
    skin_thickness_m : float or array [m] e.g. 0.003
    core_pa : float or array [Pa] e.g. 8e6
    core_thickness_m : float or array [m] e.g. 0.05

    Returns
    -------
    skin_alone : float or array [N m]
    unbonded : float or array [N m]
    bonded : float or array [N m]

    Notes
    -----
    Beam of unit width; for a plate divide by (1 - nu^2). The foam's shear is left out: an upper limit for short spans.

    Examples
    --------
    >>> [round(d, 3) for d in backed_skin_rigidity(7e9, 0.003, 8e6, 0.05)]
    [15.75, 99.083, 374.733]

    References
    ----------
    Transformed section, derived.
    """
    skin = skin_pa * skin_thickness_m**3 / 12
    own = skin + core_pa * core_thickness_m**3 / 12
    ea, eb = skin_pa * skin_thickness_m, core_pa * core_thickness_m
    apart = (skin_thickness_m + core_thickness_m) / 2
    return skin, own, own + ea * eb / (ea + eb) * apart**2


def filled_tube_rigidity(
    skin_pa: float, skin_thickness_m: float, mean_radius_m: float, core_pa: float
) -> tuple[float, float]:
    """Whole-body bending stiffness of a round tube and of the foam that fills it.

    EI_skin = E pi (R_o^4 - R_i^4) / 4, EI_foam = E_c pi R_i^4 / 4

    Parameters
    ----------
    skin_pa : float or array [Pa] e.g. 7e9
    skin_thickness_m : float or array [m] e.g. 0.003
    mean_radius_m : float or array [m] e.g. 0.15
    core_pa : float or array [Pa] e.g. 8e6

    Returns
    -------
    skin : float or array [N m^2]
    foam : float or array [N m^2]

    Notes
    -----
    Concentric, so bond does not matter in pure bending. For a thin wall foam / skin = E_c R / (4 E t).

    Examples
    --------
    >>> skin, foam = filled_tube_rigidity(7e9, 0.003, 0.15, 8e6)
    >>> round(skin), round(foam, 1), round(100 * foam / skin, 3)
    (222683, 3055.5, 1.372)

    References
    ----------
    Second moment of area of a ring and a disc.
    """
    outer, inner = mean_radius_m + skin_thickness_m / 2, mean_radius_m - skin_thickness_m / 2
    return skin_pa * math.pi / 4 * (outer**4 - inner**4), core_pa * math.pi / 4 * inner**4
