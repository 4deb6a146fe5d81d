"""What coats and solid places of a lining heat to, and in how many pours the solid ones are filled."""

from __future__ import annotations

import math

from pourwright.foam import FoamAtShop
from pourwright.lifts import ShopLimits, lift_cap
from pourwright.lining.chambers import SolidPlace
from pourwright.lining.coats import hours_hot

SOLID_HALF = 1.5
"""Half the width of a solid place is no more of the lining's thickness: a hollow of one thickness between two linings
would be left open there."""


def hours_of_all(
    films_w_m2k: tuple[float, float],
    limits: ShopLimits,
    foam: FoamAtShop,
    thickness_m: float,
    coat_m: tuple[float, float],
    places: tuple[SolidPlace, ...],
) -> float:
    """Hours above caution of a coat, even or where it lies thickest, and of the places that are filled solid [h].

    A place that the job has filled solid is no hotter than one step of it, as wide as it may be, cooled at its top;
    nor than all of it at once as a slab as thick as the largest ball in it, cooled on both faces: skin that is round it
    as a tube's or a ball's takes more.

    ``films_w_m2k``: inside and outside; ``coat_m``: an even coat, and one where it lies thickest.
    """
    even, thickest = coat_m
    film, bare = films_w_m2k
    found = [
        hours_hot(foam, even, film, foam.grade.caution_k),
        hours_hot(foam, 0.5 * thickest, min(film, bare), foam.grade.caution_k),
    ]
    widest = max((place.top_m - place.bottom_m for place in places if not place.asked), default=0.0)
    if widest > 0.0:
        found.append(hours_hot(foam, min(SOLID_HALF * thickness_m, 0.5 * widest), bare, foam.grade.caution_k))
    caution = foam.grade.caution_k
    for place in (one for one in places if one.asked):
        step = hours_hot(foam, _step_m(limits, foam, place), bare, caution)  # on foam that takes nothing up
        across = hours_hot(foam, place.half_m, min(film, bare), caution) if math.isfinite(place.half_m) else step
        found.append(min(step, across))
    return max(found)


def _step_m(limits: ShopLimits, foam: FoamAtShop, place: SolidPlace) -> float:
    """Foam of one pour of a place that the job has filled solid, by the grade's lift [m]."""
    return min(lift_cap(foam, limits).thickness_m, place.top_m - place.bottom_m)


def steps_of(limits: ShopLimits, foam: FoamAtShop, places: tuple[SolidPlace, ...]) -> int:
    """Pours one on the other of the tallest place that the job has filled solid; others are poured in their waits."""
    asked = [place for place in places if place.asked]
    return max((math.ceil((one.top_m - one.bottom_m) / _step_m(limits, foam, one) - 1e-9) for one in asked), default=0)
