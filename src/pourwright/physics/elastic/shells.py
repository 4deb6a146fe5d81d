"""Curved shells under pressure: membrane stress and growth, edges, caps."""

from __future__ import annotations


def sphere(
    radius_m: float, thickness_m: float, youngs_pa: float, poisson: float, pressure_pa: float
) -> tuple[float, float]:
    """Whole sphere under inside pressure: stress p R / (2 t), growth of the radius p R^2 (1 - nu) / (2 E t).

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.5
    thickness_m : float or array [m] e.g. 0.004
    youngs_pa : float or array [Pa] e.g. 6.5e9
    poisson : float or array [-] e.g. 0.33
    pressure_pa : float or array [Pa] e.g. 30e3

    Returns
    -------
    stress : float or array [Pa]
    growth : float or array [m]

    Notes
    -----
    R/t > 10, away from edges. The volume grows by 3 growth / R of itself.

    Examples
    --------
    >>> s, dr = sphere(0.5, 0.004, 6.5e9, 0.33, 30e3)
    >>> round(s / 1e6, 4), round(dr * 1e3, 5)
    (1.875, 0.09663)

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 14 (from memory).
    """
    stress = pressure_pa * radius_m / (2 * thickness_m)
    return stress, stress * radius_m * (1 - poisson) / youngs_pa


def cylinder(
    radius_m: float, thickness_m: float, youngs_pa: float, poisson: float, pressure_pa: float, closed: bool = True
) -> tuple[float, float, float]:
    """Long cylinder under inside pressure: hoop p R / t, lengthwise p R / (2 t) (0 if open), growth of the radius.

    dR = p R^2 (1 - nu/2) / (E t) with closed ends, p R^2 / (E t) open

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.5
    thickness_m : float or array [m] e.g. 0.004
    youngs_pa : float or array [Pa] e.g. 6.5e9
    poisson : float or array [-] e.g. 0.33
    pressure_pa : float or array [Pa] e.g. 30e3
    closed : bool

    Returns
    -------
    hoop_stress : float or array [Pa]
    lengthwise_stress : float or array [Pa]
    growth : float or array [m]

    Notes
    -----
    R/t > 10, away from edges.

    Examples
    --------
    >>> hoop, along, dr = cylinder(0.5, 0.004, 6.5e9, 0.33, 30e3)
    >>> hoop / 1e6, along / 1e6, round(dr * 1e3, 5)
    (3.75, 1.875, 0.24087)

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 14 (from memory); stresses as in
    NASA/SP-8007-2020/Rev 2, eqs. 17 and 18.
    """
    hoop = pressure_pa * radius_m / thickness_m
    along = hoop / 2 if closed else 0 * hoop
    return hoop, along, (hoop - poisson * along) * radius_m / youngs_pa


def clamped_rim_stress(
    radius_m: float, thickness_m: float, poisson: float, pressure_pa: float, form: str = "cylinder"
) -> float:
    """Bending stress where a pressurised shell runs into a rigid rim.

    cylinder: 3 p R / (t sqrt(3 (1 - nu^2))); sphere: 1.5 (p R / t) sqrt((1 - nu) / (3 (1 + nu)))

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.5
    thickness_m : float or array [m] e.g. 0.004
    poisson : float or array [-] e.g. 0.3
    pressure_pa : float or array [Pa] e.g. 30e3
    form : str

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Both are 6 M / t^2 with M = 2 l^2 D dR, l the decay rate of the rim's bending, so ``cylinder`` is the open one.
    Long shell, R/t > 10. The membrane stress comes on top.

    Examples
    --------
    >>> round(clamped_rim_stress(0.5, 0.004, 0.3, 30e3) / (30e3 * 0.5 / 0.004), 3)
    1.816

    References
    ----------
    Derived from the edge bending of Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 15.
    """
    if form == "cylinder":
        return 3 * pressure_pa * radius_m / (thickness_m * (3 * (1 - poisson**2)) ** 0.5)
    if form == "sphere":
        return 1.5 * pressure_pa * radius_m / thickness_m * ((1 - poisson) / (3 * (1 + poisson))) ** 0.5
    raise ValueError(f"form = {form!r}: 'cylinder' or 'sphere'")


def edge_zone(radius_m: float, thickness_m: float, poisson: float) -> float:
    """Length over which bending at an edge falls by a factor e, sqrt(R t) / (3 (1 - nu^2))^(1/4).

    Parameters
    ----------
    radius_m : float or array [m] e.g. 0.5
    thickness_m : float or array [m] e.g. 0.004
    poisson : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [m]

    Notes
    -----
    About three of these until the edge is forgotten.

    Examples
    --------
    >>> round(edge_zone(0.5, 0.004, 0.3) * 1e3, 1)
    34.8

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 15 (from memory).
    """
    return (radius_m * thickness_m) ** 0.5 / (3 * (1 - poisson**2)) ** 0.25


def cap(chord_radius_m: float, rise_m: float, thickness_m: float, pressure_pa: float) -> tuple[float, float, float]:
    """Shallow dome under inside pressure: R = (c^2 + H^2) / (2 H), stress p R / (2 t), rim pull p R cos(phi) / 2.

    Parameters
    ----------
    chord_radius_m : float or array [m] e.g. 0.3
    rise_m : float or array [m] e.g. 0.05
    thickness_m : float or array [m] e.g. 0.004
    pressure_pa : float or array [Pa] e.g. 30e3

    Returns
    -------
    radius : float or array [m]
    stress : float or array [Pa]
    rim_pull : float or array [N/m]

    Notes
    -----
    Membrane state; the rim must take the pull, which acts in the rim's plane. A dome pressed from its hollow side
    is stable.

    Examples
    --------
    >>> r, s, n = cap(0.3, 0.05, 0.004, 30e3)
    >>> round(r, 4), round(s / 1e6, 3), round(n)
    (0.925, 3.469, 13125)

    References
    ----------
    Geometry of the sphere and p R / 2, derived.
    """
    radius = (chord_radius_m**2 + rise_m**2) / (2 * rise_m)
    cosine = (1 - (chord_radius_m / radius) ** 2) ** 0.5
    return radius, pressure_pa * radius / (2 * thickness_m), pressure_pa * radius / 2 * cosine
