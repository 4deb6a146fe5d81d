"""From cavity to lining: region, coats, and the positions that cover the inside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np

from pourwright.cavity import Space, limbs_of
from pourwright.errors import CavityError, JobError, LimitError
from pourwright.foam import FoamAtShop, parts_for
from pourwright.lining.bare import bare_places, worst_of
from pourwright.lining.coats import growth_of, most_coat, turned_coat
from pourwright.lining.heat_of_places import hours_of_all, steps_of
from pourwright.lining.holes import holes_of
from pourwright.lining.model import Coat, Lining, Position, Shop
from pourwright.lining.parts import parts_of
from pourwright.lining.paths import Roll, downs_for, rolls_for, stops_of
from pourwright.lining.poured import KEPT_LESS, NOTHING, Begun, as_kept, followed, pins_of
from pourwright.lining.push import least_lining
from pourwright.lining.region import region_of
from pourwright.lining.rules import TURNINGS, Rules
from pourwright.lining.spread import spread_lining
from pourwright.lining.surface import Inside, inside_of
from pourwright.lining.sweeping import Sweeper
from pourwright.lining.thicker import (
    Layer,
    Stage,
    What,
    at_panel,
    in_order,
    layer_of,
    layers_of,
    lined_parts,
    part_foam,
    rolls_over,
    stages_of,
    together,
    works_of,
)
from pourwright.lining.turning import (
    DOWN_S,
    FIRST,
    SURPLUS,
    Coating,
    Turned,
    Work,
    as_it_is,
    better,
    coated,
    left_where_poured,
    stopped,
    without,
)
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.rise import RisingFoam

THICKNESS_SPREAD = 0.10
"""A coat turned by hand comes out so much thicker or thinner over all; our judgement, no published source."""
MOST_COATS = 12
"""Coats beyond which nobody lines a piece; a mix is then split into more cups than hands. Our judgement."""
LEAST_LEFT = 0.1
"""Of a whole lining, in foam: where less is missing after its last coat no other is mixed for it. Our judgement."""
CUP_STEP = 1.2
"""A mix that is so many cups too large is split again by a little less, not to end with far too many coats."""
ARM_SHARE = 0.25
"""Usual distance of a wall from the axis that it is turned about, of the piece's size (our judgement, no
published source): it sets how fast the wall moves."""
LEVEL_ENOUGH = math.sin(math.radians(1.0))
"""A cradle's axis nearer to upright [rad] turns the piece about itself only; our judgement, no published source."""


Hint: TypeAlias = tuple[tuple[Roll, ...], ...]


def line(
    rules: Rules,
    shop: Shop,
    space: Space,
    foam: FoamAtShop,
    rising: RisingFoam,
    progress: Progress = silent,
    hint: Hint = (),
    begun: Begun = NOTHING,
) -> Lining:
    """Line a piece; ``hint`` are rolls, coat by coat, that served a lining like it.

    Coats that are in the piece already stay as they are; those that are left make up what they lack.

    Raises
    ------
    CavityError
        The lining leaves nothing hollow, or too little to turn a mix in.
    JobError
        The axis of a cradle stands upright; no mouth lets an arm in that is to spread it.
    LimitError
        The mix gels before one roll is done, or creams before it can be spread.
    """
    skin, cavity = space.skin, space.cavity
    if rules.by == "spreading":
        what = _what(rules, shop, space, foam, progress)
        return spread_lining(rules, shop, space, (foam, rising), what, begun)
    begin, seconds = shop.limits.mix_s, TURNINGS[rules.turning].seconds
    rolls = _rolls_before_gel(foam, begin, seconds)
    what = _what(rules, shop, space, foam, progress)
    inside, solids = what.inside, what.solids
    progress("turning", 0.0)
    most = _most_coat(rules, shop, foam, rising, (float(cavity.frame.size_m.max()), rolls))
    downs = downs_for(rules) if foam.gel_s - begin - rolls * seconds >= DOWN_S else []
    sweeper = Sweeper(inside, cavity.frame.rotation, growth_of(rising))
    starts = [chamber.middle_m for chamber in solids.chambers]
    work = Work(
        sweeper, starts, cavity.frame.up, what.layers[0].foam_m3 / foam.expansion.nominal, begin, seconds, rolls, downs
    )
    stages = _stages(rules, shop, foam, what, (work, most, hint, begun))
    found = together(stages)
    share, bare = bare_places(inside, ~found.last.coated)
    coats = _coats(stages, inside, foam, shop)
    thickest = max(_thickest_m(one, inside, foam) for one in found.coats)
    dose = hours_of_all(
        (shop.inside_film_w_m2k, shop.outside_film_w_m2k),
        shop.limits,
        foam,
        what.layers[-1].to_m,
        (max(coat.thickness_m for coat in coats), thickest),
        solids.places,
    )
    due_m3 = np.maximum(what.due_m, 1e-12) * inside.area_m2 / foam.expansion.nominal
    laid = found.last.liquid_m3 / due_m3
    laid = np.where(found.last.coated, laid, 0.0)
    laid.setflags(write=False)
    progress("turning", 1.0)
    lined = lined_parts(what, found.last, foam.expansion.nominal)
    return Lining(
        region=what.region, chambers=solids.chambers, places=solids.places, solid_m3=what.solid_m3, inside=inside,
        solid_kg=foam.closed_density_kg_m3 * what.solid_m3 if begun.solid_kg is None else begun.solid_kg,
        coats=coats, most_coat_m=most, sequence=_sequence(stages, seconds, due_m3),
        rolls=work.most,
        turning=TURNINGS[rules.turning], coverage=1.0 - share, bare=bare,
        holes=holes_of(skin, cavity, solids, inside, cavity.frame.up if shop.up is None else np.array(shop.up)),
        laid=laid,
        thinnest_m=lined[0].thinnest_m,
        thickest_coat_m=thickest,
        surplus_m3=math.fsum(coat.surplus_m3 for coat in coats),
        pins=pins_of(inside, laid, [one.point_m for one in bare], begun.places_m, what.parts.thickness_m[inside.part]),
        hours=(len(coats) + steps_of(shop.limits, foam, solids.places)) * (foam.tack_free_s + shop.between_s) / 3600.0,
        dose_h=dose, push_pa=shop.push_pa,
        least_m=least_lining(skin, space.panels, foam, shop.push_pa, shop.bulge_share),
        parts=lined, where=what.parts, at_panel_m=at_panel(what, space, lined),
    )  # fmt: skip


def _what(rules: Rules, shop: Shop, space: Space, foam: FoamAtShop, progress: Progress) -> What:
    """Foam and hollow, the inside that is to be coated, and its layers."""
    skin, cavity, thickness = space.skin, space.cavity, rules.thickness_m or 0.0
    limbs = None
    if any(one.limb is not None for one in rules.parts):  # by the names that a day has for them
        limbs = limbs_of(space.graph, shop.least_mix_m3 * foam.expansion.nominal, spill_m=shop.limits.spill_m)
    parts = parts_of(rules, space, limbs)
    given = parts if rules.parts else None
    region, solids = region_of(
        skin, cavity, thickness, parts=given, memory_bytes=shop.memory_bytes, progress=progress
    )  # fmt: skip
    if not solids.chambers:
        raise CavityError(
            f"A lining of {thickness * 1e3:.4g} mm leaves no hollow wider than itself in this piece: its coats would "
            "meet everywhere. Give a thinner fill.thickness, or fill.style solid."
        )
    inside = inside_of(
        skin, cavity, solids, thickness, parts=given, cells_along=shop.cells_along, memory_bytes=shop.memory_bytes,
        progress=progress,
    )  # fmt: skip
    solid = math.fsum(place.volume_m3 for place in solids.places)
    each = part_foam(region, parts, cavity, inside, region.foam_m3 - solid)
    return What(region, solids, solid, inside, parts, each, tuple(layers_of(parts.thickness_m, each)))


def _stages(
    rules: Rules, shop: Shop, foam: FoamAtShop, what: What, how: tuple[Work, float, Hint, Begun]
) -> list[Stage]:
    """Coats for all of the inside, then those for its thicker parts; each makes up what is missing of its own."""
    whole, most, hint, begun = how
    axis, expansion = _axis_of(rules, whole), foam.expansion.nominal

    def coated_by(work: Work, layer: Layer, poured_m3: float) -> Coating:
        """As thick as a wall carries or less, of no more than can be mixed at once."""
        share = 1.0 - poured_m3 / layer.foam_m3
        if share < LEAST_LEFT:
            return as_it_is(work)
        count = max(1, math.ceil(share * layer.thickness_m / most - 1e-9))
        while True:
            one = replace(work, wall_m3=share * work.target_m3 / count)
            cups = _cups(one, shop)
            if cups <= 1.0 or count >= MOST_COATS:
                break
            count = max(count + 1, min(MOST_COATS, math.ceil(count * cups / CUP_STEP)))
        aims = () if one.aim is None else layer.parts
        kept = None if begun.kept is None else as_kept(one, begun.kept.of(aims), count, expansion)
        if one.aim is not None:
            found = better(one, left_where_poured(one, count), _coating(rules, one, axis, (), count))
            return found if kept is None else better(one, kept, found, KEPT_LESS)
        return kept if kept is not None else _coating(rules, one, axis, hint, count)

    poured = [(layer_of(what.layers, one.aims), one) for one in begun.poured]
    works = followed(works_of(whole, what.layers, what.due_m, expansion), foam, poured)
    return stages_of(works, what.layers, poured, coated_by)


def _most_coat(rules: Rules, shop: Shop, foam: FoamAtShop, rising: RisingFoam, turned: tuple[float, int]) -> float:
    """Foam of one coat that stays on the wall [m]; ``turned``: size of the piece, and its rolls."""
    (size, rolls), begin = turned, shop.limits.mix_s
    speed = _least_turn(rules, rolls) * ARM_SHARE * size / TURNINGS[rules.turning].seconds
    return max(most_coat(foam, rising, begin, size), turned_coat(foam, rising, begin, speed))


def _rolls_before_gel(foam: FoamAtShop, begin_s: float, seconds: float) -> int:
    rolls = int((foam.gel_s - begin_s) // seconds)
    if rolls < 1:
        raise LimitError(
            f"The mix gels {foam.gel_s:.0f} s from the start of mixing, before it is mixed for {begin_s:.0f} s and one "
            f"roll of {seconds:.0f} s is done: take a slower grade, colder parts, or a shorter shop.mix."
        )
    return rolls


def _least_turn(rules: Rules, rolls: int) -> float:
    """Least angle [rad] that one roll takes all its seconds for: once round, or from stop to stop of a cradle."""
    if rules.turning != "cradle":
        return 2.0 * math.pi
    return float(np.abs(np.diff([0.0, *rules.stops_rad[:rolls]])).min())


def _axis_of(rules: Rules, work: Work) -> np.ndarray:
    """The axis of a frame or cradle (3,), standing axes."""
    if rules.axis is None:
        return np.array([1.0, 0.0, 0.0])
    axis = np.asarray(work.sweeper.to_shell @ np.array(rules.axis))
    if rules.turning == "cradle" and np.hypot(axis[0], axis[1]) < LEVEL_ENOUGH:
        raise JobError("fill.axis", list(rules.axis), "the axis of a cradle stands upright: give a level fill.axis")
    return axis


def _cups(work: Work, shop: Shop) -> float:
    """Cups of a mix for each pair of hands, with the surplus that is tried first."""
    return work.poured(SURPLUS[FIRST]).left_m3 / (shop.limits.largest_batch_m3 * shop.limits.hands)


def _coating(rules: Rules, work: Work, axis: np.ndarray, hint: Hint, count: int) -> Coating:
    if rules.turning == "cradle":
        return stopped(work, stops_of(rules, axis, np.array([0.0, 0.0, 1.0])), count)
    offered = rolls_for(rules, axis)
    if work.aim is not None and rules.turning == "hand":
        offered = rolls_over(work, offered)
    return coated(work, offered, count, hint)


def _sequence(stages: Sequence[Stage], seconds: float, due_m3: np.ndarray) -> tuple[Position, ...]:
    """The rolls of each coat, each with what is missed and what stays bare without it."""
    out: list[Position] = []
    every = in_order(stages)
    lasts = [one.stage.work.sweeper.coated(one.turned.states[-1]) for one in every]
    for number, one in enumerate(every, start=1):
        stage, c = one.stage, one.number
        work, coat, whole, before = stage.work, one.turned, lasts[number - 1], 0.0
        inside, to_shell = work.sweeper.inside, work.sweeper.to_shell
        earlier = np.logical_or.reduce(lasts[: number - 1]) if number > 1 else np.zeros(len(whole), bool)
        others = np.zeros(len(whole), bool)
        for k, other in enumerate(lasts, start=1):
            others |= other if k != number else False
        for n, roll in enumerate(coat.rolls):
            missed = whole & ~without(work, stage.found, c, n) if c >= len(work.begun) else np.zeros(len(whole), bool)
            now = work.up if n == 0 else coat.states[n - 1].up
            start = roll.path(now @ to_shell.T)[-1 - roll.steps] @ to_shell
            covered = work.covers(work.sweeper.coated(coat.states[n]))
            out.append(
                Position(
                    number, n + 1, start, roll.axis @ to_shell, roll, DOWN_S if roll.still else seconds,
                    covered - before, _laid(work, coat, n, earlier, due_m3), worst_of(inside, missed),
                    worst_of(inside, missed & ~others),
                )
            )  # fmt: skip
            before = covered
    return tuple(out)


def _laid(work: Work, mine: Turned, roll: int, before: np.ndarray, due_m3: np.ndarray) -> np.ndarray:
    """Share (n,) of an even lining that lies on each face after a roll; 0 where no whole film does.

    ``before`` (n,) bool: covered by earlier coats; ``due_m3`` (n,): liquid of the even lining on each face.
    """
    state = mine.states[roll]
    liquid, coated = mine.before.liquid_m3 + state.laid_m3, mine.before.coated | work.sweeper.coated(state)
    if roll + 1 == len(mine.rolls):
        liquid, coated = mine.after.liquid_m3, mine.after.coated
    out = np.where(coated | before, liquid / np.maximum(due_m3, 1e-15), 0.0)
    out.setflags(write=False)
    return out


def _shares(coat: Turned, inside: Inside) -> tuple[float, float]:
    """Of what stays in the piece of a mix: what goes to boards beside it, and what of it stands in the last pools."""
    last, counts = coat.states[-1], inside.counts
    whole = float(last.laid_m3[counts].sum()) + last.left_m3
    if not whole > 0.0:
        raise CavityError(
            "No mix that is turned in what this lining leaves hollow stays on a wall that is to be coated: nearly "
            "everywhere its coats meet. Give a thinner fill.thickness, or fill.style solid."
        )
    return float(last.laid_m3[~counts].sum()) / whole, last.left_m3 / whole


def _thickest_m(coat: Turned, inside: Inside, foam: FoamAtShop) -> float:
    """Foam of one coat where it lies thickest: its film, and the pool of its last roll."""
    mine = (coat.after.liquid_m3 - coat.before.liquid_m3) / inside.area_m2
    return float(mine.max()) * foam.expansion.nominal


def _coats(stages: Sequence[Stage], inside: Inside, foam: FoamAtShop, shop: Shop) -> tuple[Coat, ...]:
    """Coats as poured, then those that are left; thickness is by their share of the foam."""
    out, wait, expansion = list[Coat](), foam.tack_free_s + shop.between_s, foam.expansion.nominal
    for coat in in_order(stages):
        stage, one, poured = coat.stage, coat.turned, coat.poured
        layer, wall = stage.layer, stage.left_m3 if poured is None else poured.on_wall_m3
        board, surplus = (share * wall for share in _shares(one, inside))
        kg = foam.open_density_kg_m3 * Range.about(wall, THICKNESS_SPREAD)
        parts = parts_for(foam, foam.open_density_kg_m3.nominal * (wall + board))
        if poured is not None:
            parts = poured.parts
            kg = Range.about(parts.total_kg * wall / (wall + board), poured.spread)
        cups = max(1, math.ceil(parts.total_m3 / shop.limits.largest_batch_m3 - 1e-9))
        still = bool(one.rolls) and one.rolls[0].still
        out.append(
            Coat(
                len(out) + 1, layer.thickness_m * wall / layer.foam_m3, wall, surplus, board, kg, parts, cups, wait,
                one.poured.film_m * expansion, one.poured.left_m3 * expansion,
                one.states[-1].up if still else stage.work.up, poured is not None,
                layer.parts if stage.work.aim is not None else (),
            )
        )  # fmt: skip
    return tuple(out)
