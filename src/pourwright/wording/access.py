"""Level ceilings and the tilt of a piece, as a person reads them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pourwright import units

LEAST_BLOCK_M = 0.001  # thinner is no block
SIDES = (("right", "left"), ("back", "front"))

if TYPE_CHECKING:
    from pourwright.access import CeilingAir, Tilt
    from pourwright.lifts import Division


def ceiling_lines(plan: Division) -> list[str]:
    """What is level overhead, what lets the air out from under it, and the tilt that would do instead.

    Nothing of ceilings from under which all air goes on up by itself: there is nothing to be done.
    """
    lines = [_ceiling(one) for one in plan.ceilings if one.vents or one.cover.air_m3 > 0]
    if plan.tilt is not None:
        lines.append(tilt_words(plan.tilt))
    return lines


def _ceiling(one: CeilingAir) -> str:
    high = (
        f"ceiling {one.name}, {units.area(one.ceiling.area_m2)}, level at {units.length(one.ceiling.crown_m[2])} up: "
    )
    if one.vents:
        high += f"air stays in its corners, so {_listed(one.vents)} lie{'s' if len(one.vents) == 1 else ''} there"
    else:
        high += "NO vent lies over it"
    if one.cover.air_m3 > 0:
        bare = int(one.cover.corner.sum())
        where = f" in {bare} corner{'' if bare == 1 else 's'} without a vent" if bare else ""
        high += f"; about {units.volume(one.cover.air_m3)} of air stays{where}"
    return high


def block_words(right_m: float, back_m: float) -> list[str]:
    """Blocks under the edges of a piece."""
    return [
        f"{units.tape(abs(block))} under its {names[0] if block > 0 else names[1]} edge"
        for block, names in zip((right_m, back_m), SIDES, strict=True)
        if abs(block) >= LEAST_BLOCK_M
    ]


def tilt_words(tilt: Tilt) -> str:
    """How to tilt a piece, and with what under which edge."""
    blocks = block_words(tilt.right_m, tilt.back_m)
    up = ", ".join(f"{part:.3f}" for part in tilt.up)
    both = f" (the corner between comes up by {units.tape(abs(tilt.right_m) + abs(tilt.back_m))})"
    many = len(tilt.to_m)
    does = "leads all of that air to one vent" if many == 1 else f"leads that air to one vent for each of the {many}"
    if not many:
        does = "leads all of that air on up"
    return (
        f"or tilt the piece: {' and '.join(blocks)}{both if len(blocks) > 1 else ''}, "
        f"{math.degrees(tilt.angle_rad):.1f}\u00b0 in all, {does}: plan it so, its up leaning by that ({up} of it as "
        "it stands: to the right, to the back, up; --drawings draws the blocks, wedges.svg)"
    )


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
