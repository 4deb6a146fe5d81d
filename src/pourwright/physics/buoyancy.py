"""Floating: lift of foam, submerged weight, flotation by the boat regulation's method, stability of a box."""

from __future__ import annotations

import numpy as np

from pourwright.physics.constants import STANDARD_GRAVITY

FRESH_WATER = 999.1026  # [kg/m^3]
"""Fresh water at 15 degC (ITTC Recommended Procedure 7.5-02-01-03 Rev 03, read in a secondary copy)."""

SEA_WATER = 1026.021  # [kg/m^3]
"""Sea water of 35.165 g/kg at 15 degC (same source)."""

HANDBOOK_WATER = 999.5520  # [kg/m^3]
"""The 62.4 lb/ft^3 of 33 CFR 183 and the Boatbuilder's Handbook."""

FIRST_PERSONS = 249.4758  # [kg]
"""The first 550 lb of persons, of which level flotation counts half (Boatbuilder's Handbook)."""


def submerged_factor(specific_gravity: float) -> float:
    """Share of its weight that a submerged material still weighs, K = (SG - 1) / SG; negative is lift.

    Parameters
    ----------
    specific_gravity : float or array [-] e.g. 1.5

    Returns
    -------
    float or array [-]

    Notes
    -----
    Printed tables leave out the minus sign of wood; take K from the specific gravity.

    Examples
    --------
    >>> round(submerged_factor(1.5), 4), round(submerged_factor(0.55), 3)
    (0.3333, -0.818)

    References
    ----------
    Boatbuilder's Handbook (U.S. Coast Guard), flotation part, for the method; algebra derived.
    """
    return (specific_gravity - 1) / specific_gravity


def rising_uplift_n(density_kg_m3: np.ndarray, sunk_m3: np.ndarray, kg: float) -> np.ndarray:
    """Push up on a body that is partly under a liquid, its own weight taken off: (rho V - m) g.

    Parameters
    ----------
    density_kg_m3 : float or array [kg/m^3]
        Of the liquid or rising foam.
    sunk_m3 : float or array [m^3]
        Of the body, under its top.
    kg : float [kg]
        Of the body.

    Returns
    -------
    float or array [N]
        Negative: it does not float.

    Notes
    -----
    Holds while the foam flows: from gel on it grips the body instead.

    Examples
    --------
    A body of 10 L and 0.2 kg under foam of 60 kg/m^3:

    >>> round(float(rising_uplift_n(60.0, 0.010, 0.2)), 3)
    3.923

    References
    ----------
    Archimedes' principle.
    """
    return STANDARD_GRAVITY * (density_kg_m3 * sunk_m3 - kg)


def level_flotation_load(persons_kg: float, level_capacity_kg: float) -> float:
    """Submerged weight that level flotation carries beside the motor.

    0.5 of the first 550 lb of persons + 0.125 of the rest + 0.25 (C - persons), the last not below zero

    Parameters
    ----------
    persons_kg : float or array [kg] e.g. 317
    level_capacity_kg : float or array [kg] e.g. 453

    Returns
    -------
    float or array [kg]

    Notes
    -----
    Boats under 20 ft with outboards (level method). ``level_capacity_kg`` is the Handbook's C for level flotation.

    Examples
    --------
    >>> lb = 0.45359237
    >>> round(float(level_flotation_load(700 * lb, 1000 * lb)) / lb, 2)
    368.75

    References
    ----------
    Boatbuilder's Handbook (U.S. Coast Guard), flotation part; 33 CFR 183 subpart G.
    """
    first = np.minimum(persons_kg, FIRST_PERSONS)
    spare = np.maximum(level_capacity_kg - persons_kg, 0.0)
    return 0.5 * first + 0.125 * (persons_kg - first) + 0.25 * spare


def level_persons_foam(
    persons_kg: float, level_capacity_kg: float, foam_kg_m3: float, water_kg_m3: float = HANDBOOK_WATER
) -> float:
    """Foam that level flotation asks for the persons on board.

    (0.5 of the first 550 lb + 0.125 of the rest + 0.25 (C - persons)) / B, the last not below zero

    Parameters
    ----------
    persons_kg : float or array [kg] e.g. 317
    level_capacity_kg : float or array [kg] e.g. 453
    foam_kg_m3 : float or array [kg/m^3] e.g. 32
    water_kg_m3 : float or array [kg/m^3] e.g. 999.552

    Returns
    -------
    float or array [m^3]

    Notes
    -----
    Boats under 20 ft with outboards (level method). ``level_capacity_kg`` is the Handbook's C for level flotation.

    Examples
    --------
    >>> lb, ft3 = 0.45359237, 0.3048**3
    >>> round(float(level_persons_foam(700 * lb, 1000 * lb, 2 * lb / ft3, 62.4 * lb / ft3)) / ft3, 3)
    6.105

    References
    ----------
    Boatbuilder's Handbook (U.S. Coast Guard), flotation part; 33 CFR 183 subpart G.
    """
    return level_flotation_load(persons_kg, level_capacity_kg) / (water_kg_m3 - foam_kg_m3)


def basic_flotation_load(
    persons_kg: float, dead_kg: float, air_chambers_m3: float, water_kg_m3: float = HANDBOOK_WATER
) -> float:
    """Submerged weight that basic flotation carries: 2/15 of the persons, 1/4 of the dead weight, air chambers.

    Parameters
    ----------
    persons_kg : float or array [kg] e.g. 300
    dead_kg : float or array [kg] e.g. 100
    air_chambers_m3 : float or array [m^3] e.g. 0.1
    water_kg_m3 : float or array [kg/m^3] e.g. 999.552

    Returns
    -------
    float or array [kg]

    Notes
    -----
    ``air_chambers_m3`` is the volume of the two largest air chambers where air chambers are used, else 0.
    The boat must keep some part afloat for 18 h with this load.

    Examples
    --------
    >>> round(basic_flotation_load(300.0, 100.0, 0.0), 1)
    65.0

    References
    ----------
    33 CFR 183.105(a).
    """
    return persons_kg * (2 / 15) + 0.25 * dead_kg + water_kg_m3 * air_chambers_m3


def dry_weight(submerged_kg: float, material_kg_m3: float, water_kg_m3: float = HANDBOOK_WATER) -> float:
    """Weight in air of a test weight that weighs so much under water: ``w / (1 - water / material)``.

    Parameters
    ----------
    submerged_kg : float or array [kg] e.g. 85
    material_kg_m3 : float or array [kg/m^3] e.g. 7850
    water_kg_m3 : float or array [kg/m^3] e.g. 999.552

    Returns
    -------
    float or array [kg]

    Examples
    --------
    >>> round(dry_weight(85.0, 7850.0), 1)
    97.4

    References
    ----------
    Archimedes' principle.
    """
    return submerged_kg / (1.0 - water_kg_m3 / material_kg_m3)
