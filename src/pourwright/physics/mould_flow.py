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


def density_along_flow(drop: Any, atmosphere: Any) -> tuple[Any, Any, Any]:
    """Density at the port, at the front, and packing of the whole, of foam held at the pressures of its flow.

    The pressure falls from the port to the front as ``1 - x^2/L^2``, by two thirds of the drop on average; the gas is
    as dense as it is pressed.

    Parameters
    ----------
    drop : float or array [Pa] e.g. 6e3
        From the port to the front.
    atmosphere : float or array [Pa] e.g. 101325

    Returns
    -------
    near : float or array [-]
        Density at the port over the mean.
    far : float or array [-]
        Density at the front over the mean.
    packing : float or array [-]
        Mean over that of foam that nothing holds back: so much more is needed for the front to get there.

    Notes
    -----
    Ideal gas, even temperature; the polymer's own volume is left out.

    Examples
    --------
    >>> [round(v, 3) for v in density_along_flow(6e3, 101325.0)]
    [1.019, 0.962, 1.039]
    """
    mean = atmosphere + 2.0 / 3.0 * drop
    return (atmosphere + drop) / mean, atmosphere / mean, mean / atmosphere
