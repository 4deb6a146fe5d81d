"""Candidates that are cut in the side of a limb, for pours that only a long tube or hose would reach from above."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pourwright.access import FLANGE_LAPS, FRONT, Aims, falls, kept_out, served_from, side_edge, side_of, side_places
from pourwright.divide.shapes import PourShape
from pourwright.lifts import judged
from pourwright.lifts.drops import Drops, by_vent_at, fitted_holes, free_round
from pourwright.lifts.scene import Scene
from pourwright.lifts.targets import Targets


def with_sides(scene: Scene, targets: Targets, drops: Drops) -> Drops:
    """The candidates with those cut in the side, where a pour has no easy way down from above.

    None where the job forbids them, where the piece lies in a mould or cradle, or where a machine pours.
    """
    limits, cavity, graph, columns = scene.limits, scene.cavity, scene.graph, scene.columns
    if limits.held or limits.fresh or not limits.holes.side:
        return drops
    serves, level = targets.serves, targets.level
    hard = _hard(drops, targets.pours, limits.holes.prefer == "any")
    asked = [
        (np.flatnonzero(serves[:, lift] == number), shape.top_level)
        for lift, number, shape in hard
        if (serves[:, lift] == number).any()
    ]
    if not asked:
        return drops
    hole = judged.PORT_HOLE.value
    places = side_places(scene.skin, cavity, graph, columns, asked, hole)
    side = side_of(places.normal)
    good = ~kept_out(limits.holes.keep_out, cavity.frame, places.point_m, side)
    good &= (side != FRONT) | (limits.holes.prefer == "any")
    around = free_round(scene, places.point_m, places.normal, np.full(len(side), -1))
    node = graph.label[(*columns.column[places.run].T, places.level)] - 1
    widest = np.minimum(hole, judged.WIDTH_SHARE.value * scene.limb_m[np.maximum(node, 0)])
    holes = fitted_holes(widest, around, limits)
    good &= (node >= 0) & (holes >= judged.LEAST_HOLE.value) & (around >= 0.5 * holes + FLANGE_LAPS.value)
    if not good.any():
        return drops
    pick = np.flatnonzero(good)
    run, point, normal, holes = places.run[pick], places.point_m[pick], places.normal[pick], holes[pick]
    exits_up = cavity.frame.to_standing(point)
    low = side_edge(exits_up[:, 2], holes, normal[:, 2]) - cavity.grid.cell_m
    own = served_from(serves[run], level[run], low, cavity.grid)
    aims = Aims(columns.column[run], level[run], own, exits_up, low, holes)
    more = Drops(
        xy=aims.xy,
        serves=own,
        level=level[run],
        exit_m=point,
        opening=np.full(len(pick), -1),
        upward=normal[:, 2],
        hole_m=holes,
        by_vent=by_vent_at(cavity, aims.xy, places.level[pick], targets.vents_m),
        low_m=low,
        off_m=np.zeros(len(pick)),
        made=np.full(len(pick), -1),
        asked=np.zeros(len(pick), bool),
        side=side[pick],
        round_m=around[pick],
        falls=falls(cavity, graph, aims, targets.floors, targets.before),
        sideways=np.ones(len(pick), bool),
    )
    return _joined(drops, more)


def _hard(drops: Drops, pours: list[list[PourShape]], any_side: bool) -> list[tuple[int, int, PourShape]]:
    """Pours (lift, number, shape) that no candidate off the front leads to, but by a long tube or hose."""
    hidden = (drops.side != FRONT) | (drops.opening >= 0) | (drops.made >= 0) | any_side
    out, number = [], 0
    for lift, shapes in enumerate(pours):
        for shape in shapes:
            mine = drops.serves[:, lift] == number
            if not (drops.falls.easy[:, lift] & mine & hidden).any():
                out.append((lift, number, shape))
            number += 1
    return out


def _joined(a: Drops, b: Drops) -> Drops:
    own = {
        name: np.concatenate([getattr(a, name), getattr(b, name)])
        for name in vars(a)
        if isinstance(getattr(a, name), np.ndarray)
    }
    ways = {name: np.concatenate([getattr(a.falls, name), getattr(b.falls, name)]) for name in vars(a.falls)}
    for array in (*own.values(), *ways.values()):
        array.setflags(write=False)
    return replace(a, **own, falls=replace(a.falls, **ways))
