"""Plates of a fixture under the pressure of foam."""

from __future__ import annotations

from typing import Any

from pourwright.physics.elastic.plates_small import flexural_rigidity


def strip_span(bend: Any, pressure: Any, youngs: Any, poisson: Any, thickness: Any) -> Any:
    """Widest distance between ribs at which a plate bends by no more than ``bend``: ``5 q s^4 / (384 D)``.

    Parameters
    ----------
    bend : float or array [m] e.g. 1.12e-3
    pressure : float or array [Pa] e.g. 22e3
    youngs : float or array [Pa] e.g. 70e9
    poisson : float or array [-] e.g. 0.33
    thickness : float or array [m] e.g. 0.01

    Returns
    -------
    float or array [m]

    Notes
    -----
    A long plate, small deflection, edges free to turn: one that runs on over several ribs bends less.

    Examples
    --------
    >>> round(strip_span(1.12e-3, 22e3, 70e9, 0.33, 0.01), 2)
    0.4

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 1 (from memory).
    """
    return (384.0 * flexural_rigidity(youngs, poisson, thickness) * bend / (5.0 * pressure)) ** 0.25
