"""Hand-laid chopped-strand-mat glass and polyester: properties from the glass share by mass."""

from __future__ import annotations

GLASS_DENSITY = 2560.0  # [kg/m^3]
"""E-glass, as used by the thickness formula below."""

RESIN_DENSITY = 1200.0  # [kg/m^3]
"""Cured polyester, as used by the thickness formula below."""

MEGAPASCAL = 1e6  # [Pa]
"""The published forms are in MPa."""


def mat_laminate(glass_share: float) -> tuple[float, float, float, float, float]:
    """Moduli and strengths of a chopped-strand-mat laminate, MPa in the published form.

    E = 15000 g + 2000, tensile 200 g + 25, compressive 150 g + 72, flexural 502 g^2 + 107, G = 1700 g + 2240

    Parameters
    ----------
    glass_share : float or array [-] e.g. 0.3

    Returns
    -------
    youngs_pa : float or array [Pa]
    tensile_pa : float or array [Pa]
    compressive_pa : float or array [Pa]
    flexural_pa : float or array [Pa]
    shear_modulus_pa : float or array [Pa]

    Notes
    -----
    Glass share by mass about 0.25 to 0.4; room temperature, short-term, mean of good hand work.

    Examples
    --------
    >>> [round(x / 1e6, 1) for x in mat_laminate(0.30)]
    [6500.0, 85.0, 117.0, 152.2, 2750.0]

    References
    ----------
    ISO 12215-5:2008, Annex C, and classification-society rules for small craft (from memory).
    """
    g = glass_share
    megapascals = (15000 * g + 2000, 200 * g + 25, 150 * g + 72, 502 * g**2 + 107, 1700 * g + 2240)
    return tuple(x * MEGAPASCAL for x in megapascals)  # type: ignore[return-value]


def laminate_density(glass_share: float) -> float:
    """Density of a void-free laminate, 1 / (g / 2560 + (1 - g) / 1200).

    Parameters
    ----------
    glass_share : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [kg/m^3]

    Notes
    -----
    No voids: hand work is a few per cent lighter.

    Examples
    --------
    >>> round(laminate_density(0.30), 1)
    1427.5

    References
    ----------
    Rule of mixtures with the constituents behind ``laminate_thickness``.
    """
    return 1 / (glass_share / GLASS_DENSITY + (1 - glass_share) / RESIN_DENSITY)


def laminate_thickness(glass_kg_m2: float, glass_share: float) -> float:
    """Thickness of a laminate from the glass laid in it, m_g / (g rho).

    Parameters
    ----------
    glass_kg_m2 : float or array [kg/m^2] e.g. 1.0
    glass_share : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [m]

    Notes
    -----
    The same as the boat rules' (2.56 / g - 1.36) / 3.072 mm per kg/m^2 of glass.

    Examples
    --------
    >>> round(laminate_thickness(1.0, 0.30) * 1e3, 4)
    2.3351

    References
    ----------
    ISO 12215-5:2008, Annex C (form from memory; equality with the rule of mixtures is exact).
    """
    return glass_kg_m2 / (glass_share * laminate_density(glass_share))
