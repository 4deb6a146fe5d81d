"""From level graph, grade and shop to the lifts of a piece."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourwright.cavity import LevelGraph, Space
from pourwright.divide.bands import Growth, Rules, grow, nodes_of
from pourwright.divide.even import divide
from pourwright.divide.shapes import PourShape, shapes_of
from pourwright.divide.small import give_away
from pourwright.divide.turns import in_turns
from pourwright.errors import LimitError
from pourwright.foam import FoamAtShop
from pourwright.lifts.assemble import Made, batches_of, letters, put_together, unreached
from pourwright.lifts.closing import arrives_by_times, close_holes
from pourwright.lifts.judged import FLOW_DISTANCE, FULL
from pourwright.lifts.limits import batch_cap, lift_cap, rules_of
from pourwright.lifts.model import Division, Lift, Port, Pour, ShopLimits, Tighter
from pourwright.lifts.scene import Band, Scene, scene_of
from pourwright.lifts.skin_side import plan_extents
from pourwright.lifts.warn import warnings_of
from pourwright.lifts.words import limit_of, objective_words
from pourwright.progress import Progress, silent


def plan_lifts(
    space: Space,
    foam: FoamAtShop,
    limits: ShopLimits,
    progress: Progress = silent,
    start_level: int = 0,
    tighter: tuple[Tighter, ...] = (),
    panels_bind: bool = True,
    made: tuple[Port, ...] = (),
) -> Division:
    """Divide a cavity into lifts and say how each is poured.

    Parameters
    ----------
    space : Space
        Pools, pockets and ripple threshold of its graph are the ones used.
    foam : FoamAtShop
    limits : ShopLimits
    progress : Progress
    start_level : int
        Levels below are full already (of set foam): the plan is for what is left above.
    tighter : tuple of Tighter
        Thicknesses that computed limits ask for between heights, besides the cap on risen foam.
    panels_bind : bool
        Whether the strength of the panels by formula shapes the lifts; without, it is only checked against them after.
    made : tuple of Port
        Drilled holes that are there already: used before another is drilled, and named as they are.

    Returns
    -------
    Division
        Lifts from the lowest up, numbered from 1. The volumes of all pours and of what stays empty add up to the cavity
        from ``start_level`` up. A pour over a limit is marked by its checks, never refused.

    Raises
    ------
    LimitError
        If nothing of the cavity is left above ``start_level``, or a limit is not a figure above zero.

    Notes
    -----
    Which limits shape the lifts: thickness, liquid of a piece against what the hands can mix and pour in the cream
    time, and pressure where a thinner lift would help. After the division, pieces too small for a pour go to a pour
    above or below that keeps its limits with them, or stay empty. A peak temperature over its limit is not cured by
    thinner lifts and only reported. Where not even one level keeps a limit, the lift is one level thin and marked.
    """
    rules, graph = rules_of(foam, limits, space.graph.ripple_m), space.graph
    start, stop = _span(graph, start_level)
    progress("lifts", 0.0)
    scene = scene_of(space, foam, limits, start, made)
    strength, tall = scene.strength.pressure_pa, _tall(graph, tighter)
    stands = strength if panels_bind else np.full_like(strength, np.inf)
    nodes = nodes_of(graph, scene.openings.node, stands, *plan_extents(space.cavity, graph), tall)
    growth = grow(nodes, rules, start, stop)
    best = divide(growth.tallest, growth.cost, limits.sliver_share)
    progress("lifts", 0.3)
    cut = _cut(scene, rules, [(start + a, start + b) for a, b in pairwise(best.boundaries)], stands, tall)
    lifts = _lifts(scene, cut, growth, stop, tighter)
    progress("lifts", 1.0)
    put = cut.put
    division = Division(
        lifts=lifts,
        ports=put.ports,
        vents=put.vents,
        objective=objective_words(best, limits.sliver_share),
        unreached_m3=unreached(pour for lift in lifts for pour in lift.pours),
        warnings=warnings_of(scene, put, lifts, best),
        unfilled=put.unfilled,
        ceilings=put.ceilings,
        tilt=put.tilt,
    )
    return close_holes(division, space.skin, space.cavity, graph, limits, arrives_by_times(graph, foam))


@dataclass(frozen=True, eq=False)
class _Cut:
    """Bands with their pours put, and the cuts that each was found with."""

    bands: list[Band]
    own: list[tuple[int, int]]
    put: Made


def _cut(scene: Scene, rules: Rules, cuts: list[tuple[int, int]], stands: np.ndarray, tall: np.ndarray) -> _Cut:
    """The pours of each band; one is cut in two where a pour that has to wait cannot reach all of its floor."""
    graph, foam, limits, opening = scene.graph, scene.foam, scene.limits, scene.openings.node
    for _ in range(graph.levels):
        shapes = [list(shapes_of(graph, a, b, graph.ripple_m, opening, rules.least_m3, rules.spill_m)) for a, b in cuts]
        given = give_away(graph, shapes, rules, opening, stands, tall)
        turned = [
            in_turns(graph, mine, lambda one: batches_of(one, foam, limits), limits.hands) for mine in given.bands
        ]
        bands, own = _bands(cuts, turned)
        put = put_together(scene, bands, given.empty)
        finer = _cut_at_joins(cuts, shapes, {own[k] for k, pours in enumerate(put.pours) if _too_far_in_turn(pours)})
        if finer == cuts:
            break
        cuts = finer
    return _Cut(bands, own, put)


def _lifts(scene: Scene, cut: _Cut, growth: Growth, stop: int, tighter: tuple[Tighter, ...]) -> tuple[Lift, ...]:
    """The lifts of the bands, numbered from 1, with what bound each."""
    graph, start = scene.graph, scene.start_level
    cap, batch = lift_cap(scene.foam, scene.limits), batch_cap(scene.foam, scene.limits)
    levels = graph.level_m[start : stop + 1]
    lifts = []
    for number, (band, (low, high), pours) in enumerate(zip(cut.bands, cut.own, cut.put.pours, strict=True), start=1):
        limit, more = limit_of(growth, levels, low - start, high - low, scene.limits, cap, batch, tighter)
        if band.top == stop and high != stop:
            limit, more = FULL, None
        lifts.append(
            Lift(
                number=number,
                bottom_level=band.bottom,
                top_level=band.top,
                bottom_m=float(graph.level_m[band.bottom]),
                top_m=float(graph.level_m[band.top]),
                volume_m3=float(sum(pour.volume_m3 for pour in pours)),
                pours=pours,
                limit=limit,
                one_more=more,
            )
        )
    return tuple(lifts)


def _tall(graph: LevelGraph, tighter: tuple[Tighter, ...]) -> np.ndarray:
    """Thickness (levels,) that a lift through each level must keep; never less than one level."""
    tall = np.full(graph.levels, np.inf)
    for ask in tighter:
        inside = (graph.level_m[:-1] < ask.top_m - 1e-9) & (graph.level_m[1:] > ask.bottom_m + 1e-9)
        tall[inside] = np.minimum(tall[inside], max(ask.thickness_m, float(graph.level_m[1] - graph.level_m[0])))
    return tall


def _too_far_in_turn(pours: tuple[Pour, ...]) -> bool:
    """Whether a pour that has to wait for others of its lift cannot reach all of its floor from its own pool."""
    checks = [check for pour in pours if pour.after for check in pour.checks if check.name == FLOW_DISTANCE]
    return any(check.verdict != "ok" for check in checks)


def _cut_at_joins(
    cuts: list[tuple[int, int]], shapes: list[list[PourShape]], which: set[tuple[int, int]]
) -> list[tuple[int, int]]:
    """Cuts with those of ``which`` in two where their first pools join: what lies above is poured after a wait."""
    out = []
    for cut, mine in zip(cuts, shapes, strict=True):
        joins = [shape.join_level for shape in mine if cut[0] < shape.join_level < min(cut[1], shape.top_level)]
        out += [(cut[0], min(joins)), (min(joins), cut[1])] if cut in which and joins else [cut]
    return out


def _bands(cuts: list[tuple[int, int]], shapes: list[list[PourShape]]) -> tuple[list[Band], list[tuple[int, int]]]:
    """Bands that are left with a pour, and the cuts each was found with; one left without goes to its neighbour."""
    kept = [k for k, mine in enumerate(shapes) if mine] or [0]
    bands = []
    for number, k in enumerate(kept, start=1):
        bottom = cuts[0][0] if number == 1 else cuts[k][0]
        top = cuts[-1][1] if number == len(kept) else cuts[kept[number]][0]
        names = tuple(f"{number}{letters(j)}" for j in range(len(shapes[k])))
        bands.append(Band(bottom, top, tuple(shapes[k]), names))
    return bands, [cuts[k] for k in kept]


def _span(graph: LevelGraph, start_level: int) -> tuple[int, int]:
    """First and one past the last level that hold any of the cavity, from ``start_level`` up."""
    left = graph.node_level[graph.node_level >= start_level]
    if start_level < 0 or not len(left):
        raise LimitError(
            f"Nothing of the cavity is left above level {start_level} of {graph.levels}: there is nothing to pour."
        )
    return int(left.min()), int(left.max()) + 1
