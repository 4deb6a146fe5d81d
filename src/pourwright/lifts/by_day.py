"""The lifts of a chosen day: every pour fills its stretch of a limb, in the order the day has them."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import LevelGraph, Space
from pourwright.day import Choice, Day, Stretch
from pourwright.divide.shapes import PourShape
from pourwright.foam import FoamAtShop
from pourwright.lifts.assemble import letters, put_together, unreached
from pourwright.lifts.closing import arrives_by_times, close_holes
from pourwright.lifts.judged import DAY, FULL
from pourwright.lifts.limits import rules_of
from pourwright.lifts.model import Division, Lift, Pour, ShopLimits
from pourwright.lifts.scene import Band, scene_of
from pourwright.lifts.warn import warnings_of
from pourwright.progress import Progress, silent


def lifts_of_day(
    space: Space,
    foam: FoamAtShop,
    limits: ShopLimits,
    choice: Choice,
    progress: Progress = silent,
    start_level: int = 0,
) -> Division:
    """How each pour of a chosen day is poured: amounts, ports, vents, checks.

    Parameters
    ----------
    space, foam, limits, start_level
        As for `plan_lifts`.
    choice : Choice
        What the search found for this graph.

    Returns
    -------
    Division
        A lift is what is poured in one round, before the next wait. The volumes of all pours and of what stays empty
        add up to the cavity from ``start_level`` up.

    Raises
    ------
    LimitError
        If a limit of the shop is not a figure above zero.
    """
    graph = space.graph
    rules_of(foam, limits, graph.ripple_m)
    progress("lifts", 0.0)
    scene = scene_of(space, foam, limits, start_level)
    rounds = rounds_of_day(choice, limits)
    bands, homes = [], []
    for number, mine in enumerate(rounds, start=1):
        shapes = [(_shape(graph, choice, choice.day.stretches[k], scene.openings.node), k) for k in mine]
        shapes.sort(key=lambda pair: (choice.day.start_s[pair[1]], *np.round(pair[0].centroid_m[:2], 9)))
        for j, (shape, k) in enumerate(shapes):
            limb = choice.limbs.limbs[choice.day.stretches[k].limb].name
            bands.append(Band(shape.bottom_level, shape.top_level, (shape,), (f"{number}{letters(j)}",), limb, number))
            homes.append((number, k))
    made = put_together(scene, bands, choice.stray)
    pours = [row[0] for row in made.pours]
    lifts = tuple(
        _lift(graph, number, [p for p, (n, _) in zip(pours, homes, strict=True) if n == number], choice)
        for number in range(1, len(rounds) + 1)
    )
    progress("lifts", 1.0)
    division = Division(
        lifts=lifts,
        ports=made.ports,
        vents=made.vents,
        objective=" ".join(choice.words),
        unreached_m3=unreached(pours),
        warnings=warnings_of(scene, made, lifts),
        unfilled=made.unfilled,
        ceilings=made.ceilings,
        tilt=made.tilt,
        day=choice,
        lift_start_s=tuple(float(min(choice.day.start_s[k] for k in mine)) for mine in rounds),
    )
    return close_holes(division, space.skin, space.cavity, graph, limits, arrives_by_times(graph, foam))


def rounds_of_day(choice: Choice, limits: ShopLimits) -> list[list[int]]:
    """Pours of each lift: a new one begins where somebody has to wait, or where foam would land on this lift's own."""
    day, under = choice.day, _under(choice, choice.day)
    rounds: list[list[int]] = []
    idle_from = 0.0
    for k, start in enumerate(day.start_s.tolist()):
        if not rounds or start > idle_from + 60.0 or any(b in rounds[-1] for b in under[k]):
            rounds.append([])
        rounds[-1].append(k)
        idle_from = max(idle_from, start + choice.busy_s[k])
    return rounds


def _under(choice: Choice, day: Day) -> list[tuple[int, ...]]:
    top = {s.high: k for k, s in enumerate(day.stretches)}
    first = choice.slabs.first
    out: list[tuple[int, ...]] = []
    for s in day.stretches:
        if s.low > first[s.limb]:
            out.append((top[s.low],))
        else:
            out.append(tuple(top[int(first[b + 1])] for b in choice.limbs.limbs[s.limb].below))
    return out


def _shape(graph: LevelGraph, choice: Choice, stretch: Stretch, opening: np.ndarray) -> PourShape:
    nodes = np.flatnonzero((choice.slabs.of_node >= stretch.low) & (choice.slabs.of_node < stretch.high))
    trunk = np.intersect1d(nodes, choice.limbs.limbs[stretch.limb].trunk)
    level = graph.node_level[nodes]
    inside = np.zeros(len(graph.node_level), bool)
    inside[nodes] = True
    goes_on = inside[graph.edge_lower] & ~inside[graph.edge_upper]
    own = trunk if len(trunk) else nodes
    floor = own[graph.node_level[own] == graph.node_level[own].min()]
    volume = graph.node_volume_m3[nodes]
    return PourShape(
        piece=0,
        nodes=_frozen(nodes),
        shares=_frozen(np.ones(len(nodes))),
        own=_frozen(own),
        bottom_level=int(level.min()),
        top_level=int(level.max()) + 1,
        join_level=int(level.max()) + 1,
        volume_m3=float(volume.sum()),
        centroid_m=_frozen(np.average(graph.node_centroid_m[nodes], axis=0, weights=volume)),
        sealed=not bool(goes_on.any()) and not bool(opening[nodes].any()),
        on_foam=bool(np.isin(floor, graph.edge_upper).any()),
    )


def _lift(graph: LevelGraph, number: int, pours: list[Pour], choice: Choice) -> Lift:
    levels = graph.node_level[np.concatenate([pour.nodes for pour in pours])]
    bottom, top = int(levels.min()), int(levels.max()) + 1
    last = top >= max(limb.top_level for limb in choice.limbs.limbs)
    return Lift(
        number=number,
        bottom_level=bottom,
        top_level=top,
        bottom_m=float(graph.level_m[bottom]),
        top_m=float(graph.level_m[top]),
        volume_m3=float(sum(pour.volume_m3 for pour in pours)),
        pours=tuple(pours),
        limit=FULL if last else DAY,
    )


def _frozen(array: np.ndarray) -> np.ndarray:
    array.setflags(write=False)
    return array
