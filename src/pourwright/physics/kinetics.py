"""Reaction: rates, times at other temperatures, foam density from its gas, viscosity up to gelling."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from pourwright.physics.constants import GAS_CONSTANT

CASTRO_MACOSKO_PREFACTOR = 10.3e-8  # [Pa s]
CASTRO_MACOSKO_ENERGY = 41.3e3  # [J/mol]
CASTRO_MACOSKO_A = 1.5
CASTRO_MACOSKO_B = 1.0


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


def arrhenius(prefactor: Any, activation_energy: Any, temperature: Any) -> Any:
    """Rate constant of a first-order reaction: ``A exp(-E / (R T))``.

    Parameters
    ----------
    prefactor : float or array [1/s] e.g. 1385
    activation_energy : float or array [J/mol] e.g. 32660
    temperature : float or array [K] e.g. 298.15

    Returns
    -------
    float or array [1/s]

    Examples
    --------
    >>> f"{arrhenius(1385.0, 32.66e3, 298.15):.3e}"
    '2.628e-03'
    """
    return prefactor * np.exp(-activation_energy / (GAS_CONSTANT * temperature))


def gelling_rate(rate: Any, conversion: Any, blowing: Any, nco_ratio: Any, water_ratio: Any) -> Any:
    """Rate of conversion of the polyol: ``dX/dt = k (1 - X) (c_NCO/c_OH - 2 c_W/c_OH W - X)``.

    Parameters
    ----------
    rate : float or array [1/s] e.g. 5.461e-4
        Rate constant times the concentration of OH, at the temperature.
    conversion : float or array [-] e.g. 0.1
        X, share of OH that has reacted.
    blowing : float or array [-] e.g. 0.3
        W, share of the water that has reacted (each takes two NCO).
    nco_ratio : float or array [-] e.g. 1
    water_ratio : float or array [-] e.g. 0.178

    Returns
    -------
    float or array [1/s]

    Notes
    -----
    One overall second-order reaction; no vitrification, so for foams up to about 160 kg/m3.

    Examples
    --------
    >>> f"{gelling_rate(5.461e-4, 0.0, 0.0, 1.0, 0.17822):.3e}"
    '5.461e-04'

    References
    ----------
    Baser & Khakhar, Polymer Engineering and Science 34 (1994) 632-641 and 642-649 (form as quoted in later work).
    """
    return rate * (1 - conversion) * (nco_ratio - 2 * water_ratio * blowing - conversion)


def blowing_rate(rate: Any, blowing: Any) -> Any:
    """Rate of conversion of the water, first order: ``dW/dt = k (1 - W)``.

    Parameters
    ----------
    rate : float or array [1/s] e.g. 2.628e-3
    blowing : float or array [-] e.g. 0.3

    Returns
    -------
    float or array [1/s]

    Examples
    --------
    >>> round(blowing_rate(2.0e-3, 0.5), 4)
    0.001
    """
    return rate * (1 - blowing)


def free_gas(total: Any, blowing: Any, dissolved: Any) -> Any:
    """Gas in the bubbles per kilogram of liquid: what has formed less what stays dissolved, not below zero.

    Parameters
    ----------
    total : float or array [-] e.g. 0.0268
        Gas from all the water, kg per kg of liquid (0.0440 kg per mole of water).
    blowing : float or array [-] e.g. 1
    dissolved : float or array [-] e.g. 4.4e-4
        Carbon dioxide that stays in solution at one atmosphere, kg per kg.

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(float(free_gas(0.0268, 1.0, 4.4e-4)), 4), float(free_gas(0.0268, 0.01, 4.4e-4))
    (0.0264, 0.0)
    """
    return np.maximum(total * blowing - dissolved, 0.0)


def specific_volume(gas: Any, temperature: Any, pressure: Any, liquid_density: Any, molar_mass: Any) -> Any:
    """Volume of foam per kilogram: ideal gas in the bubbles and the liquid that is left.

    ``v = w R T / (p M) + (1 - w) / rho_liquid``

    Parameters
    ----------
    gas : float or array [-] e.g. 0.0264
        Gas in the bubbles, kg per kg of foam.
    temperature : float or array [K] e.g. 412
    pressure : float or array [Pa] e.g. 101325
    liquid_density : float or array [kg/m^3] e.g. 1155
    molar_mass : float or array [kg/mol] e.g. 0.0440

    Returns
    -------
    float or array [m^3/kg]

    Examples
    --------
    >>> round(1 / specific_volume(0.0264, 412.0, 101325.0, 1100.0, 0.044), 1)
    47.2
    """
    return gas * GAS_CONSTANT * temperature / (pressure * molar_mass) + (1 - gas) / liquid_density


def gas_in_foam(density: Any, temperature: Any, pressure: Any, liquid_density: Any, molar_mass: Any) -> Any:
    """Gas per kilogram of foam that holds it at ``density``: `specific_volume` turned round.

    Parameters
    ----------
    density : float or array [kg/m^3] e.g. 47.2
    temperature : float or array [K] e.g. 412
    pressure : float or array [Pa] e.g. 101325
    liquid_density : float or array [kg/m^3] e.g. 1100
    molar_mass : float or array [kg/mol] e.g. 0.0440

    Returns
    -------
    float or array [-]

    Examples
    --------
    >>> round(gas_in_foam(47.2, 412.0, 101325.0, 1100.0, 0.044), 4)
    0.0264
    """
    per_gas = GAS_CONSTANT * temperature / (pressure * molar_mass)
    return (1 / density - 1 / liquid_density) / (per_gas - 1 / liquid_density)


def reacting_viscosity(temperature: Any, conversion: Any, gel_conversion: Any = 0.65) -> Any:
    """Viscosity of the reacting liquid, without bound at gelling: ``A exp(E/RT) (Xg/(Xg - X))^(a + b X)``.

    Parameters
    ----------
    temperature : float or array [K] e.g. 298.15
    conversion : float or array [-] e.g. 0.2
    gel_conversion : float or array [-] e.g. 0.65
        Conversion at the gel point; at and beyond it the result is infinite.

    Returns
    -------
    float or array [Pa s]

    Notes
    -----
    Fitted by its authors to a polyurethane for reaction injection moulding, not to a rigid foam: it gives the shape,
    hardly the size. Bubbles raise the viscosity of the foam above that of its liquid.

    Examples
    --------
    >>> round(float(reacting_viscosity(298.15, 0.0)), 3), round(float(reacting_viscosity(298.15, 0.5)), 2)
    (1.771, 33.26)

    References
    ----------
    Castro & Macosko, AIChE Journal 28 (1982) 250-260: A 10.3e-8 Pa s, E 41.3 kJ/mol, Xg 0.65, a 1.5, b 1.0 (from
    memory).
    """
    left = np.maximum(gel_conversion - conversion, 0.0) / gel_conversion
    with np.errstate(divide="ignore"):
        runaway = left ** -(CASTRO_MACOSKO_A + CASTRO_MACOSKO_B * conversion)
    return CASTRO_MACOSKO_PREFACTOR * np.exp(CASTRO_MACOSKO_ENERGY / (GAS_CONSTANT * temperature)) * runaway
