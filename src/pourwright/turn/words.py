"""Why the best way up is the best, in sentences."""

from __future__ import annotations

import math

import numpy as np

from pourwright.turn.judged import STEADY_RAD
from pourwright.turn.model import Confirmed, Symmetry, Way
from pourwright.turn.sphere import near_signs

NEAR_DEG = 5.0
VOLUME_SHARE = 0.02


def _count(number: int, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def stands_words(way: Way) -> str:
    """How it is held on the bench."""
    if way.blocks_rad > 0:
        lean = f"{math.degrees(way.blocks_rad):.1f}"
        return f"stands tilted by {lean} degrees on blocks, and tips at {math.degrees(way.tip_rad):.0f} more"
    if way.cradle_m <= 0:
        return f"stands by itself and tips at {math.degrees(way.tip_rad):.0f} degrees"
    if way.cradle_m >= way.height_m:
        return "does not stand: no cradle below half of its height holds it, hang it or frame it"
    how = "falls over by itself" if way.tip_rad <= 0 else f"tips at {math.degrees(way.tip_rad):.1f} degrees"
    return f"{how}: cradle it up to {way.cradle_m * 1e3:.0f} mm above the bench"


def facts(way: Way) -> str:
    """What a way asks for, in one run of words."""
    parts = [
        _count(way.pours, "pour"),
        f"{way.last_h:.1f} h to the last",
        _count(len(way.pool_m), "pool"),
        _count(way.drilled, "drilled vent"),
    ]
    if way.close:
        parts.append(f"{_count(len(way.close), 'opening')} to close")
    return ", ".join(parts)


def reasons(best: list[Confirmed], drawn: Confirmed, ways: list[Way]) -> tuple[str, ...]:
    """Sentences about the first of ``best``: what it asks for, what it saves against the others, what it costs."""
    top = best[0]
    first = f"Best of {len(ways)} directions is"
    if top.over:
        first = (
            f"Not one of the {len(best)} ways evaluated in full keeps every limit, so none is best: least far over, "
            f"{top.worst:.1f} times, is"
        )
    lines = [f"{first} {near_signs(top.way.up)}: {facts(top.way)}; it {stands_words(top.way)}."]
    if top.over:
        lines.append(
            f"Over there: {', '.join(top.over)}. Do not pour before it is cured; plan that way, which computes it in "
            "the real shape."
        )
    if top is drawn:
        lines.append(f"That is how the job has it{'' if top.over else ': it need not be turned'}.")
    else:
        lines += _against(top, drawn, f"the job's own way up ({near_signs(drawn.way.up)})")
    for other in best[1:]:
        if other is not drawn:
            lines += _against(top, other, f"the next best, {near_signs(other.way.up)}")
            break
    lines += _near(top, ways)
    if not top.over and not top.kept:
        lines.append("Its time above the caution temperature is within the limit, but not with the margin asked for.")
    if top.unknown:
        lines.append(f"Not computed, and so not known to be safe: {', '.join(top.unknown)}.")
    return tuple(lines)


def _against(top: Confirmed, other: Confirmed, name: str) -> list[str]:
    saves, costs = [], []
    for part, hours in top.way.hours.items():
        gain = other.way.hours[part] - hours
        words = f"{part} {_amount(top.way, part)} instead of {_amount(other.way, part)} ({abs(gain):.1f} h)"
        if gain > 0.05:
            saves.append((gain, words))
        elif gain < -0.05:
            costs.append((-gain, words))
    total = other.way.work_h - top.way.work_h
    lines = []
    if other.over and not top.over:
        lines.append(f"{name[0].upper()}{name[1:]} is over a limit ({', '.join(other.over)}); the best is not.")
    elif other.over and round(other.worst, 1) > round(top.worst, 1):
        lines.append(
            f"{name[0].upper()}{name[1:]} is over a limit {other.worst:.1f} times; this one {top.worst:.1f} times."
        )
    elif other.unknown and not top.unknown:
        lines.append(f"Of {name} it is not known whether it is safe ({', '.join(other.unknown)}); of the best it is.")
    if saves:
        chosen = "; ".join(words for _, words in sorted(saves, reverse=True))
        in_all = (
            f"it saves about {total:.1f} h of work in all" if total > 0 else f"it asks {-total:.1f} h more, but saves"
        )
        lines.append(f"Against {name} {in_all}: {chosen}.")
    if costs:
        lines.append(
            f"Against {name} it costs more in: {'; '.join(words for _, words in sorted(costs, reverse=True))}."
        )
    if not saves and not costs:
        lines.append(f"{name[0].upper()}{name[1:]} is as good within what can be told.")
    return lines


def _near(top: Confirmed, ways: list[Way]) -> list[str]:
    """How exactly it has to be held: the work of the directions close to it, on the coarse grid."""
    lean = np.degrees(np.arccos(np.clip([way.up @ top.way.up for way in ways], -1, 1)))
    close = [way.work_h for way, off in zip(ways, lean, strict=True) if off <= NEAR_DEG]
    if len(close) < 3:
        return []
    words = f"Within {NEAR_DEG:.0f} degrees of it the coarse look says {min(close):.1f} to {max(close):.1f} h"
    if max(close) - min(close) < 1.0:
        return [f"{words}: it need not be held to the degree."]
    return [f"{words}: it must be held closely, see the map."]


def _amount(way: Way, part: str) -> str:
    deep = float(way.pool_m[1:].sum() + way.pocket_m[~way.vented].sum())
    return {
        "hours to the last pour": f"{way.last_h:.1f} h",
        "pours": str(way.pours),
        "pools beyond the first": str(max(0, len(way.pool_m) - 1)),
        "drilled vents": str(way.drilled),
        "openings to close": str(len(way.close)),
        "cradle": "needed" if way.cradle_m > 0 else "not needed",
        "blocks under a tilt": "needed" if way.blocks_rad > 0 else "not needed",
        "peak pressure": f"{way.peak_pa / 1e3:.1f} kPa",
        "depth of pools and pockets": f"{deep * 1e3:.0f} mm",
        "height on the bench": f"{way.height_m * 1e3:.0f} mm",
    }[part]


def warnings_of(best: list[Confirmed], symmetry: Symmetry, coarse_m3: float) -> tuple[str, ...]:
    """What must not be forgotten about the ranking."""
    lines = [
        "Hours to the last pour and pours are those of a quick plan; what they and the rest of the work count against "
        "each other is our judgement, no published source: weigh it against your shop.",
        "Plan the way you choose before you pour: heat on fine cells, rise and the skin are computed there, not here.",
        "Whether it can be lifted into this position, and held by a cradle without marks, is not computed; items of "
        "the job are not in the balance.",
    ]
    top = best[0].way
    if top.close:
        lines.append(f"To be closed tight against foam: {', '.join(top.close)}; the board carries the head of foam.")
    if 0 < top.tip_rad < STEADY_RAD.value:
        lines.append("It tips easily on this side: hold it all the time it is poured.")
    lost = 1.0 - coarse_m3 / best[0].volume_m3
    if abs(lost) > VOLUME_SHARE:
        lines.append(
            f"The coarse cells hold {abs(lost) * 100:.0f} % {'less' if lost > 0 else 'more'} of the cavity than the "
            "fine ones: thin limbs were not seen in the search, only in the ways evaluated in full."
        )
    coarse = [c for c in best if abs(len(c.way.pocket_m) - len(c.coarse.pocket_m)) > 2]
    if coarse:
        lines.append(
            "On the fine cells some ways show other numbers of pockets than on the coarse ones: small pockets decide "
            "there, look at more directions with --confirm."
        )
    if symmetry.axis is not None or len(symmetry.turns) > 1:
        lines.append(f"The shell is symmetric ({symmetry.words}); turned within its symmetry a way is as good.")
    return tuple(lines)


def direction_line(up: np.ndarray) -> str:
    """The line for the job file.

    >>> direction_line(np.array([0.0, 0.6, 0.8]))
    'up = [0.0, 0.6, 0.8]'
    """
    x, y, z = (round(float(v), 6) + 0.0 for v in up)
    return f"up = [{x}, {y}, {z}]"
