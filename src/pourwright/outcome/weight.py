"""What the piece weighs and where its centre is: skin alone, after every lift, and filled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity
from pourwright.lifts import Division, Lift, Pour
from pourwright.outcome.moments import Moments, skin_moments
from pourwright.ranges import Range
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Mass:
    """A mass with its range and its centre (3,) in the shell file's axes, metres."""

    kg: Range
    centre_m: np.ndarray


def skin_mass(skin: Skin, cavity: Cavity, moments: Moments) -> Mass:
    """Weight of the bare skin.

    The wall is what lies between the outside face and the cavity: V_wall = V_enclosed - V_cavity - V_stray, where the
    cavity is what foam and things inside (see `pourwright.irons`) take together. Its low and
    high come from the cavity's high and low (a thicker wall leaves less cavity) and the spread of the material's
    density. The centre follows from first moments: V_wall c_wall = V_enclosed c_enclosed - V_cavity c_cavity.

    Returns
    -------
    Mass
        kg low / nominal / high, centre of the bare skin.
    """
    volume_m3, first, _ = skin_moments(skin)
    hollow_m3, hollow_first, _ = hollow(cavity, moments)
    hollow_centre = cavity.frame.to_shell(hollow_first / hollow_m3)
    space = skin.enclosed_m3 - cavity.taken_m3 - cavity.stray_voids_m3
    wall = space - cavity.volume_m3
    cited = skin.material.cited.get("density_kg_m3")
    spread = cited.spread if cited is not None else 0.0
    volume = Range(
        max(space - cavity.room_high_m3, 0.0),
        wall,
        max(space - cavity.room_low_m3, wall),
    )
    solid = skin.enclosed_m3 - hollow_m3
    centre = (skin.enclosed_m3 * first / volume_m3 - hollow_m3 * hollow_centre) / solid
    return Mass(volume * Range.about(skin.material.density_kg_m3, spread), centre)


def hollow(cavity: Cavity, moments: Moments) -> tuple[float, np.ndarray, np.ndarray]:
    """Volume, first and second moments, standing, of all inside the wall: foam and what stands in it."""
    volume, first, second = float(moments.volume_m3.sum()), moments.first_m4.sum(axis=0), moments.second_m5.sum(axis=0)
    for one in cavity.taken:
        volume, first, second = volume + one.volume_m3, first + one.first_m4, second + one.second_m5
    if cavity.spared is not None:
        bare = cavity.spared
        volume, first, second = volume + bare.volume_m3, first + bare.first_m4, second + bare.second_m5
    return volume, first, second


def lift_mass(lift: Lift, cavity: Cavity, moments: Moments) -> Mass:
    """Foam of one lift: the sum of its pours, each at its own density, centred by the volume it fills."""
    kg = Range.sum(pour.foam_kg for pour in lift.pours)
    moment = np.zeros(3)
    for pour in lift.pours:
        volume = float(moments.volume_m3[pour.nodes] @ pour.shares)
        moment += pour.foam_kg.nominal * (pour.shares @ moments.first_m4[pour.nodes]) / volume
    return Mass(kg, cavity.frame.to_shell(moment / kg.nominal))


def weighed_and_left(pours: Iterable[Pour]) -> tuple[Range, Range]:
    """Foam that is in and was weighed, and foam that is still to fill its space, whatever the cavity holds."""
    pours = tuple(pours)
    weighed, left = (Range.sum(pour.foam_kg for pour in pours if pour.poured is done) for done in (True, False))
    return weighed, left


def foam_total(plan: Division, cavity: Cavity) -> Range:
    """All foam. What is still to be poured is widened by the uncertainty of the cavity's volume (which it shares)."""
    weighed, left = weighed_and_left(pour for lift in plan.lifts for pour in lift.pours)
    share = Range(cavity.volume_low_m3 / cavity.volume_m3, 1.0, cavity.volume_high_m3 / cavity.volume_m3)
    return weighed + left * share


def total_mass(skin: Range, plan: Division, cavity: Cavity) -> Range:
    """Skin and all foam of the plan together.

    A thicker wall means more skin and less foam, and a skin is always denser than its foam, so the low end is the
    thin wall with its larger cavity and the high end the thick wall with its smaller one; the densities stand at
    their low in the one and at their high in the other.
    """
    low_share, high_share = cavity.volume_low_m3 / cavity.volume_m3, cavity.volume_high_m3 / cavity.volume_m3
    weighed, left = weighed_and_left(pour for lift in plan.lifts for pour in lift.pours)
    nominal = skin.nominal + weighed.nominal + left.nominal
    thin = skin.low + weighed.low + left.low * high_share
    thick = skin.high + weighed.high + left.high * low_share
    return Range(min(thin, nominal), nominal, max(thick, nominal))


def joint(*parts: Mass) -> Mass:
    """Several masses as one: interval sum and the centre of the nominal ones."""
    kg = Range.sum(part.kg for part in parts)
    centre = sum((part.kg.nominal * part.centre_m for part in parts), np.zeros(3)) / kg.nominal
    return Mass(kg, centre)
