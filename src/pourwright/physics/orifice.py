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


def orifice_pressure_drop(flow: Any, area: Any, density: Any = 1.2, discharge: Any = 0.61) -> Any:
    """Pressure drop that drives ``flow`` through holes of ``area`` together: ``rho/2 (Q / (Cd A))^2``.

    Parameters
    ----------
    flow : float or array [m^3/s] e.g. 2e-3
    area : float or array [m^2] e.g. 1e-4
    density : float or array [kg/m^3] e.g. 1.2
    discharge : float or array [-] e.g. 0.61

    Returns
    -------
    float or array [Pa]

    Examples
    --------
    >>> round(orifice_pressure_drop(2.227e-4, 3.14159 / 4 * 0.006**2), 1)
    100.0
    """
    return density / 2 * (flow / (discharge * area)) ** 2


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


def tube_pressure_drop(viscosity: Any, length: Any, speed: Any, diameter: Any) -> Any:
    """Laminar drop along a round tube (Hagen-Poiseuille): ``32 mu L v / d^2``.

    Parameters
    ----------
    viscosity : float or array [Pa s] e.g. 10
    length : float or array [m] e.g. 0.1
    speed : float or array [m/s] e.g. 0.005
        Mean over the section.
    diameter : float or array [m] e.g. 0.05
        For other sections the hydraulic diameter 4 A / P; see `duct_pressure_drop` for how good that is.

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Newtonian, laminar, fully developed: Reynolds number below about 2000, which rising foam never nears.

    Examples
    --------
    >>> round(tube_pressure_drop(10.0, 0.1, 0.005, 0.05), 1)
    64.0

    References
    ----------
    Bird, Stewart & Lightfoot, Transport Phenomena, 2nd ed. 2002, section 2.3 (from memory).
    """
    return 32 * viscosity * length * speed / diameter**2


def plates_pressure_drop(viscosity: Any, length: Any, speed: Any, gap: Any) -> Any:
    """Laminar drop between wide parallel plates: ``12 mu L v / gap^2``.

    Parameters
    ----------
    viscosity : float or array [Pa s] e.g. 10
    length : float or array [m] e.g. 0.1
    speed : float or array [m/s] e.g. 0.005
    gap : float or array [m] e.g. 0.02

    Returns
    -------
    float or array [Pa]

    Examples
    --------
    >>> round(plates_pressure_drop(10.0, 0.1, 0.005, 0.02), 1)
    150.0

    References
    ----------
    Bird, Stewart & Lightfoot, Transport Phenomena, 2nd ed. 2002, problem 2B.3 (from memory).
    """
    return 12 * viscosity * length * speed / gap**2


def duct_pressure_drop(viscosity: Any, length: Any, speed: Any, hydraulic_diameter: Any, shape: Any = 64.0) -> Any:
    """Laminar drop along a duct by its hydraulic diameter: ``(f Re) / 2 mu L v / Dh^2``.

    Parameters
    ----------
    viscosity : float or array [Pa s] e.g. 10
    length : float or array [m] e.g. 0.1
    speed : float or array [m/s] e.g. 0.005
    hydraulic_diameter : float or array [m] e.g. 0.04
        ``4 A / P``.
    shape : float or array [-] e.g. 64
        Darcy friction factor times Reynolds number: 64 circle, 56.91 square, 96 wide plates (Dh = 2 gap).

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    With 64 for every shape the drop is up to 1.5 times too low (wide gap) and 1.12 times too high (square).

    Examples
    --------
    >>> duct_pressure_drop(10.0, 0.1, 0.005, 2 * 0.02, 96.0) == plates_pressure_drop(10.0, 0.1, 0.005, 0.02)
    True

    References
    ----------
    Shah & London, Laminar Flow Forced Convection in Ducts, 1978 (values of f Re; from memory).
    """
    return shape / 2 * viscosity * length * speed / hydraulic_diameter**2
