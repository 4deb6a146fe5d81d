"""Two plumb legs under a spreader bar."""

from __future__ import annotations

import math

import numpy as np

from pourwright.errors import UsageError, in_words
from pourwright.findings import Code, Finding, finding
from pourwright.moving.model import LEAST_M, Bar
from pourwright.moving.roll import rolled, turns_over
from pourwright.outcome import GRAVITY, SLIGHT_RAD, Moving, Piece
from pourwright.ranges import Range


def bar_under(piece: Piece, asked: Moving, weights: np.ndarray, centres: np.ndarray) -> Bar | None:
    """Two plumb legs under a bar, one hook over the centre of mass; none asked: None."""
    if not asked.bar_at:
        return None
    ends = np.array([spot.standing(piece.frame) for spot in asked.bar_at])
    level = (ends[1] - ends[0])[:2]
    apart = float(np.linalg.norm(level))
    if apart < LEAST_M:
        raise UsageError(
            f"moving.bar: its two points are {in_words(apart)} apart seen from above: give two at least "
            f"{in_words(LEAST_M)} apart"
        )
    share = (centres[:, :2] - ends[0, :2]) @ level / apart**2
    second, first = weights * share, weights * (1.0 - share)
    jerk, own = piece.site.hook.dynamic, 0.5 * asked.rigging_kg * GRAVITY
    height = asked.bar_above_m
    nearest = np.clip(share, 0.0, 1.0)
    push = float((jerk * (weights + 2 * own) * nearest * (1.0 - nearest) * apart / height).max())
    angles = [math.atan2(height, float((apart * part).max())) for part in (nearest, 1.0 - nearest)]
    loads = [float((jerk * (end + own)).max()) for end in (first, second)]
    top = (math.hypot(loads[0], push), math.hypot(loads[1], push))
    rolls = np.array([rolled(ends[1] - ends[0], centre - ends[0]) for centre in centres])
    lost, found = _told(Range.of_rows(first), Range.of_rows(second), share, apart, rolls)
    if lost:
        push, top = math.nan, (math.nan, math.nan)
    return Bar(
        apart, (Range.of_rows(first), Range.of_rows(second)), push, top, min(angles), float(rolls[0]), lost, found
    )


def _told(
    first: Range, second: Range, share: np.ndarray, apart: float, rolls: np.ndarray
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """What cannot be, and what there is to tell of it."""
    lost, found = [], []
    for name, leg, beyond in (("first", first, share - 1.0), ("second", second, -share)):
        if leg.low < 0.0:
            lost.append(f"its {name} leg would have to push")
            far = apart * float(beyond.max())
            found.append(finding(Code.BAR_LEG_PUSHES, name, push_n=-leg.low, beyond_m=far))
    most = float(rolls.max())
    if turns_over(most):
        lost.append("the piece turns over")
        found.append(finding(Code.TURNS_OVER_UNDER_BAR, most_rad=most))
    elif most > SLIGHT_RAD:
        found.append(finding(Code.ROLLS_UNDER_BAR, roll_rad=float(rolls[0]), most_rad=most))
    return tuple(lost), tuple(found)
