"""From liquids to foam: mixed density, expansion, parts by volume and by weight."""

from __future__ import annotations

from typing import Any


def mixed_density(a_volume: Any, a_density: Any, b_volume: Any, b_density: Any) -> Any:
    """Density of the mixed liquids (volumes add): ``(Va rho_a + Vb rho_b) / (Va + Vb)``.

    Parameters
    ----------
    a_volume : float or array [m^3] e.g. 1
        Any unit that both volumes share; parts of a ratio serve as well.
    a_density : float or array [kg/m^3] e.g. 1235
    b_volume : float or array [m^3] e.g. 1
    b_density : float or array [kg/m^3] e.g. 1075

    Returns
    -------
    float or array [kg/m^3]

    Examples
    --------
    >>> mixed_density(1, 1235.0, 1, 1075.0)
    1155.0
    """
    return (a_volume * a_density + b_volume * b_density) / (a_volume + b_volume)


def expansion_ratio(liquid_density: Any, foam_density: Any) -> Any:
    """Volume of foam from one volume of mixed liquids, no mass lost: ``rho_liquid / rho_foam``.

    Parameters
    ----------
    liquid_density : float or array [kg/m^3] e.g. 1155
    foam_density : float or array [kg/m^3] e.g. 48.06

    Returns
    -------
    float or array [-]

    Notes
    -----
    Gas that escapes from the surface (below about 1 % of the mass) is left out.

    Examples
    --------
    >>> round(expansion_ratio(1155.0, 48.06), 1)
    24.0
    """
    return liquid_density / foam_density


def parts_of_mass(mass: Any, a_volume: Any, a_density: Any, b_volume: Any, b_density: Any) -> tuple[Any, Any]:
    """Masses of part A and part B that together weigh ``mass`` at a ratio by volume.

    Parameters
    ----------
    mass : float or array [kg] e.g. 1
    a_volume : float or array [m^3] e.g. 1
    a_density : float or array [kg/m^3] e.g. 1235
    b_volume : float or array [m^3] e.g. 1
    b_density : float or array [kg/m^3] e.g. 1075

    Returns
    -------
    a_mass : float or array [kg]
    b_mass : float or array [kg]

    Examples
    --------
    >>> a, b = parts_of_mass(1.0, 1, 1235.0, 1, 1075.0)
    >>> round(a, 4), round(b, 4), round(a / b, 3)
    (0.5346, 0.4654, 1.149)
    """
    whole = a_volume * a_density + b_volume * b_density
    return mass * (a_volume * a_density / whole), mass * (b_volume * b_density / whole)


def volume_ratio(a_weight: Any, a_density: Any, b_weight: Any, b_density: Any) -> Any:
    """Parts of A by volume to one of B, from a ratio by weight: ``(wa / rho_a) / (wb / rho_b)``.

    Parameters
    ----------
    a_weight : float or array [kg] e.g. 115
    a_density : float or array [kg/m^3] e.g. 1235
    b_weight : float or array [kg] e.g. 100
    b_density : float or array [kg/m^3] e.g. 1075

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(volume_ratio(114.88, 1235.0, 100.0, 1075.0), 3)
    1.0
    """
    return (a_weight / a_density) / (b_weight / b_density)
