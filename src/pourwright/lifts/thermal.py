"""Formulas of the heat of one pour: peak, time to cool, wait before the next lift lands on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourwright.foam import FoamAtShop
from pourwright.lifts.judged import FILM, HOT_SHARE, SHORTEST_WAIT
from pourwright.physics import film, heat, landing
from pourwright.ranges import Range


@dataclass(frozen=True, slots=True)
class Heat:
    """Temperatures [K] and times of one pour."""

    peak_k: Range
    hot_s: float  # until the centre holds a tenth of its rise
    caution_s: float  # until the centre is below the caution temperature, likely heat
    wait_s: float  # from pouring to the next lift; inf where it never cools enough
    surface_under_k: float  # its top when the wait is over


def heat_of(
    foam: FoamAtShop, density_kg_m3: float, rise_m: float, width_m: float, on_foam: bool, surface_under_k: float
) -> Heat:
    """Heat of a pour of ``rise_m`` in a limb of ``width_m``.

    The core reaches the adiabatic peak whatever the thickness (true above a few centimetres, on the safe side below).
    It cools as a slab: over its height, the lower face insulated where it stands on foam, or over its width with both
    faces at the skin, whichever is faster. No limb of a convex section is ever hotter than a slab as thick as the
    largest circle inside it (Banuelos, Latala & Mendez-Hernandez, Proc. Amer. Math. Soc. 129 (2001) 2997-3008, from
    memory), and lower foam never gets hotter through a later lift: once its centre is below the caution temperature,
    and as far below it as the next lift is above it, no more time above it is to come. The wait is until then, until
    the top is cool enough to land on, and not before it has risen; meant to err on the long side of staged heat.

    Parameters
    ----------
    foam : FoamAtShop
    density_kg_m3 : float
        Of the foam in place.
    rise_m, width_m : float
        Thickness of the risen foam [m]; largest circle inside its widest section, diameter [m].
    on_foam : bool
        Whether it stands on foam of an earlier lift.
    surface_under_k : float
        The top must be below this [K] before the next lift.
    """
    grade, day = foam.grade, foam.conditions
    peak = foam.rise_k + Range.exact(day.parts_k)
    conductivity = grade.conductivity_hot_w_mk
    alpha = heat.diffusivity(conductivity, density_kg_m3, grade.specific_heat_j_kgk)
    excess = peak.nominal - day.air_k

    def cooled(share: float) -> float:
        if share >= 1:
            return 0.0
        over_height = heat.slab_time_to_share(share, rise_m, alpha, one_face_adiabatic=on_foam)
        return float(min(over_height, heat.slab_time_to_share(share, width_m, alpha)))

    hot = cooled(HOT_SHARE.value)
    caution = cooled((grade.caution_k - day.air_k) / excess) if excess > 0 and grade.caution_k > day.air_k else 0.0
    room = min(grade.stop_k - peak.nominal, grade.emergency_k - peak.high)
    if room > 0:  # liquid on a warm face starts warmer and peaks higher
        below = heat.effusivity(conductivity, density_kg_m3, grade.specific_heat_j_kgk)
        layer = density_kg_m3 * rise_m * grade.specific_heat_j_kgk
        surface_under_k = min(surface_under_k, day.parts_k + room / landing.contact_warming(below, foam.cream_s, layer))
    allowed = (surface_under_k - day.air_k) / excess if excess > 0 else 1.0
    if allowed <= 0:
        return Heat(peak, hot, caution, math.inf, math.nan)
    face, thickness = 0.0, rise_m if on_foam else 0.5 * rise_m  # cooled on both faces: two halves back to back
    if allowed < 1:
        face = film.slab_time_to_face(allowed, thickness, alpha, conductivity, FILM.value)
    # The next lift is above the caution temperature by what this one must be below it.
    apart = 2 * grade.caution_k - peak.nominal - day.air_k
    settled = cooled(min(1.0, apart / excess)) if caution > 0 and apart > 0 else caution
    wait = max(SHORTEST_WAIT.value, foam.rise_end_s + max(settled, face))
    top = film.slab_shares(wait - foam.rise_end_s, thickness, alpha, conductivity, FILM.value)[0]
    return Heat(peak, hot, caution, wait, day.air_k + top * max(excess, 0.0))
