"""The piece on its blocks, tilted so that its air gathers: seen from the front and from its right side, in SVG."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from pourwright import units
from pourwright.access import Tilt, foot_of
from pourwright.pages import page_maker
from pourwright.plan import Plan
from pourwright.wording.access import LEAST_BLOCK_M

WIDE_MM = 170.0
"""A view is drawn no wider than this on paper."""


@dataclass(frozen=True, eq=False)
class Wedged:
    """One view of the tilted piece, in its plane: x to the reader's right, z up, metres; the floor is z = 0.

    ``outline`` of the skin; ``block`` (4, 2) stands under the raised edge, its top where the piece rests.
    """

    name: str
    side: str  # under which edge the block is
    angle_rad: float
    height_m: float
    outline: shapely.Polygon
    block: np.ndarray


def wedged(plan: Plan, tilt: Tilt) -> list[Wedged]:
    """The views in which a block shows: from the front what is under left or right, from the right front or back."""
    standing = plan.frame.to_standing(plan.skin.vertices_m)
    views = (
        ("from the front", 0, tilt.right_m, float(tilt.rise[0]), ("right", "left")),
        ("from its right side", 1, tilt.back_m, float(tilt.rise[1]), ("back", "front")),
    )
    ends, out = foot_of(standing), []
    for name, axis, block_m, rise, sides in views:
        if abs(block_m) < LEAST_BLOCK_M:
            continue
        flat = np.column_stack([standing[:, axis], standing[:, 2] - standing[:, 2].min()])
        left, right = (float(end) for end in ends[:, axis])
        turn = math.atan(rise)
        pivot = np.array([left if rise > 0 else right, 0.0])
        spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        outline = shapely.convex_hull(shapely.MultiPoint((flat - pivot) @ spin.T + pivot))
        edge = (np.array([right if rise > 0 else left, 0.0]) - pivot) @ spin.T + pivot
        inward = -math.copysign(min(0.12 * (right - left), 0.06), rise)
        inner = edge + np.array([inward, inward * math.tan(turn)])
        block = np.array([[edge[0], 0.0], edge, inner, [inner[0], 0.0]])
        out.append(Wedged(name, sides[0] if block_m > 0 else sides[1], abs(turn), abs(block_m), outline, block))
    return out


def wedges_svg(plan: Plan) -> str:
    """The views one above the other, to scale, with the height of each block; empty where no tilt is offered."""
    tilt = plan.lift_plan.tilt
    views = wedged(plan, tilt) if tilt is not None else []
    if not views:
        return ""
    widest = max(view.outline.bounds[2] - view.outline.bounds[0] for view in views)
    scale = WIDE_MM / (1e3 * widest)
    drawn, top = [], 14.0
    for view in views:
        x0, _, _, z1 = view.outline.bounds
        floor = top + 1e3 * scale * z1

        def path(points: np.ndarray, x0: float = x0, floor: float = floor) -> str:
            at = [(1e3 * scale * (x - x0) + 30.0, floor - 1e3 * scale * z) for x, z in points.tolist()]
            return "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in at) + " Z"

        edge = view.block[1]
        drawn.append(
            {
                "name": view.name,
                "top": top,
                "floor": floor,
                "outline": path(shapely.get_coordinates(view.outline)),
                "block": path(view.block),
                "at": 1e3 * scale * (float(edge[0]) - x0) + 30.0,
                "words": f"block {units.tape(view.height_m)} under its {view.side} edge",
                "angle": f"{math.degrees(view.angle_rad):.1f}°",
            }
        )
        top = floor + 30.0
    made = page_maker(trim_blocks=True)
    return made.get_template("wedges.svg").render(
        wide=WIDE_MM + 60.0,
        tall=top,
        scale=f"1:{1.0 / scale:.3g}",
        title=f"{plan.job.name}, tilted on blocks so that its air gathers at one vent; drawn as by a string round it",
        views=drawn,
    )
