"""Closed forms of the heat of one pour: peak, time to cool, wait before the next lift lands on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourwright.foam import FoamAtShop
from pourwright.lifts.judged import CENTRE_SHARE, FILM, HOT_SHARE
from pourwright.physics import film, heat
from pourwright.ranges import Range


@dataclass(frozen=True, slots=True)
class Heat:
    """Temperatures [K] and times of one pour."""

    peak_k: Range
    hot_s: float  # until the centre holds a tenth of its rise
    wait_s: float  # from pouring to the next lift; inf where it never cools enough
    landing_k: float  # centre when the wait is over


def heat_of(
    foam: FoamAtShop, density_kg_m3: float, rise_m: float, width_m: float, on_foam: bool, landing_k: float
) -> Heat:
    """Heat of a pour of ``rise_m`` in a limb of ``width_m``.

    The core reaches the adiabatic peak whatever the thickness (true above a few centimetres, on the safe side below).
    It cools as a slab: over its height, the lower face insulated where it stands on foam, or over its width with both
    faces at the skin, whichever is faster. No limb of a convex section is ever hotter than a slab as thick as the
    largest circle inside it (Banuelos, Latala & Mendez-Hernandez, Proc. Amer. Math. Soc. 129 (2001) 2997-3008, from
    memory), and foam below that has had its wait takes heat away rather than bringing any: both are upper bounds.

    Parameters
    ----------
    foam : FoamAtShop
    density_kg_m3 : float
        Of the foam in place.
    rise_m, width_m : float
        Thickness of the risen foam [m]; largest circle inside its widest section, diameter [m].
    on_foam : bool
        Whether it stands on foam of an earlier lift.
    landing_k : float
        The centre must be below this [K], and below 30 % of its rise, before the next lift.
    """
    grade, day = foam.grade, foam.conditions
    peak = foam.rise_k + Range.exact(day.parts_k)
    alpha = heat.diffusivity(grade.conductivity_hot_w_mk, density_kg_m3, grade.specific_heat_j_kgk)
    excess = peak.nominal - day.air_k

    def cooled(share: float) -> float:
        if share >= 1:
            return 0.0
        over_height = heat.slab_time_to_share(share, rise_m, alpha, one_face_adiabatic=on_foam)
        return float(min(over_height, heat.slab_time_to_share(share, width_m, alpha)))

    hot = cooled(HOT_SHARE.value)
    allowed = (landing_k - day.air_k) / excess if excess > 0 else 1.0
    if allowed <= 0:
        return Heat(peak, hot, math.inf, math.nan)
    share = min(CENTRE_SHARE.value, allowed)
    face = 0.0
    if allowed < 1:
        thickness = rise_m if on_foam else 0.5 * rise_m  # cooled on both faces: two halves back to back
        face = film.slab_time_to_face(allowed, thickness, alpha, grade.conductivity_hot_w_mk, FILM.value)
    return Heat(peak, hot, foam.rise_end_s + max(cooled(share), face), day.air_k + share * excess)
