"""Heat of reaction of a two-part foam from what a data sheet has, and the spread of the rise that follows from it."""

from __future__ import annotations

from typing import Any

NCO_MOLAR_MASS = 0.0420168  # [kg/mol]
KOH_MOLAR_MASS = 0.0561056  # [kg/mol]
WATER_MOLAR_MASS = 0.0180153  # [kg/mol]
"""Molar masses of the NCO group, of the potassium hydroxide that a hydroxyl number counts, and of water."""


def nco_amount(part_share: Any, nco_share: Any) -> Any:
    """Moles of NCO per kilogram of mixed liquids: ``part_share nco_share / M``.

    Parameters
    ----------
    part_share : float or array [-] e.g. 0.534632
        Part A per weight of both parts.
    nco_share : float or array [-] e.g. 0.315
        NCO per weight of part A, as a data sheet gives it in per cent.

    Returns
    -------
    float or array [mol/kg]

    Examples
    --------
    Equal volumes of 1235 and 1075 kg/m3, 31.5 % NCO:

    >>> round(nco_amount(1235 / 2310, 0.315), 3)
    4.008
    """
    return part_share * nco_share / NCO_MOLAR_MASS


def hydroxyl_amount(part_share: Any, hydroxyl: Any) -> Any:
    """Moles of OH per kilogram of mixed liquids: ``part_share hydroxyl / M(KOH)``.

    Parameters
    ----------
    part_share : float or array [-] e.g. 0.465368
        Part B per weight of both parts.
    hydroxyl : float or array [-] e.g. 0.4
        Hydroxyl number of part B without its water as a share: 400 mg KOH/g is 0.4.

    Returns
    -------
    float or array [mol/kg]

    Examples
    --------
    >>> round(hydroxyl_amount(1075 / 2310, 0.400), 3)
    3.318
    """
    return part_share * hydroxyl / KOH_MOLAR_MASS


def water_amount(part_share: Any, water_share: Any) -> Any:
    """Moles of water per kilogram of mixed liquids: ``part_share water_share / M(H2O)``.

    Parameters
    ----------
    part_share : float or array [-] e.g. 0.465368
        Part B per weight of both parts.
    water_share : float or array [-] e.g. 0.023
        Water per weight of part B.

    Returns
    -------
    float or array [mol/kg]

    Examples
    --------
    >>> round(water_amount(1075 / 2310, 0.023), 3)
    0.594
    """
    return part_share * water_share / WATER_MOLAR_MASS


def gelling_amount(oh: float, nco: float, water: float) -> float:
    """Moles of OH that find an NCO, per kilogram: all of it, or what water leaves of the NCO (two a mole of water).

    Parameters
    ----------
    oh : float [mol/kg] e.g. 4.673
    nco : float [mol/kg] e.g. 4.05
    water : float [mol/kg] e.g. 0.61
        Per kilogram of mixed liquids.

    Returns
    -------
    float [mol/kg]

    Notes
    -----
    Water is taken first and reaches its end; no side reactions (isocyanurate, allophanate).

    Examples
    --------
    >>> round(gelling_amount(4.673, 4.05, 0.61), 3)
    2.83
    """
    return max(0.0, min(oh, nco - 2 * water))


def reaction_heat(gelling: Any, water: Any, gelling_heat: Any, water_heat: Any) -> Any:
    """Heat of reaction per kilogram of mixed liquids: ``gelling H1 + water H2``.

    Parameters
    ----------
    gelling : float or array [mol/kg] e.g. 2.83
        OH that reacts, see `gelling_amount`.
    water : float or array [mol/kg] e.g. 0.61
    gelling_heat : float or array [J/mol] e.g. 68.5e3
        Per mole of OH reacted.
    water_heat : float or array [J/mol] e.g. 81.5e3
        Per mole of water reacted.

    Returns
    -------
    float or array [J/kg]

    Examples
    --------
    OH 5140, NCO 4455 and water 671 mol/m3 in 1100 kg/m3:

    >>> round(reaction_heat(gelling_amount(5140 / 1100, 4455 / 1100, 671 / 1100), 671 / 1100, 68.5e3, 81.5e3) / 1e3, 1)
    243.6
    """
    return gelling * gelling_heat + water * water_heat


def ratio_deviation(top: Any, top_sd: Any, bottom: Any, bottom_sd: Any, correlation: Any = 0.0) -> Any:
    """Standard deviation of ``top / bottom`` for small spreads.

    ``(top/bottom) sqrt(u1^2 + u2^2 - 2 r u1 u2)``, ``u`` the deviations over their values. What is high in both at once
    leaves the ratio as it is; that is why a high heat must not be put on a low heat capacity.

    Parameters
    ----------
    top : float or array [J/kg] e.g. 255e3
    top_sd : float or array [J/kg] e.g. 25e3
    bottom : float or array [J/(kg K)] e.g. 1750
    bottom_sd : float or array [J/(kg K)] e.g. 100
    correlation : float or array [-] e.g. 0.1
        Between -1 and 1.

    Returns
    -------
    float or array [K]

    Examples
    --------
    >>> round(ratio_deviation(255e3, 25e3, 1750, 100), 1), round(ratio_deviation(255e3, 25e3, 1750, 100, 0.1), 1)
    (16.5, 15.8)

    References
    ----------
    JCGM 100:2008 (GUM), equation 13 (law of propagation, correlated inputs).
    """
    first, second = top_sd / top, bottom_sd / bottom
    return top / bottom * (first**2 + second**2 - 2 * correlation * first * second) ** 0.5
