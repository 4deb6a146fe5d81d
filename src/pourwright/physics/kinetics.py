"""Reaction: rates, times at other temperatures, foam density from its gas, viscosity up to gelling."""

from __future__ import annotations

import math
from typing import Any

from pourwright.physics.constants import GAS_CONSTANT


def time_factor(activation_energy: float, temperature: float, reference: float) -> float:
    """Factor on a time when the reaction runs at another temperature: ``exp(E/R (1/T - 1/Tref))``.

    Parameters
    ----------
    activation_energy : float [J/mol] e.g. 40e3
    temperature : float [K] e.g. 285.15
    reference : float [K] e.g. 295.15

    Returns
    -------
    float [-]
        Above 1 where it is colder than the reference.

    Notes
    -----
    Isothermal: a mass that heats itself shifts less (1.52 in place of 1.72 from 22 to 32 °C).

    Examples
    --------
    >>> round(time_factor(40.4e3, 285.15, 295.15), 3)
    1.781
    """
    return math.exp(activation_energy / GAS_CONSTANT * (1 / temperature - 1 / reference))


def arrhenius(prefactor: Any, activation_energy: float, temperature: float) -> Any:
    """Rate constant of a first-order reaction: ``A exp(-E / (R T))``.

    Parameters
    ----------
    prefactor : float [1/s] e.g. 1385
    activation_energy : float [J/mol] e.g. 32660
    temperature : float [K] e.g. 298.15

    Returns
    -------
    float [1/s]

    Examples
    --------
    >>> f"{arrhenius(1385.0, 32.66e3, 298.15):.3e}"
    '2.628e-03'
    """
    return prefactor * math.exp(-activation_energy / (GAS_CONSTANT * temperature))
