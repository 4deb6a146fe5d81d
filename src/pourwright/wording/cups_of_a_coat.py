"""Which part of the wall each cup of a spread coat is for: bands side by side, told by tape from the standing piece."""

from __future__ import annotations

import numpy as np

from pourwright import units
from pourwright.lining import Coat, Position
from pourwright.plan import LinedPlan

MOST_TOLD = 12
"""Cups whose parts are told one by one."""
FROM = ("from the left", "from the front", "above the base")
"""Where a tape measures from along each axis of the standing piece."""


def cups_of(plan: LinedPlan, coat: Coat, one: Position) -> tuple[np.ndarray, int]:
    """Cup (n,) from 1 for each face of the inside, 0 where the coat is not laid; and the axis along which they lie.

    Bands of equal area across the longest side of what is laid, along an axis of the standing piece. The first lies
    farthest from the mouth that is nearest to it.
    """
    inside, mine = plan.lining.inside, one.spread_on
    out = np.zeros(len(inside.area_m2), np.int64)
    if mine is None or not mine.any():
        return out, 2
    at = plan.frame.to_standing(inside.middle_m[mine])
    axis = int(np.argmax(np.ptp(at, axis=0)))
    order = np.argsort(at[:, axis], kind="stable")
    area = np.cumsum(inside.area_m2[mine][order])
    cup = np.empty(len(order), np.int64)
    cup[order] = np.minimum(
        (coat.cups * (area - 0.5 * inside.area_m2[mine][order]) / area[-1]).astype(int), coat.cups - 1
    )
    spread = plan.lining.spread
    mouths = [o.centroid_m for o in plan.skin.openings if spread is not None and o.name in spread.mouths]
    if mouths:
        away = [
            np.min([np.linalg.norm(at[cup == k].mean(axis=0) - plan.frame.to_standing(m[None])[0]) for m in mouths])
            for k in (0, coat.cups - 1)
        ]
        if away[0] < away[1]:
            cup = coat.cups - 1 - cup
    out[mine] = cup + 1
    return out, axis


def cup_lines(plan: LinedPlan, coat: Coat, one: Position) -> list[str]:
    """A line for each cup of a coat that has several: between which measures its part of the wall lies.

    Of a coat of more than `MOST_TOLD` cups the first, the second and the last.
    """
    if coat.cups < 2 or one.spread_on is None:
        return []
    cup, axis = cups_of(plan, coat, one)
    inside = plan.lining.inside
    middle = plan.frame.to_standing(inside.middle_m)[:, axis]
    told = range(1, coat.cups + 1) if coat.cups <= MOST_TOLD else (1, 2, coat.cups)
    out = []
    for k in told:
        mine = cup == k
        if not mine.any():
            continue
        low, high = (max(0.0, end) for end in _ends(middle, mine, (cup > 0) & ~mine))
        size = units.area(float(inside.area_m2[mine].sum()))
        out.append(f"Cup {k}: {units.length(low)} to {units.length(high)} {FROM[axis]} of the standing piece, {size}")
    return out


def _ends(at: np.ndarray, mine: np.ndarray, others: np.ndarray) -> tuple[float, float]:
    """Both ends of a band of places, half way to those of the bands beside it.

    >>> _ends(np.array([1.0, 2.0, 3.0, 4.0]), np.array([0, 1, 1, 0]) > 0, np.array([1, 0, 0, 1]) > 0)
    (1.5, 3.5)
    """
    low, high = float(at[mine].min()), float(at[mine].max())
    under = at[others & (at < low)].max(initial=-np.inf)
    over = at[others & (at > high)].min(initial=np.inf)
    return (
        0.5 * (low + float(under)) if np.isfinite(under) else low,
        0.5 * (high + float(over)) if np.isfinite(over) else high,
    )
