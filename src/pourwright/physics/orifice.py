"""Air through vent holes, and foam through narrow places."""

from __future__ import annotations

import math
from typing import Any


def orifice_flow(diameter: Any, pressure_drop: Any, density: Any = 1.2, discharge: Any = 0.61) -> Any:
    """Volume flow through a sharp-edged round hole: ``Q = Cd (pi d^2/4) sqrt(2 dp / rho)``.

    Parameters
    ----------
    diameter : float or array [m] e.g. 0.006
    pressure_drop : float or array [Pa] e.g. 100
    density : float or array [kg/m^3] e.g. 1.2
        Of the gas; air at 20 °C 1.20, gas rich in carbon dioxide up to 1.8.
    discharge : float or array [-] e.g. 0.61
        About 0.60 to 0.62 for a sharp edge in turbulent flow.

    Returns
    -------
    float or array [m^3/s]

    Notes
    -----
    Incompressible: pressure drop below about 5 kPa. Hole no longer than its diameter.

    Examples
    --------
    >>> f"{orifice_flow(0.006, 100) * 1000:.4f} L/s"
    '0.2227 L/s'

    References
    ----------
    ISO 5167-2:2003, orifice plates (discharge coefficient tends to about 0.596 for a small hole; from memory).
    """
    return discharge * math.pi / 4 * diameter**2 * (2 * pressure_drop / density) ** 0.5


def orifice_diameter(flow: Any, pressure_drop: Any, density: Any = 1.2, discharge: Any = 0.61) -> Any:
    """Diameter of the one round hole that passes ``flow``; the inverse of `orifice_flow`.

    Parameters
    ----------
    flow : float or array [m^3/s] e.g. 2.227e-4
    pressure_drop : float or array [Pa] e.g. 100
    density : float or array [kg/m^3] e.g. 1.2
    discharge : float or array [-] e.g. 0.61

    Returns
    -------
    float or array [m]

    Examples
    --------
    >>> round(orifice_diameter(2.227e-4, 100) * 1000, 2)
    6.0
    """
    area = flow / discharge / (2 * pressure_drop / density) ** 0.5
    return (4 / math.pi * area) ** 0.5


def holes_needed(flow: float, flow_each: float) -> float:
    """Smallest whole number of equal holes that together pass ``flow``, at least one.

    Parameters
    ----------
    flow : float [m^3/s] e.g. 5e-4
    flow_each : float [m^3/s] e.g. 2.227e-4

    Returns
    -------
    float [-]
        A whole number (int).

    Examples
    --------
    >>> holes_needed(5e-4, 2.227e-4)
    3
    """
    # The slack keeps a flow that is the capacity of n holes up to rounding from asking for n + 1.
    return max(1, math.ceil(flow / flow_each - 1e-9))
