"""Things that stand inside the piece, outlined through skin and foam, with their names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from pourwright.draw.ink import QUIET, Pen
from pourwright.draw.labels import Label
from pourwright.draw.view import View
from pourwright.irons import Iron
from pourwright.plan import CoredPlan

if TYPE_CHECKING:
    from pourwright.plan import Plan

S = (-1, 1)


def by_course(plan: Plan) -> list[Iron]:
    """What stands inside, the cores of a course under one name."""
    cores = plan.cores.laid if isinstance(plan, CoredPlan) else ()
    names = {one.name: f"cores, course {one.course}" for one in cores}
    return [replace(iron, name=names.get(iron.name, iron.name)) for iron in plan.cavity.irons]


def once(labels: Iterable[Label]) -> list[Label]:
    """The first label of each name."""
    return list({label.head: label for label in reversed(list(labels))}.values())[::-1]


def draw_irons(pen: Pen, view: View, irons: Iterable[Iron], bottom_m: float, top_m: float) -> list[Label]:
    """Each of them outlined; labels of those that reach between two heights."""
    drawn = [(iron, _drawn(pen, view, iron)) for iron in irons]
    heights = [(iron.corners_m()[:, 2].min(), iron.corners_m()[:, 2].max(), label) for iron, label in drawn]
    return once(label for low, high, label in heights if low < top_m and high > bottom_m)


def _drawn(pen: Pen, view: View, iron: Iron) -> Label:
    """Its outline as seen; the label at its upper end."""
    for line in iron_lines(iron, view):
        seen = view.standing(line)
        for (ax, ay, _), (bx, by, _) in pairwise(seen.tolist()):
            pen.line([(ax, ay), (bx, by)], 1.6, QUIET)
    return iron_label(iron, view)


def iron_label(iron: Iron, view: View) -> Label:
    """Its name, at its upper end on the canvas."""
    ends = iron.middle_m + np.array([[-1.0], [1.0]]) * iron.half_m[0] * iron.axes[0]
    x, y, _ = view.standing(ends[int(np.argmax(ends[:, 2]))]).tolist()
    return Label((x, y), iron.name, ("inside",), swatch=QUIET)


def iron_lines(iron: Iron, view: View) -> list[np.ndarray]:
    """Polylines (n, 3), standing, that show it: of a round one its two sides and its ends, else its edges."""
    along, one, other = iron.half_m[:, None] * iron.axes
    if not iron.round:
        corner = {(a, b, c): iron.middle_m + a * along + b * one + c * other for a in S for b in S for c in S}
        edges = [
            (p, q) for p in corner for q in corner if p < q and sum(u != v for u, v in zip(p, q, strict=True)) == 1
        ]
        return [np.array([corner[p], corner[q]]) for p, q in edges]
    turn = np.linspace(0.0, 2.0 * np.pi, 25)[:, None]
    ring = np.cos(turn) * one + np.sin(turn) * other
    across = view.standing(iron.middle_m + ring)[:, :2] - view.standing(iron.middle_m - along)[:2]
    way = view.standing(iron.middle_m + along)[:2] - view.standing(iron.middle_m - along)[:2]
    off = across[:, 0] * way[1] - across[:, 1] * way[0]
    sides = [ring[int(np.argmax(off))], ring[int(np.argmin(off))]]
    return [
        *(iron.middle_m + np.array([-along, along]) + side for side in sides),
        *(iron.middle_m + end + ring for end in (-along, along)),
    ]
