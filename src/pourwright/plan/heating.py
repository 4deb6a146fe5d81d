"""Staged heat of a division into lifts: at the likely rise and its 95 % end, with the waits that keep the rules."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from pourwright.cavity import Cavity
from pourwright.evaluation import HeatHistory
from pourwright.foam import FoamAtShop
from pourwright.heat import (
    AlsoAt,
    Dose,
    HeatGrid,
    HeatResult,
    Moments,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitPlan,
    WaitRule,
    Watcher,
    find_waits,
    kept_and_hotter,
    narrow_places,
    with_limbs,
)
from pourwright.lifts import Division, EvenBands, Measures, Pour, surface_under_limit_k
from pourwright.physics import heat as heat_physics
from pourwright.physics import landing
from pourwright.plan.case import Case
from pourwright.plan.heat_cells import faces_under, grid_of, off_k, pours_of
from pourwright.plan.rules import HeatRules
from pourwright.plan.schedule import held_wait, offsets, whole_wait
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.shell import Skin

AFTER_S = 24 * 3600.0
"""How long the account goes on after the last lift."""
IN_PLACE = 0.5
"""Share of its heat that a pour has given off when it is taken to lie as foam in its place, and to pass heat on."""
LATER_S = 3600.0
"""After its peak a probe is read again."""
COARSE = 8
"""Waits are sought on so many times fewer cells; the job is then computed with them on all."""
MARGIN = 0.9
"""Share of an allowed time above caution that waits are sought for; the rest is for cells, lifts above and delays."""
BY_ITSELF = 1.15
"""More than this over what a lift is above caution on a cold one comes from its waits."""
STRETCH, STRETCHES = 1.25, 3
"""What waits are lengthened by, and how often at most, where the job on all cells is over what the search allowed."""
NO_WALL_M = 0.003
"""Wall taken where none is known; a thin one is the hot side."""


@dataclass(frozen=True, eq=False)
class Heating:
    """Staged heat of one division. ``pours`` holds the answer for each pour by name."""

    waits: WaitPlan
    sought_s: float  # sum of the waits as sought on few cells, before any stretching; 0 where none were sought
    nominal: HeatResult
    high: HeatResult  # at the 95 % end of the rise, same waits
    pours: dict[str, HeatHistory]
    lift_waits_s: tuple[float, ...]  # of each, from its first mix to the next; of the last until cool, nan: not known
    moments: Moments  # of the likely heat on the grid, from the same computation; on its clock
    placed_s: float  # what that clock is behind the first mix: foam is in its place so long after its mix begins


def wall_m(skin: Skin, cavity: Cavity) -> float:
    """Mean wall [m]: what lies between outside and cavity over the outside's area, where no band gives it."""
    solid = skin.enclosed_m3 - cavity.volume_m3 - cavity.taken_m3 - cavity.stray_voids_m3
    return max(solid / skin.area_m2, NO_WALL_M) if solid > 0 and skin.area_m2 > 0 else NO_WALL_M


def problem_of(case: Case, plan: Division, cells: int, liquids_k: Mapping[str, float] | None = None) -> StagedHeat:
    """The staged heat problem of a division on at most ``cells`` cells: pours in the order they are poured.

    ``liquids_k`` holds liquids' temperatures by pour, where they are not those of the day.
    """
    space, foam, limits, rules = case.space, case.foam, case.limits, case.rules
    starts: dict[str, tuple[int, float]] = {}
    begin = 0.0  # of a lift; only the order counts here, the waits are found
    for lift in plan.lifts:
        mine = offsets(lift, foam, limits, rules.between_s)
        starts.update({name: (lift.number, begin + off) for name, off in mine.items()})
        begin += max(mine.values()) + 1.0
    pours = sorted(pours_of(plan), key=lambda p: (p.lift, starts[p.name][1], p.name))
    grade, day = foam.grade, foam.conditions
    grid = grid_of(space, plan, [p.name for p in pours], cells)
    later, _ = case.history.heat.from_share(IN_PLACE)
    landed_m2 = faces_under(grid, len(pours))
    heats = tuple(
        PourHeat(
            name=pour.name,
            lift=pour.lift,
            start_s=starts[pour.name][1],
            start_k=(liquids_k or {}).get(pour.name, day.parts_k),
            density_kg_m3=pour.foam_kg.nominal / pour.volume_m3,
            specific_heat_j_kgk=grade.specific_heat_j_kgk,
            conductivity_w_mk=grade.conductivity_hot_w_mk,
            heat_j_kg=grade.heat_j_kg,
            curve=later,
            warming=_warming(foam, pour, float(landed_m2[number])),
        )
        for number, pour in enumerate(pours)
    )
    material = space.skin.material
    layer = SkinLayer(
        thickness_m=_thickness(space.skin, space.cavity, grid),
        density_kg_m3=material.density_kg_m3,
        specific_heat_j_kgk=material.specific_heat_j_kgk,
        conductivity_w_mk=material.conductivity_w_mk,
        start_k=day.skin_k,
    )
    air = Surroundings(day.air_k, rules.outside_film_w_m2k, rules.inside_film_w_m2k)
    thresholds = (grade.caution_k, grade.stop_k, grade.emergency_k)
    return StagedHeat(grid, heats, layer, air, end_s=AFTER_S, thresholds_k=thresholds, irons=space.cavity.irons)


def _warming(foam: FoamAtShop, pour: Pour, landed_m2: float) -> float:
    """Share of the excess of the face it lands on that the liquid of a pour takes up, on average, before it creams.

    What a small face gives, as the top of a leg under a body, is spread over all that is poured. Where no cell of the
    pour stands on an earlier one it is taken to lie on its mean section.
    """
    grade = foam.grade
    below = heat_physics.effusivity(
        grade.conductivity_hot_w_mk, foam.open_density_kg_m3.nominal, grade.specific_heat_j_kgk
    )
    on_m2 = landed_m2 if landed_m2 > 0 else pour.volume_m3 / max(pour.rise_m, 1e-9)
    kg_m2 = max(pour.foam_kg.nominal / on_m2, 0.1)
    return landing.contact_warming(below, foam.cream_s, kg_m2 * grade.specific_heat_j_kgk)


def _thickness(skin: Skin, cavity: Cavity, grid: HeatGrid) -> np.ndarray:
    even = wall_m(skin, cavity)
    if not skin.bands:
        return np.full(len(grid.surface_cell), even)
    found = skin.thickness_of(cavity.frame.to_shell(grid.surface_point_m))
    return np.where(np.isfinite(found), found, even)


def wait_rule(case: Case) -> WaitRule:
    """When the next lift may come.

    The field is linear in the rise, so a spot passes the caution temperature at the high end of the heat where it
    passes, at the likely one, a lower temperature: as much nearer the start as the likely rise is smaller.
    """
    foam, limits, rules = case.foam, case.limits, case.rules
    grade, start = foam.grade, min(foam.conditions.parts_k, foam.conditions.air_k)

    def at_high(limit_k: float) -> float:
        return start + (limit_k - start) * foam.rise_k.nominal / foam.rise_k.high

    return WaitRule(
        surface_under_k=surface_under_limit_k(foam, limits),
        doses=(
            Dose(grade.caution_k, MARGIN * rules.scorch_s),
            Dose(at_high(grade.caution_k), MARGIN * rules.scorch_high_s),
            Dose(grade.stop_k, 0.0, "peak"),
            Dose(at_high(grade.emergency_k), 0.0, "peak"),
        ),
        centre_share=rules.centre_share if rules.centre_share is not None else math.inf,
        centre_k=rules.centre_k if rules.centre_k is not None else math.inf,
        shortest_s=rules.shortest_wait_s,
        longest_s=rules.longest_wait_s,
    )


def waits_of(plan: Division) -> tuple[float, ...]:
    """From the start of each lift to the start of the next, as the searched day has them."""
    return tuple(b - a for a, b in pairwise(plan.lift_start_s))


def heating_of(
    case: Case,
    plan: Division,
    progress: Progress = silent,
    waits_s: tuple[float, ...] | None = None,
    liquids_k: Mapping[str, float] | None = None,
) -> Heating:
    """Shortest waits that keep the limits, sought on few cells; then the job with them at the likely rise and the high.

    Where a spot is over its allowed time on all cells, and would not be on a cold lift, the waits are stretched. Each
    counts from the start of its lift's first mix and holds for the last one too (`held_wait`). ``waits_s``
    (lifts - 1,), or those of a searched day, are taken as they are otherwise. ``liquids_k``: see `problem_of`.
    """
    rule, foam, limits, rules = wait_rule(case), case.foam, case.limits, case.rules
    hotter = AlsoAt(foam.rise_k.high, AFTER_S)

    def held(seconds: tuple[float, ...]) -> tuple[float, ...]:
        pairs = zip(plan.lifts, seconds, strict=False)  # nothing is poured on the last
        return tuple(held_wait(lift, foam, limits, rules.between_s, wait) for lift, wait in pairs)

    given = waits_s if waits_s is not None or isinstance(plan.day, EvenBands) else held(waits_of(plan))
    if given is not None:
        problem = problem_of(case, plan, rules.cells, liquids_k)
        watcher = Watcher(problem.grid)
        kept, high = kept_and_hotter(problem, given, rule, hotter, progress=progress, watcher=watcher)
        chosen = replace(kept, waits=tuple(replace(wait, met=True, bound="chosen") for wait in kept.waits))
        return _heating(case, plan, problem, chosen, 0.0, high, watcher)
    found = find_waits(problem_of(case, plan, max(2000, rules.cells // COARSE)), rule, progress=progress)
    problem = problem_of(case, plan, rules.cells)
    seconds = held(tuple(wait.seconds for wait in found.waits))
    for turn in range(STRETCHES + 1):
        watcher = Watcher(problem.grid)
        kept, high = kept_and_hotter(problem, seconds, rule, hotter, progress=progress, watcher=watcher)
        if turn == STRETCHES or not seconds or not _over(kept.result, high, found.alone_s, rules):
            break
        seconds = tuple(rule.grain_s * math.ceil(STRETCH * wait / rule.grain_s) for wait in seconds)
    waits = tuple(
        replace(there, met=sought.met and there.met, bound=sought.bound)
        for sought, there in zip(found.waits, kept.waits, strict=True)
    )
    sought_s = sum(wait.seconds for wait in found.waits)
    return _heating(case, plan, problem, replace(kept, waits=waits, alone_s=found.alone_s), sought_s, high, watcher)


def _heating(
    case: Case,
    plan: Division,
    problem: StagedHeat,
    waits: WaitPlan,
    sought_s: float,
    high: HeatResult,
    watcher: Watcher,
) -> Heating:
    """The answers of the job as computed, with the limbs' own solutions, and what its cells may be off by."""
    places, on_grid = narrow_places(problem.grid), waits.result
    waits = replace(waits, result=with_limbs(problem, on_grid, places))
    high = with_limbs(problem.with_rise(case.foam.rise_k.high), high, places)
    pours, lift_waits = _answers(problem, case, plan, waits, high)
    hottest = max(waits.result.pours, key=lambda pour: (pour.peak_k == pour.peak_k, pour.peak_k))
    if hottest.name in pours:
        off = off_k(case.space, plan, problem, on_grid, hottest, places)
        pours[hottest.name] = replace(pours[hottest.name], off_k=off)
    placed_s = case.history.heat.from_share(IN_PLACE)[1]
    return Heating(waits, sought_s, waits.result, high, pours, lift_waits, watcher.moments(), placed_s)


def _over(likely: HeatResult, high: HeatResult, alone_s: np.ndarray, rules: HeatRules) -> bool:
    """Whether a pour is above caution longer than allowed, and by its waits, not by itself."""
    for row, (result, allowed) in enumerate(((likely, rules.scorch_s), (high, rules.scorch_high_s))):
        for pour, alone in zip(result.pours, alone_s[row], strict=True):
            if 3600.0 * pour.hours_above[0] > max(allowed, BY_ITSELF * alone):
                return True
    return False


def _answers(
    problem: StagedHeat, case: Case, plan: Division, waits: WaitPlan, high: HeatResult
) -> tuple[dict[str, HeatHistory], tuple[float, ...]]:
    cavity, foam = case.space.cavity, case.foam
    nominal = waits.result
    placed_s = case.history.heat.from_share(IN_PLACE)[1]
    first: dict[int, float] = {}
    for heat, start in zip(problem.pours, waits.start_s, strict=True):
        first.setdefault(heat.lift, start)
    before = {wait.lift: wait for wait in waits.waits}
    last = max(first)
    cool = _cool_s(problem, nominal, case.rules, first[last])
    lift_waits = tuple(whole_wait(before[n + 1].seconds if n + 1 in before else cool) for n in sorted(first))
    by_name = {pour.name: pour for pour in pours_of(plan)}
    out: dict[str, HeatHistory] = {}
    for k, heat in enumerate(problem.pours):
        mine, hot, start = nominal.pours[k], high.pours[k], waits.start_s[k]
        if math.isnan(mine.peak_k):  # thinner than a heat cell: its formula stands
            continue
        wait = before.get(heat.lift + 1)
        closed = by_name[heat.name]
        at, at_skin = cavity.frame.to_shell(mine.peak_point_m), cavity.frame.to_shell(mine.skin_peak_point_m)
        out[heat.name] = HeatHistory(
            start_s=start,
            peak_k=band(mine.peak_k, hot.peak_k, foam.rise_k),
            peak_s=mine.peak_s + placed_s,
            peak_point_m=_frozen(at),
            peak_measures=_measures(cavity, at),
            hot_s=tuple(
                (k_, 3600.0 * a, 3600.0 * b)
                for k_, a, b in zip(nominal.thresholds_k, mine.hours_above, hot.hours_above, strict=True)
            ),
            skin_k=band(mine.skin_peak_k, hot.skin_peak_k, foam.rise_k),
            skin_point_m=_frozen(at_skin),
            skin_measures=_measures(cavity, at_skin),
            face_k=wait.surface_under_k if wait else float("nan"),
            core_k=wait.core_k if wait else float("nan"),
            alone_s=float(waits.alone_s[0, k]) if len(waits.alone_s) else float("nan"),
            later_k=band(_later_k(nominal, k), _later_k(high, k), foam.rise_k),
            top_k=band(mine.top_peak_k, hot.top_peak_k, foam.rise_k),
            across_m=mine.across_m,
            wait_governed_by=wait.bound if wait else "",
            wait_met=wait.met if wait else True,
            closed_peak_k=closed.peak_k.nominal,
            closed_wait_s=closed.wait_s,
        )
    return out, lift_waits


def _later_k(result: HeatResult, k: int) -> float:
    """Hottest core of a pour `LATER_S` after its peak."""
    return float(np.interp(result.pours[k].peak_s + LATER_S, result.time_s, result.core_k[k]))


def band(likely: float, high: float, rise_k: Range) -> Range:
    """A temperature [K] with its 95 % ends, from its values at the likely rise and at the high one.

    The field is linear in the rise (the heat equation with fixed properties is), so the low end is the same line
    carried to the low rise. A hottest point may move with the rise; its temperature is then convex in it, and the line
    lies below: the low end is told no higher than it is.
    """
    if likely != likely or high != high or not all(math.isfinite(r) for r in (likely, high)):
        return Range(float("nan"), float("nan"), float("nan")) if likely != likely else Range.exact(likely)
    span = rise_k.high - rise_k.nominal
    low = likely - (high - likely) * (rise_k.nominal - rise_k.low) / span if span > 0 else likely
    return Range(min(low, likely), likely, max(likely, high))


def _cool_s(problem: StagedHeat, result: HeatResult, rules: HeatRules, start_s: float) -> float:
    """From the start of the last lift until every core is cool enough to be left; nan if not within the account."""
    reacted = max(start_s, result.pours[-1].start_s) + problem.pours[-1].curve.end_s
    hot = np.nan_to_num(result.core_k - rules.release_k, nan=-1.0).max(axis=0) > 0
    hot |= result.time_s < reacted
    if hot[-1]:
        return float("nan")
    at = int(np.flatnonzero(hot)[-1]) + 1 if hot.any() else 0
    return float(result.time_s[at] - start_s)


def _measures(cavity: Cavity, point_m: np.ndarray) -> Measures:
    left, front, base = (float(v) for v in cavity.frame.to_standing(point_m))
    return Measures(base, left, front)


def _frozen(array: np.ndarray) -> np.ndarray:
    array = np.array(array, float)
    array.setflags(write=False)
    return array
