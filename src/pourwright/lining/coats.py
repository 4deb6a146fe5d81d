"""How thick a coat may be, how many there are, and how hot they get."""

from __future__ import annotations

import math

import numpy as np

from pourwright.foam import FoamAtShop
from pourwright.physics.draining import draining_film, thinning
from pourwright.physics.film import slab_shares
from pourwright.physics.rimming import most_turned_film
from pourwright.rise import THICKENING, RisingFoam

RUN_M = 0.3
"""Way down a wall at which the film is taken, or half the piece where that is less; our judgement."""


def growth_of(rising: RisingFoam) -> tuple[np.ndarray, np.ndarray]:
    """Seconds since mixing began, and the volume of the mix then as many times that of its liquids."""
    return rising.time_s, rising.volume_m3_kg / rising.volume_m3_kg[0]


def turned_coat(foam: FoamAtShop, rising: RisingFoam, mix_s: float, speed_m_s: float) -> float:
    """Foam [m] that a wall carries round while it is rolled at a speed until the mix gels: the least at any time.

    See `most_turned_film`; the liquid between the bubbles runs until cream, the foam from then on.
    """
    live = (rising.time_s >= mix_s) & (rising.time_s <= foam.gel_s)
    viscosity, volume = viscosity_of(foam, rising)[live], rising.volume_m3_kg[live]
    film = [most_turned_film(v * u, speed_m_s) / u for v, u in zip(viscosity, volume, strict=True)]
    return float(min(film)) / foam.open_density_kg_m3.nominal


def viscosity_of(foam: FoamAtShop, rising: RisingFoam) -> np.ndarray:
    """Viscosity [Pa s] of what runs, at the times of a rising foam: of its liquid until cream, of the foam after."""
    return np.where(rising.time_s < foam.cream_s, rising.viscosity_pa_s / THICKENING, rising.viscosity_pa_s)


def most_coat(foam: FoamAtShop, rising: RisingFoam, mix_s: float, size_m: float) -> float:
    """Foam [m] that a vertical wall at rest keeps: the film that has not drained off when the mix gels.

    The liquid between the bubbles drains until cream, the foam from then on. See `draining_film`.
    """
    viscosity = viscosity_of(foam, rising)
    thinned = thinning(rising.time_s, viscosity, 1.0 / rising.volume_m3_kg, mix_s, foam.gel_s)
    return draining_film(min(RUN_M, 0.5 * size_m), 0.5 * math.pi, thinned) / foam.open_density_kg_m3.nominal


def hours_hot(foam: FoamAtShop, half_m: float, film_w_m2k: float, caution_k: float) -> float:
    """Hours that the far face of a slab is above ``caution_k`` when one face is cooled by the shop's air [h].

    The whole rise is there at once, which is more than there ever is. ``half_m`` is a lining's thickness with its skin
    taken to hold no heat, or half of a slab that air cools on both sides.
    """
    air, day = foam.conditions.air_k, foam.conditions.parts_k
    excess = day + foam.rise_k.nominal - air
    share = (caution_k - air) / excess
    if share >= 1.0:
        return 0.0
    if share <= 0.0:
        return math.inf
    k = foam.grade.conductivity_hot_w_mk
    diffusivity = k / (foam.open_density_kg_m3.nominal * foam.grade.specific_heat_j_kgk)
    low, high = -2.0, 9.0  # log10 of seconds
    for _ in range(60):
        middle = 0.5 * (low + high)
        if slab_shares(10.0**middle, half_m, diffusivity, k, film_w_m2k)[1] > share:
            low = middle
        else:
            high = middle
    return float(10.0**high) / 3600.0
