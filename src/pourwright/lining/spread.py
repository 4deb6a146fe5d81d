"""The lining that is spread by hand, from its mouths to what it leaves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from pourwright.cavity import Space
from pourwright.errors import JobError, LimitError
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lining.arm import Mouth, mouths_for
from pourwright.lining.bare import bare_places, worst_of
from pourwright.lining.coats import RUN_M, growth_of
from pourwright.lining.heat_of_places import hours_of_all, steps_of
from pourwright.lining.holes import holes_of
from pourwright.lining.judged import LEAST_SHARE
from pourwright.lining.model import Coat, Lining, Position, Shop, Spread
from pourwright.lining.paths import Roll
from pourwright.lining.poured import Begun, pins_of
from pourwright.lining.push import least_lining
from pourwright.lining.rules import HAND, REACH, Rules, Turning
from pourwright.lining.spread_coats import Hands, Laid, all_coats, chosen_of
from pourwright.lining.spreading import SPREADS, Wall, keeps_m, thinned_by_gel, wall_in
from pourwright.lining.surface import Inside
from pourwright.lining.sweeping import Sweeper
from pourwright.lining.thicker import What, at_panel, lined_parts
from pourwright.ranges import Range
from pourwright.rise import RisingFoam
from pourwright.sources import Standing

SPREAD_SHARE = 0.15
"""A coat spread by hand comes out so much thicker or thinner over all; our judgement, no published source."""
WORDS = "not turned: poured along the wall through a mouth and brushed out until it creams"


def spread_lining(
    rules: Rules, shop: Shop, space: Space, mix: tuple[FoamAtShop, RisingFoam], what: What, begun: Begun
) -> Lining:
    """Line a piece by hand through its mouths, in the ways up of the job.

    Raises
    ------
    JobError
        No mouth lets an arm in, or none is open in any way up, or no wall is within reach.
    LimitError
        The mix creams before there is time to spread it.
    """
    (foam, rising), inside = mix, what.inside
    expansion = foam.expansion.nominal
    if foam.cream_s - shop.limits.mix_s < 1.0:
        raise LimitError(
            f"It creams {foam.cream_s:.0f} s from the start of mixing, and is mixed for {shop.limits.mix_s:.0f} s: no "
            "time is left to spread it. Take a slower grade, colder parts, or a shorter shop.mix."
        )
    thinned, density = thinned_by_gel(foam, rising), foam.open_density_kg_m3.nominal
    walls, mouths = _walls(rules, shop, space, what, (thinned, density))
    chosen = chosen_of(walls, what.inside)
    due = what.due_m * inside.area_m2 / expansion
    least = LEAST_SHARE.value if rules.least_m is None else rules.least_m / max(rules.thickness_m or 1.0, 1e-9)
    hands = Hands(
        Sweeper(inside, space.frame.rotation, growth_of(rising)), due, expansion, foam.gel_s, np.full(len(due), least)
    )
    laid = all_coats(hands, chosen, walls, begun)
    upright = float(keeps_m(np.array([RUN_M]), np.ones(1), thinned, density)[0])
    return _lining(shop, space, foam, what, (laid, begun), _spread(rules, mouths, walls, what, upright))


def _walls(
    rules: Rules, shop: Shop, space: Space, what: What, film: tuple[float, float]
) -> tuple[list[Wall], tuple[Mouth, ...]]:
    inside = what.inside
    mouths = mouths_for(space.skin, space.cavity, inside, shop.memory_bytes)
    if not mouths:
        raise JobError(
            "fill.by", rules.by,
            f"needs a mouth that an arm goes through, {1e3 * HAND.value:.0f} mm clear or more: this piece has none as "
            "it is modelled; leave the opening out of the mesh, or line it by turning",
        )  # fmt: skip
    ups = [np.asarray(one) for one in rules.positions] or [space.frame.up]
    most = REACH.value if rules.reach_m is None else rules.reach_m
    walls = []
    for up in ups:
        ways = [mouth.way_m for mouth in mouths if mouth.open_to(up)]
        way = np.min(ways, axis=0) if ways else np.full(len(inside.area_m2), math.inf)
        walls.append(wall_in(inside, up, way, most, film))
    if not any(wall.wet.any() for wall in walls):
        raise JobError(
            "fill.positions", len(ups),
            "in none of these ways up is there a wall within reach of an open mouth: a mouth that looks down is shut, "
            "and what hangs over drips",
        )  # fmt: skip
    return walls, mouths


def _spread(rules: Rules, mouths: Sequence[Mouth], walls: Sequence[Wall], what: What, upright_m: float) -> Spread:
    """What an arm reaches, and what not."""
    inside = what.inside
    most = REACH.value if rules.reach_m is None else rules.reach_m
    area = np.where(inside.counts, inside.area_m2, 0.0) / inside.to_coat_m2
    far = np.min([wall.reach_m for wall in walls], axis=0) > most
    wet = np.logical_or.reduce([wall.wet for wall in walls])
    return Spread(
        most, REACH.standing if rules.reach_m is None else Standing.JOB, tuple(one.name for one in mouths),
        float(area[far].sum()), float(area[~far & ~wet].sum()), upright_m,
    )  # fmt: skip


def _lining(
    shop: Shop, space: Space, foam: FoamAtShop, what: What, done: tuple[Sequence[Laid], Begun], spread: Spread
) -> Lining:
    laid, begun = done
    inside, solids, expansion = what.inside, what.solids, foam.expansion.nominal
    last, skin, cavity = laid[-1].after, space.skin, space.cavity
    coats = tuple(_coat(n, one, inside, foam, shop) for n, one in enumerate(laid, start=1))
    share, bare = bare_places(inside, ~last.coated)
    due_m3 = np.maximum(what.due_m, 1e-12) * inside.area_m2 / expansion
    lies = _share(last.liquid_m3, last.coated, due_m3)
    thickest = max(
        float(((one.after.liquid_m3 - one.before.liquid_m3) / inside.area_m2).max()) * expansion for one in laid
    )
    even = max(float((one.put_m3 / inside.area_m2).max()) * expansion for one in laid)
    films = shop.inside_film_w_m2k, shop.outside_film_w_m2k
    lined = lined_parts(what, last, expansion)
    up = cavity.frame.up if shop.up is None else np.array(shop.up)
    rounds = sum(math.ceil(coat.cups / shop.limits.hands) for coat in coats)
    waits = (len(coats) + steps_of(shop.limits, foam, solids.places)) * (foam.tack_free_s + shop.between_s)
    return Lining(
        region=what.region, chambers=solids.chambers, places=solids.places, solid_m3=what.solid_m3, inside=inside,
        solid_kg=foam.closed_density_kg_m3 * what.solid_m3 if begun.solid_kg is None else begun.solid_kg,
        coats=coats, most_coat_m=spread.keeps_m,
        sequence=_sequence(laid, coats, inside, (due_m3, cavity.frame.rotation)), rolls=0,
        turning=Turning(foam.cream_s - shop.limits.mix_s, WORDS), coverage=1.0 - share, bare=bare,
        holes=tuple(one for one in holes_of(skin, cavity, solids, inside, up) if one.use != "hose"),
        laid=lies, thinnest_m=lined[0].thinnest_m, thickest_coat_m=thickest,
        surplus_m3=math.fsum(coat.surplus_m3 for coat in coats),
        pins=pins_of(inside, lies, [one.point_m for one in bare], begun.places_m, what.parts.thickness_m[inside.part]),
        hours=(waits + rounds * foam.cream_s) / 3600.0,
        dose_h=hours_of_all(films, shop.limits, foam, what.layers[-1].to_m, (even, thickest), solids.places),
        push_pa=shop.push_pa, least_m=least_lining(skin, space.panels, foam, shop.push_pa, shop.bulge_share),
        parts=lined, where=what.parts, at_panel_m=at_panel(what, space, lined), source="lining spread by hand",
        spread=spread,
    )  # fmt: skip


def _share(liquid_m3: np.ndarray, coated: np.ndarray, due_m3: np.ndarray) -> np.ndarray:
    """Share (n,) of an even lining that lies on each face; 0 where nothing is laid."""
    out = np.where(coated, liquid_m3 / np.maximum(due_m3, 1e-15), 0.0)
    out.setflags(write=False)
    return out


def _coat(number: int, one: Laid, inside: Inside, foam: FoamAtShop, shop: Shop) -> Coat:
    """A coat by its foam; what runs onto boards comes off with them."""
    expansion, limits = foam.expansion.nominal, shop.limits
    lies = one.after.liquid_m3 - one.before.liquid_m3 if one.poured is None else one.put_m3
    every = float(one.put_m3.sum()) * expansion
    board = min(every, max(0.0, float(lies[~inside.counts].sum()) * expansion))
    area = float(inside.area_m2[one.faces].sum())
    parts, kg = parts_for(foam, foam.open_density_kg_m3.nominal * every), foam.open_density_kg_m3
    made_kg = kg * Range.about(every - board, SPREAD_SHARE)
    if one.poured is not None:
        parts = one.poured.parts
        made_kg = Range.about(parts.total_kg * (1.0 - board / max(every, 1e-30)), one.poured.spread)
    window = foam.cream_s - limits.mix_s
    cups = max(
        math.ceil(parts.total_m3 / limits.largest_batch_m3 - 1e-9),
        math.ceil(area / (SPREADS.value * window) - 1e-9), 1,
    )  # fmt: skip
    return Coat(
        number, every / max(area, 1e-12), every - board, one.ran_m3 * expansion, board, made_kg, parts, cups,
        foam.tack_free_s + shop.between_s, every / max(area, 1e-12), every, one.wall.up, one.poured is not None, (),
        area, float(one.wall.reach_m[one.faces].max(initial=0.0)),
    )  # fmt: skip


def _sequence(
    laid: Sequence[Laid], coats: Sequence[Coat], inside: Inside, given: tuple[np.ndarray, np.ndarray]
) -> tuple[Position, ...]:
    """How the piece lies for each coat, what it covers, and what stays bare were the piece never laid so."""
    due_m3, to_shell = given
    out, area = list[Position](), np.where(inside.counts, inside.area_m2, 0.0) / inside.to_coat_m2
    before = np.zeros(len(area), bool)
    for one, coat in zip(laid, coats, strict=True):
        none = np.zeros(len(area), bool)
        others = np.logical_or.reduce([none, *(other.wall.wet for other in laid if other.wall is not one.wall)])
        reached = np.logical_or.reduce([none, *(other.faces for other in laid if other.wall is not one.wall)])
        up = one.wall.up
        seconds = coat.area_m2 / coat.cups / SPREADS.value  # of each cup
        missed = one.faces & ~reached
        out.append(
            Position(
                coat.number, 1, up, up, Roll(up @ to_shell.T, 0.0, 0.0), seconds,
                float(area[one.faces & ~before].sum()), _share(one.after.liquid_m3, one.after.coated, due_m3),
                worst_of(inside, missed), worst_of(inside, missed & ~others), one.faces,
            )
        )  # fmt: skip
        before |= one.faces
    return tuple(out)
