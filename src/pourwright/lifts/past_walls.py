"""Ports chosen by falls that are measured on the mesh: in cells a wall may be a cell and a half too far off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pourwright.access import HOSE, Walls, off_things_m, way_down
from pourwright.lifts.drops import Drops
from pourwright.lifts.ports import Served, choose, pieces_of, with_best
from pourwright.lifts.scene import Scene
from pourwright.lifts.targets import Targets

ROUNDS = 4
"""Times that ports are chosen anew because a fall turned out too near to a wall; our judgement."""

DIRTY = 2.0
"""Cells by which the wall may be nearer than the cells show: told so of a mesh that shows sheets inside it that are no
wall, and is not measured; our judgement."""


def chosen_ports(scene: Scene, targets: Targets, drops: Drops) -> tuple[Drops, Mapping[int, Served], np.ndarray]:
    """Ports of every pour, all candidates in use, and the candidates with their ways down as they were measured.

    A straight fall that comes nearer to the wall than it may is led by a tube or hose from then on; where that makes
    another place the better one, that is taken.
    """
    walls = Walls(scene.skin, scene.cavity.frame, scene.openings.usable)
    known: set[tuple[int, int]] = set()
    pieces = pieces_of(scene.cavity, scene.graph, targets.pours, drops, scene.foam, scene.limits)
    for _ in range(ROUNDS):
        pieces = [with_best(piece, drops, scene.cavity.grid.cell_m) for piece in pieces]
        served, used = choose(pieces, drops, scene.limits)
        before = drops.falls.way
        drops = _measured(scene, targets, drops, served, walls, known)
        if (before == drops.falls.way).all():
            break
    return drops, served, used


def _measured(
    scene: Scene,
    targets: Targets,
    drops: Drops,
    served: Mapping[int, Served],
    walls: Walls,
    known: set[tuple[int, int]],
) -> Drops:
    """The candidates with the falls that are in use measured; ``known`` are those that were, and grows."""
    falls, cavity = drops.falls, scene.cavity
    clear, way = np.array(falls.clear_m), np.array(falls.way)
    number = 0
    for lift, shapes in enumerate(targets.pours):
        new = [(which, lift) for k in range(len(shapes)) for which in served[number + k].drops]
        number += len(shapes)
        for at in new:
            if at in known or falls.way[at] >= HOSE:
                continue
            known.add(at)
            which, ends = at[0], falls.ends_m[at]
            xy = cavity.grid.origin_m[:2] + (drops.xy[which] + 0.5) * cavity.grid.cell_m
            things = (*cavity.irons, *targets.before.at(lift))
            off = off_things_m(things, xy[None], ends[:1], ends[1:])[0]
            wall = walls.past_m(xy, *ends) if scene.skin.clean else clear[at] - DIRTY * cavity.grid.cell_m
            clear[at] = max(0.0, min(off, wall))
            hole = 0.0 if drops.opening[which] >= 0 else float(drops.hole_m[which])
            found = way_down(falls.fall_m[at], clear[at], falls.width_m[at], hole)
            way[at] = max(int(way[at]), found)
    for array in (clear, way):
        array.setflags(write=False)
    return replace(drops, falls=replace(falls, clear_m=clear, way=way))
