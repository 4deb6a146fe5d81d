"""The set-out of hard points at full size: seen from above, from one datum, in millimetres; prints 1:1."""

from __future__ import annotations

import numpy as np
import shapely

from pourwright.lifts import Measures
from pourwright.pages import page_maker
from pourwright.plan import Plan
from pourwright.wording.places.anchors import lifts_words
from pourwright.wording.places.hard_points import hard_points, span_words

EDGE_MM, TICK_MM = 25.0, 100.0
NEAR_MM, LABEL_MM = 60.0, 12.0
"""Words of things nearer than this stand under each other, so far apart."""


def set_out_svg(plan: Plan) -> str:
    """Hard points as they lie in plan, with the outline of the piece and its datum; empty where there are none.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    str
        SVG whose user unit is a millimetre. x counts from the left-most, y upwards on the paper from the front-most
        point of the standing piece. A circle or line is as wide as the thing itself.
    """
    points = hard_points(plan)
    if not points:
        return ""
    wide, deep = (1e3 * float(v) for v in plan.frame.size_m[:2])
    standing = plan.frame.to_standing(plan.skin.vertices_m)
    hull = _hull(standing)
    rims = [plan.frame.to_standing(opening.loop_m)[:, :2] for opening in plan.skin.openings]

    def at(measures: Measures) -> tuple[float, float]:
        return 1e3 * measures.from_left_m, deep - 1e3 * measures.from_front_m

    marks = [
        {
            "name": point.name,
            "start": at(point.start),
            "end": at(point.end),
            "across": 0.0 if len(point.corners_m) else 1e3 * point.across_m,
            "foot": _path(_hull(point.corners_m), deep) if len(point.corners_m) else "",
            "down": LABEL_MM
            * sum(np.hypot(*np.subtract(at(point.start), at(one.start))) < NEAR_MM for one in points[:k]),
            "head": 1e3 * point.head_m,
            "words": f"{span_words(point)}; {lifts_words(point.lifts)}",
        }
        for k, point in enumerate(points)
    ]
    made = page_maker(trim_blocks=True)
    return made.get_template("set_out.svg").render(
        wide=wide,
        deep=deep,
        edge=EDGE_MM,
        title=f"{plan.job.name}, set-out of what is buried; 1:1, seen from above",
        hull=_path(hull, deep),
        rims=[_path(rim, deep) for rim in rims],
        ticks_x=np.arange(0.0, wide + 1e-6, TICK_MM).tolist(),
        ticks_y=np.arange(0.0, deep + 1e-6, TICK_MM).tolist(),
        marks=marks,
    )


def _hull(points_m: np.ndarray) -> np.ndarray:
    return np.array(shapely.get_coordinates(shapely.MultiPoint(points_m[:, :2]).convex_hull))


def _path(points_m: np.ndarray, deep_mm: float) -> str:
    return "M" + " L".join(f"{1e3 * x:.2f} {deep_mm - 1e3 * y:.2f}" for x, y in points_m.tolist()) + " Z"
