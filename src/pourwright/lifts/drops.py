"""Where liquid can be dropped: columns of cells that are free from an opening or a hole in the skin down to a pour."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import KDTree

from pourwright.access import (
    FLANGE_LAPS,
    FRONT,
    Aims,
    Falls,
    edges_of,
    falls,
    fitted,
    inner_room_m,
    inside_outline,
    kept_out,
    near_any,
    outward,
    served_from,
    set_out,
    side_edge,
    side_of,
    slope_side,
    sorted_rows,
)
from pourwright.cavity import Cavity, ColumnMap, skin_above
from pourwright.irons import nearest_m
from pourwright.lifts import judged
from pourwright.lifts.made_drops import looks_of, under_made
from pourwright.lifts.model import ShopLimits
from pourwright.lifts.mouths import lowest_edge, opening_edge
from pourwright.lifts.scene import Scene
from pourwright.lifts.skin_side import UpOpenings
from pourwright.lifts.targets import Targets

MOST_GROUPS = 300
"""Groups of candidates that are kept: a bound on the work."""
SPOTS_A_REACH = 2.5
"""Candidates of one group are set out this many to a reach, so that the best place is never missed by much."""
STEPS_A_LIFT = 3
"""Heights that a hole over a lift may be at, told apart; our judgement."""


@dataclass(frozen=True, eq=False)
class Drops:
    """Candidate columns; rows are candidates. Arrays read-only.

    ``serves`` (m, lifts): the pour (counted over all lifts) that the liquid lands in, -1 for none; ``level`` (m, lifts)
    where it lands; ``exit_m`` (m, 3) where the column leaves the skin or passes the opening, shell axes; ``opening``
    (m,) index of that opening, -1 for a hole to drill; ``upward`` (m,) upward part of the skin's normal there;
    ``hole_m`` (m,) largest hole; ``low_m`` (m,) height above the base up to which foam may stand under it without
    rising past it; ``by_vent`` (m,) bool: so near a vent that a bung would shut that too; ``off_m`` (m,) distance from
    the roomiest spot that serves the same pours; ``made`` (m,) which of the holes that are there already it is, -1 for
    none; ``asked`` (m,) bool: a place that the job asks for;
    ``side`` (m,) the side it shows on, as `pourwright.access.side_of`; ``round_m`` (m,) radius about it that is
    free of edges and walls; ``falls`` how the liquid gets down; ``sideways`` (m,) bool: cut in the side of a limb.
    """

    xy: np.ndarray
    serves: np.ndarray
    level: np.ndarray
    exit_m: np.ndarray
    opening: np.ndarray
    upward: np.ndarray
    hole_m: np.ndarray
    low_m: np.ndarray
    by_vent: np.ndarray
    off_m: np.ndarray
    made: np.ndarray
    asked: np.ndarray
    side: np.ndarray
    round_m: np.ndarray
    falls: Falls
    sideways: np.ndarray

    def landing_m(self, cavity: Cavity, which: int, lift: int) -> np.ndarray:
        """Where the liquid of candidate ``which`` lands in ``lift``: on the floor, standing metres."""
        x, y = cavity.grid.origin_m[:2] + (self.xy[which] + 0.5) * cavity.grid.cell_m
        return np.array([x, y, cavity.grid.origin_m[2] + self.level[which, lift] * cavity.grid.cell_m])


def find_drops(scene: Scene, targets: Targets) -> Drops:
    """Candidate columns: a few for every set of pours that one column can serve, and under each hole that is there."""
    skin, cavity, columns = scene.skin, scene.cavity, scene.columns
    xy, made = columns.column, scene.made
    chosen, off = _picked(scene, targets)
    exits, opening, normal, good = _exits(scene, chosen)
    keep_out = scene.limits.holes.keep_out
    good &= (opening >= 0) | ~kept_out(keep_out, cavity.frame, np.nan_to_num(exits), side_of(normal))
    chosen, off = chosen[good], off[good]
    old, runs, beside = under_made(skin, cavity, columns, targets.serves, made)
    _, _, normal_of_old, _ = _exits(scene, runs)
    if beside.any():
        normal_of_old[beside] = looks_of(skin, cavity, [made[k] for k in old[beside].tolist()])
    tops = np.column_stack([xy[chosen], columns.high[chosen] - 1])
    hole = hole_at(scene, tops, columns.low[chosen])
    exits = np.concatenate([exits[good], np.array([made[k].point_m for k in old]).reshape(-1, 3)])
    hole = np.concatenate([hole, [made[k].hole_m for k in old]])
    opening = np.concatenate([opening[good], np.full(len(old), -1)])
    normal, off = np.concatenate([normal[good], normal_of_old]), np.concatenate([off, np.zeros(len(old))])
    around = free_round(scene, exits, normal, opening)
    fresh = np.concatenate([np.ones(len(chosen), bool), np.array([not made[k].made for k in old], bool)])
    hole = np.where(fresh & (opening < 0), fitted_holes(hole, around, scene.limits), hole)
    is_made = np.concatenate([np.full(len(chosen), -1), old]).astype(np.int64)
    chosen = np.concatenate([chosen, runs])
    tops = np.column_stack([xy[chosen], columns.high[chosen] - 1])
    low = _lows(scene, tops, hole, opening, normal[:, 2])
    sideways = np.concatenate([np.zeros(len(chosen) - len(old), bool), beside])
    own, level = targets.serves[chosen], targets.level[chosen]
    exits_up = cavity.frame.to_standing(exits)
    if sideways.any():
        low[sideways] = side_edge(exits_up[sideways, 2], hole[sideways], normal[sideways, 2]) - cavity.grid.cell_m
        own[sideways] = served_from(own[sideways], level[sideways], low[sideways], cavity.grid)
    aims = Aims(xy[chosen], level, own, exits_up, low, np.where(opening < 0, hole, 0.0))
    drops = Drops(
        xy=aims.xy,
        serves=own,
        level=level,
        exit_m=exits,
        opening=opening,
        upward=normal[:, 2],
        hole_m=hole,
        by_vent=by_vent_at(cavity, aims.xy, columns.high[chosen], targets.vents_m),
        low_m=low,
        off_m=off,
        made=is_made,
        asked=fresh & (is_made >= 0),
        side=side_of(normal),
        round_m=around,
        falls=falls(cavity, scene.graph, aims, targets.floors, targets.before),
        sideways=sideways,
    )
    for array in vars(drops).values():
        if isinstance(array, np.ndarray):
            array.setflags(write=False)
    return drops


def _picked(scene: Scene, targets: Targets) -> tuple[np.ndarray, np.ndarray]:
    """Runs that are worth a hole, and how far each is from the roomiest spot that serves the same pours [m]."""
    cavity, columns, serves, xy = scene.cavity, scene.columns, targets.serves, scene.columns.column
    rows = np.flatnonzero((serves >= 0).any(axis=1) & _headroom(cavity, columns, xy, scene.openings))
    if not len(rows):
        return np.zeros(0, np.int64), np.zeros(0)
    step = _steps(columns.high[rows], targets.bands)
    near = by_vent_at(cavity, xy[rows], columns.high[rows], targets.vents_m)
    seen = slope_side(columns, xy)[rows]
    plan_m = cavity.grid.origin_m[:2] + (xy[rows] + 0.5) * cavity.grid.cell_m
    ends_m = cavity.grid.origin_m[2] + np.stack([columns.low[rows], columns.high[rows]]) * cavity.grid.cell_m
    under = near_any(targets.before.irons, plan_m, *ends_m)
    sorts = np.column_stack([serves[rows], under, near, step, seen, scene.openings.of_run[rows]])
    keys, group = sorted_rows(sorts.astype(np.int64))
    members = np.split(rows[np.argsort(group, kind="stable")], np.cumsum(np.bincount(group))[:-1])
    spacing = scene.limits.flow_distance_m / SPOTS_A_REACH / cavity.grid.cell_m
    room = 0.5 * judged.PORT_HOLE.value / cavity.grid.cell_m
    inner, kept = inside_outline(columns, xy), _kept(keys, members)
    spots = [set_out(xy[mine], inner[mine], spacing, room) for mine in (members[g] for g in kept)]
    chosen = np.concatenate([members[g][at] for g, (at, _) in zip(kept, spots, strict=True)])
    return chosen, np.concatenate([far for _, far in spots]) * cavity.grid.cell_m


def fitted_holes(hole_m: np.ndarray, round_m: np.ndarray, limits: ShopLimits) -> np.ndarray:
    """Holes (n,) of the shop's drills, with room for a flange where one has it."""
    return fitted(hole_m, round_m, (*limits.drill_m, judged.PORT_HOLE.value), judged.LEAST_HOLE.value)


def hole_at(scene: Scene, cells: np.ndarray, lowest: np.ndarray) -> np.ndarray:
    """Largest port hole [m] (n,) over each of ``cells`` (n, 3), by the width of the limb a hole's depth below it."""
    depth = round(judged.PORT_HOLE.value / scene.cavity.grid.cell_m)
    down = np.maximum(cells[:, 2] - depth, lowest)
    node = scene.graph.label[cells[:, 0], cells[:, 1], down] - 1
    width = np.where(node >= 0, scene.limb_m[node], 0.0)
    hole = np.minimum(judged.PORT_HOLE.value, judged.WIDTH_SHARE.value * width)
    return np.maximum(np.floor(hole * 1e3 + 1e-6), 6.0) / 1e3


def _steps(high: np.ndarray, bands: list[tuple[int, int]]) -> np.ndarray:
    """How high up each run ends (n,), in thirds of a lift: a hole higher up is another choice than one below it."""
    cuts = [low + round(k * (top - low) / STEPS_A_LIFT) for low, top in bands for k in range(1, STEPS_A_LIFT + 1)]
    return np.searchsorted(np.unique(cuts), high, side="right")


def by_vent_at(cavity: Cavity, xy: np.ndarray, high: np.ndarray, vents_m: np.ndarray) -> np.ndarray:
    """Whether a hole over each run (n,) would lie so near a vent that what shuts it shuts the vent too."""
    if not len(vents_m) or not len(xy):
        return np.zeros(len(xy), bool)
    ends = cavity.grid.origin_m + np.column_stack([xy + 0.5, high]) * cavity.grid.cell_m
    return KDTree(vents_m).query(ends)[0] < 0.5 * judged.PORT_HOLE.value + judged.BOARD_LAPS.value


def free_round(scene: Scene, exits_m: np.ndarray, normal: np.ndarray, opening: np.ndarray) -> np.ndarray:
    """Radius (n,) about each place on the skin that is free of edges outside and of walls and irons inside.

    A drill goes a hole's width into the piece. inf in an opening.
    """
    skin, cavity = scene.skin, scene.cavity
    out = np.full(len(exits_m), np.inf)
    drilled = np.flatnonzero(opening < 0)
    if not len(drilled):
        return out
    points, up = exits_m[drilled], normal[drilled] @ cavity.frame.rotation
    wall = skin.thickness_of(points)
    deepest = np.where(np.isnan(wall), cavity.grid.cell_m, wall)
    most = 0.5 * judged.PORT_HOLE.value + 2.0 * FLANGE_LAPS.value
    inner = inner_room_m(cavity, scene.graph, points, up, deepest, most)
    away = edges_of(skin, 0.5 * cavity.grid.cell_m + 0.002).away_m(points)
    into = np.linspace(0.0, 1.0, 5)[:, None, None] * (deepest[:, None] + judged.PORT_HOLE.value) * up
    irons = nearest_m(cavity.irons, cavity.frame.to_standing(points - into)).min(axis=0)
    out[drilled] = np.minimum(np.minimum(inner, away), np.maximum(irons, 0.0))
    return out


def _headroom(cavity: Cavity, columns: ColumnMap, xy: np.ndarray, openings: UpOpenings) -> np.ndarray:
    """Whether nothing of the cavity hangs close over the end of each run."""
    gap = np.full(len(columns.low), np.inf)
    same = (xy[1:] == xy[:-1]).all(axis=1)
    gap[:-1][same] = (columns.low[1:] - columns.high[:-1])[same] * cavity.grid.cell_m
    return (openings.of_run >= 0) | (gap >= judged.PORT_HEADROOM.value)


def _kept(keys: np.ndarray, members: list[np.ndarray]) -> list[int]:
    """Groups worth looking at: those that serve most, and the largest and highest that serve each pour in any case."""
    size = np.array([len(mine) for mine in members])
    served = (keys[:, :-5] >= 0).sum(axis=1)
    order = np.lexsort((-size, -served, keys[:, -1] < 0))
    kept = set(order[:MOST_GROUPS].tolist())
    for pour in range(int(keys[:, :-5].max()) + 1):
        own = np.flatnonzero((keys[:, :-5] == pour).any(axis=1))
        if len(own):
            kept.add(int(own[np.argmax(size[own])]))
            kept.add(int(own[np.lexsort((-size[own], -keys[own, -3], keys[own, -4]))[0]]))
            hidden = own[keys[own, -2] != FRONT]
            if len(hidden):
                kept.add(int(hidden[np.argmax(size[hidden])]))
    return sorted(kept)


def _exits(scene: Scene, chosen: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Where each chosen run leaves the piece (shell axes), by which opening, its normal (standing), if it is free."""
    if not len(chosen):
        return np.zeros((0, 3)), np.zeros(0, np.int64), np.zeros((0, 3)), np.zeros(0, bool)
    skin, cavity, columns, xy = scene.skin, scene.cavity, scene.columns, scene.columns.column
    frame, cell = cavity.frame, cavity.grid.cell_m
    tops = cavity.grid.centres(np.column_stack([xy[chosen], columns.high[chosen] - 1]))
    exits, face, opening = skin_above(skin, frame, tops)
    opening = opening.astype(np.int64)
    found = face >= 0
    normal = np.where(found[:, None], outward(skin, np.maximum(face, 0)) @ frame.rotation.T, 0.0)
    above = frame.to_standing(np.where(found[:, None], exits, 0.0))
    good = found.copy()
    # Another run of the column below the exit: the hole would lead through another part of the cavity.
    nxt = np.minimum(chosen + 1, len(columns.low) - 1)
    follows = (nxt > chosen) & (xy[nxt] == xy[chosen]).all(axis=1)
    good &= ~(follows & (cavity.grid.origin_m[2] + columns.low[nxt] * cell < above[:, 2]))
    # Turned inside out, the skin shows the first face a line enters: the underside of whatever hangs over the hole.
    inverted = replace(skin, faces=np.ascontiguousarray(skin.faces[:, ::-1]))
    over, hung, _ = skin_above(inverted, frame, above + np.array([0.0, 0.0, 1e-6]))
    gap = np.where(hung >= 0, frame.to_standing(np.nan_to_num(over))[:, 2] - above[:, 2], np.inf)
    good &= gap >= judged.PORT_HEADROOM.value
    # A cap that looks sideways or down is closed by a board: no way in.
    usable = np.isin(opening, scene.openings.usable)
    good &= (opening < 0) | usable
    return exits, np.where(usable, opening, -1), normal, good


def _lows(scene: Scene, tops: np.ndarray, hole_m: np.ndarray, opening: np.ndarray, upward: np.ndarray) -> np.ndarray:
    """Height up to which foam may stand under each candidate; of an opening its edge, flush to a cell."""
    low = lowest_edge(scene.cavity, scene.graph, tops, hole_m, upward)
    for which in np.unique(opening[opening >= 0]).tolist():
        low[opening == which] = opening_edge(scene.cavity, scene.skin, which) + scene.cavity.grid.cell_m
    return low
