"""Foam on its way through a gap: what pressure moves it, and how much denser that leaves it near the port."""

from __future__ import annotations

from typing import Any


def plane_swelling_drop(growth: Any, viscosity: Any, length: Any, gap: Any) -> Any:
    """Pressure at the port over that at the front of foam that swells in a plane gap: ``6 mu e L^2 / h^2``.

    Every part of the foam swells at the rate ``e``, so the mean speed at ``x`` from the port is ``e x``; between plates
    ``dp/dx = -12 mu e x / h^2`` (Poiseuille), and that summed from the port to the front is the drop.

    Parameters
    ----------
    growth : float or array [1/s] e.g. 0.01
        Rate of swelling, of the volume there is.
    viscosity : float or array [Pa s] e.g. 50
    length : float or array [m] e.g. 1.5
        From the port to the front.
    gap : float or array [m] e.g. 0.1

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    Slow, laminar, Newtonian; a gap much narrower than long; both faces at rest. From one port along a strip of even
    width; round a port in a wide sheet it is half of it.

    Examples
    --------
    >>> round(plane_swelling_drop(0.01, 50.0, 1.5, 0.1))
    675

    References
    ----------
    Plane Poiseuille flow and Hele-Shaw cell: from memory of Batchelor, An Introduction to Fluid Dynamics, 1967, 4.2,
    4.8; the sum over swelling foam is ours.
    """
    return 6.0 * viscosity * growth * length**2 / gap**2


def pressure_along_flow(share: Any, drop: Any, front: Any) -> Any:
    """Pressure part of the way from the port to the front of foam that swells in a plane gap: ``p + d (1 - x^2/L^2)``.

    Parameters
    ----------
    share : float or array [-] e.g. 0.5
        Of the way: from 0 at the port to 1 at the front.
    drop : float or array [Pa] e.g. 6e3
        From the port to the front.
    front : float or array [Pa] e.g. 101325
        At the front.

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    As `plane_swelling_drop`: its slope summed up to ``x``. Held there, the gas is as dense as it is pressed (Boyle).

    Examples
    --------
    >>> [round(pressure_along_flow(x, 6e3, 101325.0)) for x in (0.0, 0.5, 1.0)]
    [107325, 105825, 101325]
    """
    return front + drop * (1.0 - share**2)
