"""What closes each hole, against what force, and when it may come out again."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright.cavity import Space
from pourwright.lifts import Closing, Division, Lift, Pour
from pourwright.panels import sides_m, tangent_frame
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

PEG_UP_TO = Cited(0.016, "m", Standing.JUDGEMENT, note="a hole no larger is shut with a wooden peg or tape")
BUNG_HOLDS = Cited(40.0, "N", Standing.JUDGEMENT, note="a bung pressed in by hand and taped holds against so much")


@dataclass(frozen=True, slots=True)
class Plug:
    """What shuts a port or vent that foam would rise past.

    ``kind``: ``peg``, ``bung``, ``board`` (with tape under it, clamped, strapped or weighed down; one for all holes
    of a vent). It may come out ``out_s`` after the first mix of lift ``out_lift``, when the last pour that presses
    against it has had its wait; nan: that is not known, leave it in.
    """

    hole: str
    kind: str
    hole_m: float  # diameter, 0 of an opening
    count: int  # holes that it takes
    force_n: Range  # on one of them
    out_after: str  # the last pour that presses
    out_lift: int
    out_s: float


def plugs_of(plan: Division) -> tuple[Plug, ...]:
    """A plug for each hole that does not stay open, in the order of the holes."""
    holes = {port.name: (port.hole_m if port.way == "drilled" else 0.0, 1) for port in plan.ports}
    holes |= {v.name: (v.hole_m, v.holes) if v.way == "drilled" else (0.0, 1) for v in plan.vents}
    return tuple(_plug(plan, one, *holes[one.hole]) for one in plan.closings if one.hole in holes)


def kind_for(hole_m: float, force_n: float) -> str:
    """What shuts a hole of a diameter, 0 of an opening, against a force.

    >>> kind_for(0.006, 1.0), kind_for(0.040, 13.0), kind_for(0.040, 60.0), kind_for(0.0, 5.0)
    ('peg', 'bung', 'board', 'board')
    """
    if hole_m <= 0 or force_n > BUNG_HOLDS.value:
        return "board"
    return "peg" if hole_m <= PEG_UP_TO.value + 1e-9 else "bung"


def _plug(plan: Division, closing: Closing, hole_m: float, count: int) -> Plug:
    lift, pour = _last_to_press(plan, closing)
    kind = kind_for(hole_m, closing.force_n.high)
    return Plug(closing.hole, kind, hole_m, count, closing.force_n, pour.name, lift.number, lift.wait_s)


def _last_to_press(plan: Division, closing: Closing) -> tuple[Lift, Pour]:
    high_m = closing.low_m + math.sqrt(4 / math.pi * closing.area_m2)
    pairs = [(lift, pour) for lift in plan.lifts for pour in lift.pours]
    named = [pair for pair in pairs if pair[1].name in (closing.before, closing.inside)]
    beside = [p for p in pairs if not p[1].poured and p[1].top_m > closing.low_m and p[1].bottom_m < high_m]
    return max([*named, *beside], key=lambda pair: pairs.index(pair))


@dataclass(frozen=True, slots=True)
class Board:
    """What shuts an opening that looks sideways or down, from before the foam gets there until it is hard.

    ``force_n`` is what the pour that presses hardest on it pushes it with; nan where that is not known. It stays on
    until the lift of ``out_after``, the last pour that touches it, has had its wait.
    """

    opening: str
    before: str  # the first pour whose foam lies against it
    force_n: Range
    size_m: tuple[float, float]  # longer and shorter side of what it covers
    out_after: str
    out_lift: int
    out_s: float


INWARD = (1.0, 2.0, 3.0)
"""Depths behind an opening, in cells, at which the pour that lies against it is looked for."""
BY_THIRDS = np.array([(a, b, 6 - a - b) for a in range(7) for b in range(7 - a)], float) / 6.0
"""Points of a triangle of an opening's lid, by the shares of its corners."""


def boards_of(space: Space, lifts: tuple[Lift, ...], openings: Iterable[str]) -> tuple[Board, ...]:
    """A board for each of the named openings that foam comes to lie against, in their order."""
    skin, frame, cavity, label = space.skin, space.frame, space.cavity, space.graph.label
    vertices, names, out = frame.to_standing(skin.vertices_m), {*openings}, []
    pairs = [(lift, pour) for lift in lifts for pour in lift.pours]
    for k, opening in enumerate(skin.openings):
        if opening.name not in names:
            continue
        corners = vertices[skin.faces[skin.cap_opening == k]]
        points = (BY_THIRDS @ corners).reshape(-1, 3)
        area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2.0
        weight = np.repeat(area / len(BY_THIRDS), len(BY_THIRDS))
        node = np.full(len(points), -1)
        for depth in INWARD:
            inside = points - depth * cavity.grid.cell_m * (frame.rotation @ opening.normal)
            at = np.floor((inside - cavity.grid.origin_m) / cavity.grid.cell_m).astype(int)
            there = ((at >= 0) & (at < label.shape)).all(axis=1) & (node < 0)
            node[there] = label[tuple(at[there].T)].astype(int) - 1
        # what lies over the edge of the wall is shared out
        whole = area.sum() / max(float(weight[node >= 0].sum()), 1e-12)
        met = [(pair, float(weight[np.isin(node, pair[1].nodes)].sum() * whole)) for pair in pairs]
        met = [(pair, area_m2) for pair, area_m2 in met if area_m2 > 0]
        if not met:
            continue
        (_, first), (lift, last) = met[0][0], met[-1][0]
        pushes = [pour.peak_pressure_pa * area_m2 for (_, pour), area_m2 in met]
        hardest = max(pushes, key=lambda push: math.inf if math.isnan(push.high) else push.high)
        flat = shapely.multipoints(points @ tangent_frame(frame.rotation @ opening.normal)[:2].T)
        out.append(Board(opening.name, first.name, hardest, sides_m(flat), last.name, lift.number, lift.wait_s))
    return tuple(out)
