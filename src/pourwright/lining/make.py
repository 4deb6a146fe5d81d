"""From cavity to lining: region, coats, and the positions that cover the inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import Cavity
from pourwright.errors import CavityError
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lifts import ShopLimits
from pourwright.lining.bare import bare_places
from pourwright.lining.coats import hours_hot, most_coat
from pourwright.lining.model import Bare, Coat, Lining, Position
from pourwright.lining.positions import Covered, chosen, cover, directions, ordered
from pourwright.lining.push import least_lining
from pourwright.lining.region import region_of
from pourwright.lining.rules import TURNINGS, Rules
from pourwright.lining.surface import Inside, inside_of
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.rise import RisingFoam
from pourwright.shell import MEMORY_BYTES, Panel, Skin

THICKNESS_SPREAD = 0.10
"""A coat turned by hand comes out so much thicker or thinner over all; our judgement, no published source."""
LOOKED_AT = 200
"""Ways up that are looked at: 14 degrees apart."""
ROUNDS = 4
"""How often liquid and positions are fitted to each other, at most."""


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop of the day gives a lining. SI."""

    limits: ShopLimits
    between_s: float
    inside_film_w_m2k: float
    outside_film_w_m2k: float
    push_pa: float
    bulge_share: float
    memory_bytes: int = MEMORY_BYTES


def line(
    rules: Rules,
    shop: Shop,
    skin: Skin,
    cavity: Cavity,
    foam: FoamAtShop,
    rising: RisingFoam,
    flattest: tuple[Panel, ...],
    progress: Progress = silent,
) -> Lining:
    """Line a piece.

    Raises
    ------
    CavityError
        The lining leaves nothing hollow.
    """
    thickness = rules.thickness_m or 0.0
    region, solids = region_of(skin, cavity, thickness, memory_bytes=shop.memory_bytes, progress=progress)
    if not solids.chambers:
        raise CavityError(
            f"A lining of {thickness * 1e3:.4g} mm leaves no hollow wider than itself in this piece: its coats would "
            "meet everywhere. Give a thinner fill.thickness, or fill.style solid."
        )
    solid = sum(place.volume_m3 for place in solids.places)
    inside = inside_of(skin, cavity, solids, thickness, memory_bytes=shop.memory_bytes, progress=progress)
    progress("positions", 0.0)
    most = most_coat(foam, rising, shop.limits.mix_s, float(cavity.frame.size_m.max()))
    count = max(1, math.ceil(thickness / most - 1e-9))
    turning = TURNINGS[rules.turning]
    coat_m3 = (region.foam_m3 - solid) / count
    per_mix = max(1, int((foam.gel_s - shop.limits.mix_s) // turning.seconds))
    film = thickness / count / foam.expansion.nominal
    starts = [chamber.middle_m for chamber in solids.chambers]
    covered, picked, mixes = _fitted(inside, starts, coat_m3 / foam.expansion.nominal, film, turning.tip_rad, per_mix)
    picked = [picked[k] for k in ordered(covered.ups[picked], cavity.frame.up)]
    sequence = _sequence(covered, picked, inside, per_mix, turning.seconds)
    coats = _coats(count, thickness, coat_m3, mixes, foam, shop)
    share, bare = bare_places(inside, np.asarray(~covered.wet[picked].any(axis=0)))
    widest = max((place.top_m - place.bottom_m for place in solids.places), default=0.0)
    dose = max(
        hours_hot(foam, thickness / count, shop.inside_film_w_m2k, foam.grade.caution_k),
        hours_hot(foam, min(1.5 * thickness, 0.5 * widest), shop.outside_film_w_m2k, foam.grade.caution_k)
        if widest > 0
        else 0.0,
    )
    once = mixes * (foam.tack_free_s + shop.between_s)
    counted = covered.wet[picked].sum(axis=0)
    counted.setflags(write=False)
    progress("positions", 1.0)
    return Lining(
        region=region, chambers=solids.chambers, places=solids.places, solid_m3=solid, inside=inside, coats=coats,
        most_coat_m=most, mixes=mixes, sequence=sequence, turning=turning, coverage=1.0 - share, bare=bare,
        covered=counted, hours=count * once / 3600.0, dose_h=dose, push_pa=shop.push_pa,
        least_m=least_lining(skin, flattest, foam, shop.push_pa, shop.bulge_share),
    )  # fmt: skip


def _fitted(
    inside: Inside, starts: list[np.ndarray], liquid_m3: float, film_m: float, tip_rad: float, per_mix: int
) -> tuple[Covered, list[int], int]:
    """Positions, and mixes of a coat, that agree: the more mixes, the less liquid is on the move at a time.

    On the move counts half of a mix: the rest has stayed on the wall. Where they never agree, the most mixes stand.
    """
    ups, mixes, tried = directions(LOOKED_AT), 1, 0
    while True:
        covered = cover(inside, starts, 0.5 * liquid_m3 / mixes / len(starts), film_m, tip_rad, ups)
        picked = chosen(covered, inside)
        needed = max(1, math.ceil(len(picked) / per_mix))
        tried += 1
        if needed <= mixes or tried == ROUNDS:
            return covered, picked, max(needed, mixes)
        mixes = needed


def _sequence(
    covered: Covered, picked: list[int], inside: Inside, per_mix: int, seconds: float
) -> tuple[Position, ...]:
    weight = np.where(inside.counts, inside.area_m2, 0.0)
    whole = float(weight.sum())
    times = covered.wet[picked].sum(axis=0)
    out = []
    for n, k in enumerate(picked):
        wet = covered.wet[k]
        only, places = bare_places(inside, wet & (times == 1))
        alone = Bare(only, places[0].point_m if places else inside.middle_m[int(np.argmax(wet))])
        up = covered.ups[k].copy()
        up.setflags(write=False)
        share = float(weight @ wet) / whole
        out.append(Position(n + 1, up, seconds, n // per_mix + 1, n % per_mix == 0, share, alone))
    return tuple(out)


def _coats(
    count: int, thickness_m: float, coat_m3: float, mixes: int, foam: FoamAtShop, shop: Shop
) -> tuple[Coat, ...]:
    kg = foam.open_density_kg_m3 * Range.about(coat_m3, THICKNESS_SPREAD)
    parts = parts_for(foam, kg.nominal)
    mix = parts_for(foam, kg.nominal / mixes)
    cups = max(1, math.ceil(mix.total_m3 / shop.limits.largest_batch_m3 - 1e-9))
    return tuple(
        Coat(n + 1, thickness_m / count, coat_m3, kg, parts, mix, cups, foam.tack_free_s + shop.between_s)
        for n in range(count)
    )
