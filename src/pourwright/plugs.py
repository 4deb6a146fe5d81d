"""What closes each hole, against what force, and when it may come out again."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourwright.lifts import Closing, Division, Lift, Pour
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
