"""The gas in the cells: pressure when it is held back, density at other pressures, and the head of a column."""

from __future__ import annotations

from typing import Any

from pourwright.physics.constants import SOLID_DENSITY, STANDARD_ATMOSPHERE, STANDARD_GRAVITY


def packed_gauge_pressure(
    packing: Any,
    free_rise_density: Any,
    temperature_ratio: Any = 1.0,
    atmosphere: float = STANDARD_ATMOSPHERE,
    solid_density: float = SOLID_DENSITY,
) -> Any:
    r"""Gauge pressure of foam whose gas is held in less room than it would have filled in free rise.

    ``p = p_atm ( (1/rho_f - 1/rho_s) / (1/(PR rho_f) - 1/rho_s) T_c/T_f - 1 )``

    Parameters
    ----------
    packing : float or array [-] e.g. 1.1
        Density in place over free-rise density, at least 1.
    free_rise_density : float or array [kg/m^3] e.g. 48.06
    temperature_ratio : float or array [-] e.g. 1
        Absolute temperature of the gas held over that in free rise; 1.05 to 1.10 where foam gels before its peak.
    atmosphere : float [Pa] e.g. 101325
    solid_density : float [kg/m^3] e.g. 1200

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    An upper bound: a rigid cavity without leaks, all gas given off before gelling, ideal gas, none dissolved.
    Valid while ``packing * free_rise_density < solid_density``.

    Examples
    --------
    >>> [round(packed_gauge_pressure(r, 48.06) / 1000, 1) for r in (1.1, 1.3, 1.67)]
    [10.6, 32.1, 72.8]
    """
    free = 1 / free_rise_density - 1 / solid_density
    held = 1 / (packing * free_rise_density) - 1 / solid_density
    return atmosphere * (free / held * temperature_ratio - 1)


def packing_at_pressure(
    pressure: Any,
    free_rise_density: Any,
    temperature_ratio: Any = 1.0,
    atmosphere: float = STANDARD_ATMOSPHERE,
    solid_density: float = SOLID_DENSITY,
) -> Any:
    """Packing at which held foam presses with ``pressure``: the inverse of `packed_gauge_pressure`.

    Parameters
    ----------
    pressure : float or array [Pa] e.g. 32.1e3
        Gauge.
    free_rise_density : float or array [kg/m^3] e.g. 48.06
    temperature_ratio : float or array [-] e.g. 1
    atmosphere : float [Pa] e.g. 101325
    solid_density : float [kg/m^3] e.g. 1200

    Returns
    -------
    float or array [-]

    Notes
    -----
    As `packed_gauge_pressure`. Below 1 where the heating of the gas alone presses harder.

    Examples
    --------
    >>> round(packing_at_pressure(32.1e3, 48.06), 2)
    1.3
    """
    free = 1 / free_rise_density - 1 / solid_density
    held = free * temperature_ratio / (1 + pressure / atmosphere)
    return 1 / (free_rise_density * (held + 1 / solid_density))


def density_at_pressure(
    density: Any, pressure_ratio: Any, temperature_ratio: Any = 1.0, solid_density: float = SOLID_DENSITY
) -> Any:
    """Density of a foam whose gas is at another pressure and temperature while it can still expand.

    ``1/rho' = 1/rho_s + (1/rho - 1/rho_s) (T'/T) / (p'/p)``

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06
        At the first pressure and temperature.
    pressure_ratio : float or array [-] e.g. 0.8
        New absolute pressure over the first.
    temperature_ratio : float or array [-] e.g. 1
        New absolute temperature over the first.
    solid_density : float [kg/m^3] e.g. 1200

    Returns
    -------
    float or array [kg/m^3]

    Examples
    --------
    Rising at 80 kPa (about 2000 m above the sea) in place of 100 kPa:

    >>> round(density_at_pressure(48.06, 0.8), 1)
    38.8
    """
    void = (1 / density - 1 / solid_density) * temperature_ratio / pressure_ratio
    return 1 / (void + 1 / solid_density)


def head_pressure(density: Any, height: Any, gravity: float = STANDARD_GRAVITY) -> Any:
    """Pressure under a column of fluid: ``rho g h``.

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 48.06
    height : float or array [m] e.g. 1
    gravity : float [m/s^2] e.g. 9.80665

    Returns
    -------
    float or array [Pa]

    Examples
    --------
    >>> round(head_pressure(48.06, 1.0) / 1000, 2)
    0.47
    """
    return density * gravity * height


def contraction(expansion: Any, drop: Any) -> Any:
    """Linear shrinkage share on cooling: ``alpha dT``.

    Parameters
    ----------
    expansion : float or array [1/K] e.g. 6e-5
        Linear coefficient; 5e-5 to 7e-5 for rigid polyurethane foam (from memory).
    drop : float or array [K] e.g. 117

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(contraction(6e-5, 117.0), 4)
    0.007
    """
    return expansion * drop
