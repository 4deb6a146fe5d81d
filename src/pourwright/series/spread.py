"""How much the parts of a series differ: by drawing many, and by the law of propagation of uncertainty beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.series.model import PartFacts, SeriesRules

DRAWS = 40_000
SEED = 20_261
SIDE_SHARE = 0.5  # of the mix that one pump gives: it gives more when the ratio is off (our judgement)
LIQUID_PER_K = 7e-4  # by which the liquids get lighter, and a volume of them with it (from memory)


@dataclass(frozen=True, slots=True)
class Spread:
    """The weight of a part over the series."""

    mean_kg: float
    sd_kg: float  # of the draws
    linear_sd_kg: float  # by propagation
    packing_sd: float
    too_light: float  # share of parts below the weight tolerance
    too_heavy: float
    short: float  # share packed less than the lowest; nan: the lowest is not known
    over: float  # share packed more than the highest
    reject_share: float  # any of these
    draws: int


def spread_of(rules: SeriesRules, part: PartFacts) -> Spread:
    """The spread of weight and packing.

    Drawn with a fixed seed: wall and temperature of the liquids and weight of a shot normal, ratio even within its
    tolerance. A thicker wall is heavier and leaves less room for foam; a shot is metered by volume, so warm liquids
    weigh less; warm liquids rise higher. The linear spread is that of the GUM (JCGM 100:2008, 5.1.2) for the weight.
    """
    rng = np.random.Generator(np.random.PCG64(SEED))
    wall = rng.normal(0.0, rules.wall_share, DRAWS)
    warmer = rng.normal(0.0, rules.warmth_k, DRAWS)
    shot = rng.normal(0.0, part.repeat_share, DRAWS)
    ratio = rng.uniform(-part.ratio_tolerance, part.ratio_tolerance, DRAWS)
    foam = part.foam_kg * (1 + shot) * (1 + SIDE_SHARE * ratio) * (1 - LIQUID_PER_K * warmer)
    weight = part.skin_kg * (1 + wall) + foam
    room = part.cavity_m3 - part.skin_m3 * wall
    packing = foam / (room * part.free_density_kg_m3 * (1 + part.density_per_k * warmer))
    whole = part.skin_kg + part.foam_kg
    light, heavy = weight < whole * (1 - rules.weight_share), weight > whole * (1 + rules.weight_share)
    short, over = packing < part.lowest, packing > part.highest
    return Spread(
        mean_kg=float(weight.mean()),
        sd_kg=float(weight.std(ddof=1)),
        linear_sd_kg=linear_sd_kg(rules, part),
        packing_sd=float(packing.std(ddof=1)),
        too_light=float(light.mean()),
        too_heavy=float(heavy.mean()),
        short=math.nan if math.isnan(part.lowest) else float(short.mean()),
        over=float(over.mean()),
        reject_share=float((light | heavy | short | over).mean()),
        draws=DRAWS,
    )


def linear_sd_kg(rules: SeriesRules, part: PartFacts) -> float:
    """Standard deviation of the weight [kg] by the law of propagation; an even spread of ± a has a / sqrt(3)."""
    foam = (
        part.repeat_share**2
        + (SIDE_SHARE * part.ratio_tolerance) ** 2 / 3
        + (LIQUID_PER_K * rules.warmth_k) ** 2
    )  # fmt: skip
    return math.sqrt(part.foam_kg**2 * foam + (part.skin_kg * rules.wall_share) ** 2)
