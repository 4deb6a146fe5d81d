"""What a warm face does to the liquid that is poured onto it."""

from __future__ import annotations

import math

from pourwright.physics.constants import GAS_CONSTANT


def quickening_warmth(share: float, liquid_temperature: float, activation_energy: float) -> float:
    """Temperature at which a reaction takes ``share`` less time: ``1/T = 1/T0 + R ln(1 - share) / E``.

    Parameters
    ----------
    share : float [-] e.g. 0.25
        Of its time, at least 0, less than 1.
    liquid_temperature : float [K] e.g. 295.15
    activation_energy : float [J/mol] e.g. 33e3
        Of the time, here from mixing to cream.

    Returns
    -------
    float [K]

    Notes
    -----
    Arrhenius: the time goes as ``exp(E / R T)``.

    Examples
    --------
    >>> round(quickening_warmth(0.25, 295.15, 33e3) - 295.15, 2)
    6.45
    """
    return 1 / (1 / liquid_temperature + GAS_CONSTANT * math.log(1 - share) / activation_energy)


def face_for_contact(contact: float, liquid_temperature: float, liquid_effusivity: float, effusivity: float) -> float:
    """Temperature a face may have so that liquid on it is brought to ``contact`` where they touch.

    ``T = Tc + (Tc - Tl) el / e``

    Parameters
    ----------
    contact : float [K] e.g. 301.61
    liquid_temperature : float [K] e.g. 295.15
    liquid_effusivity : float [W s^0.5/(m^2 K)] e.g. 636
    effusivity : float [W s^0.5/(m^2 K)] e.g. 51
        Of the body behind the face.

    Returns
    -------
    float [K]

    Notes
    -----
    Both thick for the time that counts; deeper in the liquid it is cooler, so the bound is on the safe side.

    Examples
    --------
    >>> round(face_for_contact(301.61, 295.15, 636.0, 51.0) - 273.15, 1)
    109.0

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 2.15 (two semi-infinite regions).
    """
    return contact + (contact - liquid_temperature) * liquid_effusivity / effusivity


def contact_warming(effusivity: float, time: float, capacity: float) -> float:
    """Share of a face's excess that a layer of liquid on it takes up in ``time``: ``2 e sqrt(t/pi) / C``.

    Parameters
    ----------
    effusivity : float [W s^0.5/(m^2 K)] e.g. 51
        Of the body behind the face.
    time : float [s] e.g. 42
        From pouring to cream.
    capacity : float [J/(m^2 K)] e.g. 15800
        Of the layer: kilograms a square metre times specific heat.

    Returns
    -------
    float [-]

    Notes
    -----
    Heat that a half-space gives to a face held at the liquid's temperature: an upper bound, for the face is warmer. The
    mean over the layer; no more than 1.

    Examples
    --------
    A face 78 K over liquid that becomes 183 mm of 49 kg/m3 foam warms it by

    >>> round(78 * contact_warming(51.0, 42.0, 183e-3 * 49.3 * 1750), 1)
    1.8

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 2.4 (flux at the face of a half-space).
    """
    return min(1.0, warmed_thickness(effusivity, time, capacity))


def warmed_thickness(effusivity: float, time: float, capacity: float) -> float:
    """Thickness of a layer that would take up all of a face's excess in ``time``: ``2 e sqrt(t/pi) / C``.

    Parameters
    ----------
    effusivity : float [W s^0.5/(m^2 K)] e.g. 51
        Of the body behind the face.
    time : float [s] e.g. 42
        From pouring to cream.
    capacity : float [J/(m^3 K)] e.g. 86300
        Of the layer: density times specific heat. Per square metre of a layer: the share that it takes up.

    Returns
    -------
    float [m]

    Notes
    -----
    A layer ``n`` times as thick warms by one ``n``-th of the excess. Validity as of `contact_warming`.

    Examples
    --------
    >>> round(warmed_thickness(51.0, 42.0, 49.3 * 1750), 4)
    0.0043

    References
    ----------
    Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 2.4 (flux at the face of a half-space).
    """
    return 2 * effusivity * (time / math.pi) ** 0.5 / capacity
