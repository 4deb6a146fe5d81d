"""Floating: lift of foam, submerged weight, flotation by the boat regulation's method, stability of a box."""

from __future__ import annotations

import numpy as np

from pourwright.physics.constants import STANDARD_GRAVITY

DIMENSIONS_BY_SCALING = ("level_flotation_load", "level_persons_foam")

FRESH_WATER = 999.1026  # [kg/m^3]
"""Fresh water at 15 degC (ITTC Recommended Procedure 7.5-02-01-03 Rev 03, read in a secondary copy)."""

SEA_WATER = 1026.021  # [kg/m^3]
"""Sea water of 35.165 g/kg at 15 degC (same source)."""

HANDBOOK_WATER = 999.5520  # [kg/m^3]
"""The 62.4 lb/ft^3 of 33 CFR 183 and the Boatbuilder's Handbook."""

FIRST_PERSONS = 249.4758  # [kg]
"""The first 550 lb of persons, of which level flotation counts half (Boatbuilder's Handbook)."""


def net_lift(volume_m3: float, density_kg_m3: float, water_kg_m3: float) -> float:
    """Force by which a submerged body rises, (rho_w - rho) V g.

    Parameters
    ----------
    volume_m3 : float or array [m^3] e.g. 0.2
    density_kg_m3 : float or array [kg/m^3] e.g. 35
    water_kg_m3 : float or array [kg/m^3] e.g. 999.1

    Returns
    -------
    float or array [N]

    Notes
    -----
    No water taken up; take what soaks in off the volume. Negative: it sinks.

    Examples
    --------
    >>> round(net_lift(0.2, 35.0, FRESH_WATER), 1), round(net_lift(0.2, 35.0, SEA_WATER), 1)
    (1890.9, 1943.7)

    References
    ----------
    Archimedes' principle.
    """
    return (water_kg_m3 - density_kg_m3) * volume_m3 * STANDARD_GRAVITY


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


def boat_foam(
    hull_kg: float, hull_factor: float, deck_kg: float, foam_kg_m3: float, water_kg_m3: float = HANDBOOK_WATER
) -> float:
    """Foam that floats a swamped boat's own structure, (W_h K + W_d) / B, B = water - foam.

    Parameters
    ----------
    hull_kg : float or array [kg] e.g. 272
    hull_factor : float or array [-] e.g. 0.333
    deck_kg : float or array [kg] e.g. 20
    foam_kg_m3 : float or array [kg/m^3] e.g. 32
    water_kg_m3 : float or array [kg/m^3] e.g. 999.552

    Returns
    -------
    float or array [m^3]

    Notes
    -----
    Hull below the swamped waterline, deck above it. With several materials the products
    W K are summed first. Buoyancy is not reduced for water taken up by the foam.

    Examples
    --------
    >>> lb, ft3 = 0.45359237, 0.3048**3
    >>> foam = boat_foam(600 * lb, 0.33, 0.0, 2 * lb / ft3, 62.4 * lb / ft3) / ft3
    >>> round(foam, 3)
    3.278

    References
    ----------
    Boatbuilder's Handbook (U.S. Coast Guard), flotation part.
    """
    return (hull_kg * hull_factor + deck_kg) / (water_kg_m3 - foam_kg_m3)


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


def metacentric_radius(waterplane_m4: float, displaced_m3: float) -> float:
    """Height of the metacentre over the centre of buoyancy, BM = I / V.

    Parameters
    ----------
    waterplane_m4 : float or array [m^4] e.g. 0.576
    displaced_m3 : float or array [m^3] e.g. 1.2

    Returns
    -------
    float or array [m]

    Notes
    -----
    Small angles. GM = KB + BM - KG.

    Examples
    --------
    >>> round(metacentric_radius(4 * 1.2**3 / 12, 4 * 1.2 * 0.25), 3)
    0.48

    References
    ----------
    Any text on naval architecture (from memory).
    """
    return waterplane_m4 / displaced_m3


def box_afloat(length_m: float, beam_m: float, mass_kg: float, water_kg_m3: float) -> tuple[float, float, float]:
    """Draft T = m / (rho L B) of a box, its centre of buoyancy T/2 and its metacentre T/2 + B^2 / (12 T).

    Parameters
    ----------
    length_m : float or array [m] e.g. 4
    beam_m : float or array [m] e.g. 1.2
    mass_kg : float or array [kg] e.g. 1198.9
    water_kg_m3 : float or array [kg/m^3] e.g. 999.1

    Returns
    -------
    draft : float or array [m]
    centre_of_buoyancy : float or array [m]
    metacentre : float or array [m]

    Notes
    -----
    Upright, heights from the keel, draft below the box's height, small heel about the long axis.

    Examples
    --------
    >>> [round(x, 3) for x in box_afloat(4.0, 1.2, 1198.92, FRESH_WATER)]
    [0.25, 0.125, 0.605]

    References
    ----------
    Any text on naval architecture (from memory).
    """
    draft = mass_kg / (water_kg_m3 * length_m * beam_m)
    return draft, draft / 2, draft / 2 + beam_m**2 / (12 * draft)


def free_surface_loss(surface_m4: float, liquid_kg_m3: float, displaced_m3: float, water_kg_m3: float) -> float:
    """Loss of metacentric height to loose liquid inside, rho_l i / (rho_w V).

    Parameters
    ----------
    surface_m4 : float or array [m^4] e.g. 0.1
    liquid_kg_m3 : float or array [kg/m^3] e.g. 1000
    displaced_m3 : float or array [m^3] e.g. 1.2
    water_kg_m3 : float or array [kg/m^3] e.g. 999.1

    Returns
    -------
    float or array [m]

    Notes
    -----
    Small angles; ``surface_m4`` is the second moment of the liquid's surface about its own axis. Foam takes it away.

    Examples
    --------
    >>> round(free_surface_loss(0.12, 999.1, 1.2, 999.1), 3)
    0.1

    References
    ----------
    Any text on naval architecture (from memory).
    """
    return liquid_kg_m3 * surface_m4 / (water_kg_m3 * displaced_m3)


def crush_depth(strength_pa: float, water_kg_m3: float) -> float:
    """Depth at which water presses on bare foam with its compressive strength, sigma / (rho g).

    Parameters
    ----------
    strength_pa : float or array [Pa] e.g. 276e3
    water_kg_m3 : float or array [kg/m^3] e.g. 999.1

    Returns
    -------
    float or array [m]

    Notes
    -----
    Short-term and bare; creep and soaking come sooner. A skin that carries the water is another matter.

    Examples
    --------
    >>> round(crush_depth(40 * 6894.757, HANDBOOK_WATER) / 0.3048, 1)
    92.3

    References
    ----------
    Hydrostatic pressure.
    """
    return strength_pa / (water_kg_m3 * STANDARD_GRAVITY)
