"""Staged heat of a division into lifts: at the likely rise and its 95 % end, with the waits that keep the rules."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop
from pourwright.heat import (
    HeatCurve,
    HeatGrid,
    HeatResult,
    PourHeat,
    SkinLayer,
    StagedHeat,
    Surroundings,
    WaitPlan,
    WaitRule,
    heat_grid,
    simulate,
)
from pourwright.lifts import HeatCourse, LiftPlan, Measures, Pour, ShopLimits
from pourwright.plan.rules import HeatRules
from pourwright.plan.schedule import offsets
from pourwright.progress import Progress, silent
from pourwright.ranges import Range
from pourwright.shell import Skin

AFTER_S = 12 * 3600.0
"""How long the account goes on after the last lift."""
NO_WALL_M = 0.003
"""Wall taken where none is known; a thin one is the hot side."""


@dataclass(frozen=True, eq=False)
class Heating:
    """Staged heat of one division. ``pours`` holds the answer for each pour by name."""

    waits: WaitPlan
    nominal: HeatResult
    high: HeatResult  # at the 95 % end of the rise, same waits
    pours: dict[str, HeatCourse]
    lift_waits_s: tuple[float, ...]  # of each lift to the next; of the last until its core is cool, nan if not known


def pours_of(plan: LiftPlan) -> list[Pour]:
    """All pours in the order they are named."""
    return [pour for lift in plan.lifts for pour in lift.pours]


def wall_m(skin: Skin, cavity: Cavity) -> float:
    """Mean wall [m]: what lies between outside and cavity over the outside's area, where no band gives it."""
    solid = skin.enclosed_m3 - cavity.volume_m3 - cavity.crumbs_m3
    return max(solid / skin.area_m2, NO_WALL_M) if solid > 0 and skin.area_m2 > 0 else NO_WALL_M


def grid_of(skin: Skin, cavity: Cavity, graph: LevelGraph, plan: LiftPlan, order: list[str], cells: int) -> HeatGrid:
    """Heat cells, each given to the pour with the largest share of its node."""
    owner = np.full(len(graph.node_level), -1)
    most = np.zeros(len(owner))
    for pour in pours_of(plan):
        mine = pour.shares > most[pour.nodes]
        owner[pour.nodes[mine]] = order.index(pour.name)
        most[pour.nodes[mine]] = pour.shares[mine]
    rims = tuple(cavity.frame.to_standing(opening.loop_m) for opening in skin.openings)
    return heat_grid(
        cavity.fraction, graph.label, owner, cavity.grid.origin_m, cavity.grid.cell_m, openings=rims, target_cells=cells
    )


def problem_of(
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    curve: HeatCurve,
    plan: LiftPlan,
    limits: ShopLimits,
    rules: HeatRules,
) -> StagedHeat:
    """The staged heat problem of a division: pours in the order they are poured."""
    starts: dict[str, tuple[int, float]] = {}
    begin = 0.0  # of a lift; only the order counts here, the waits are found
    for lift in plan.lifts:
        mine = offsets(lift, limits, rules.between_s)
        starts.update({name: (lift.number, begin + off) for name, off in mine.items()})
        begin += max(mine.values()) + 1.0
    pours = sorted(pours_of(plan), key=lambda p: (p.lift, starts[p.name][1], p.name))
    grade, day = foam.grade, foam.conditions
    grid = grid_of(skin, cavity, graph, plan, [p.name for p in pours], rules.cells)
    heats = tuple(
        PourHeat(
            name=pour.name,
            lift=pour.lift,
            start_s=starts[pour.name][1],
            start_k=day.parts_k,
            density_kg_m3=pour.foam_kg.nominal / pour.volume_m3,
            specific_heat_j_kgk=grade.specific_heat_j_kgk,
            conductivity_w_mk=grade.conductivity_hot_w_mk,
            heat_j_kg=grade.heat_j_kg,
            curve=curve,
        )
        for pour in pours
    )
    material = skin.material
    layer = SkinLayer(
        thickness_m=_thickness(skin, cavity, grid),
        density_kg_m3=material.density_kg_m3,
        specific_heat_j_kgk=material.specific_heat_j_kgk,
        conductivity_w_mk=material.conductivity_w_mk,
        start_k=day.skin_k,
    )
    air = Surroundings(day.air_k, rules.outside_film_w_m2k, rules.inside_film_w_m2k)
    thresholds = (grade.caution_k, grade.stop_k, grade.emergency_k)
    return StagedHeat(grid, heats, layer, air, end_s=AFTER_S, thresholds_k=thresholds)


def _thickness(skin: Skin, cavity: Cavity, grid: HeatGrid) -> np.ndarray:
    even = wall_m(skin, cavity)
    if not skin.bands:
        return np.full(len(grid.surface_cell), even)
    heights = cavity.frame.to_shell(grid.surface_point_m)[:, 2] - float(skin.vertices_m[:, 2].min())
    found = skin.thickness_at(heights)
    return np.where(np.isfinite(found), found, even)


def wait_rule(limits: ShopLimits, rules: HeatRules) -> WaitRule:
    """When the next lift may come."""
    return WaitRule(
        landing_k=limits.landing_k,
        centre_share=rules.centre_share,
        centre_k=rules.centre_k,
        shortest_s=rules.shortest_wait_s,
        longest_s=rules.longest_wait_s,
    )


def with_high(
    problem: StagedHeat,
    waits: WaitPlan,
    cavity: Cavity,
    foam: FoamAtShop,
    plan: LiftPlan,
    rules: HeatRules,
    progress: Progress = silent,
) -> Heating:
    """The answer for every pour, with the rise at its 95 % end run at the waits of the likely one."""
    hot = problem.with_starts(waits.start_s).with_rise(foam.rise_k.high)
    high = simulate(replace(hot, end_s=waits.start_s[-1] + AFTER_S), progress=progress)
    return Heating(waits, waits.result, high, *_answers(problem, cavity, foam, plan, rules, waits, high))


def _answers(
    problem: StagedHeat,
    cavity: Cavity,
    foam: FoamAtShop,
    plan: LiftPlan,
    rules: HeatRules,
    waits: WaitPlan,
    high: HeatResult,
) -> tuple[dict[str, HeatCourse], tuple[float, ...]]:
    nominal = waits.result
    first: dict[int, float] = {}
    for heat, start in zip(problem.pours, waits.start_s, strict=True):
        first.setdefault(heat.lift, start)
    before = {wait.lift: wait for wait in waits.waits}
    last = max(first)
    cool = _cool_s(problem, nominal, rules, first[last])
    lift_waits = tuple(before[n + 1].seconds if n + 1 in before else cool for n in sorted(first))
    by_name = {pour.name: pour for pour in pours_of(plan)}
    out: dict[str, HeatCourse] = {}
    for k, heat in enumerate(problem.pours):
        mine, hot, start = nominal.pours[k], high.pours[k], waits.start_s[k]
        wait = before.get(heat.lift + 1)
        until = first[heat.lift] + (wait.seconds if wait else cool)
        closed = by_name[heat.name]
        at, at_skin = cavity.frame.to_shell(mine.peak_point_m), cavity.frame.to_shell(mine.skin_peak_point_m)
        out[heat.name] = HeatCourse(
            start_s=start,
            peak_k=band(mine.peak_k, hot.peak_k, foam.rise_k),
            peak_s=mine.peak_s,
            peak_point_m=_frozen(at),
            peak_measures=_measures(cavity, at),
            hot_s=tuple(
                (k_, 3600.0 * a, 3600.0 * b)
                for k_, a, b in zip(nominal.thresholds_k, mine.hours_above, hot.hours_above, strict=True)
            ),
            skin_k=band(mine.skin_peak_k, hot.skin_peak_k, foam.rise_k),
            skin_point_m=_frozen(at_skin),
            skin_measures=_measures(cavity, at_skin),
            face_k=wait.landing_k if wait else float("nan"),
            core_k=wait.core_k if wait else float("nan"),
            wait_s=until - start,
            wait_bound=wait.bound if wait else "",
            wait_met=wait.met if wait else True,
            closed_peak_k=closed.peak_k.nominal,
            closed_wait_s=closed.wait_s,
        )
    return out, lift_waits


def band(likely: float, high: float, rise_k: Range) -> Range:
    """A temperature [K] with its 95 % ends, from its values at the likely rise and at the high one.

    The field is linear in the rise (the heat equation with fixed properties is), so the low end is the same line
    carried to the low rise. A hottest spot may move with the rise; its temperature is then convex in it, and the line
    lies below: the low end is told no higher than it is.
    """
    if likely != likely or high != high or not all(math.isfinite(r) for r in (likely, high)):
        return Range(float("nan"), float("nan"), float("nan")) if likely != likely else Range.exact(likely)
    span = rise_k.high - rise_k.nominal
    low = likely - (high - likely) * (rise_k.nominal - rise_k.low) / span if span > 0 else likely
    return Range(min(low, likely), likely, max(likely, high))


def _cool_s(problem: StagedHeat, result: HeatResult, rules: HeatRules, start_s: float) -> float:
    """From the start of the last lift until every core keeps the rules; nan if not within the account."""
    air = problem.surroundings.air_k
    rise = np.array([pour.adiabatic_rise_k for pour in problem.pours])
    allowed = np.minimum(rules.centre_k, air + rules.centre_share * rise)
    reacted = max(start_s, result.pours[-1].start_s) + problem.pours[-1].curve.end_s
    hot = np.nan_to_num(result.core_k - allowed[:, None], nan=-1.0).max(axis=0) > 0
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
