"""The skin under the pressure of a lift, and the shores to set up before it, as lines."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.evaluation import Shore, SkinBulge
from pourwright.lifts import Lift
from pourwright.plan import LiftPlan
from pourwright.wording.checks import to_hold
from pourwright.wording.status import place_words

LEAST_BULGE = 5e-5  # [m]


def skin_lines(lift: Lift, plan: LiftPlan) -> list[str]:
    """Shores to set up first, then the bulge and its cross-check; nothing where only formulas judged."""
    if lift.number not in plan.bulges or not math.isfinite(plan.bulges[lift.number].used):
        return []
    bulge = plan.bulges[lift.number]
    lines = [f"SET UP BEFORE THIS LIFT: {words}" for words in set_up_words(lift, plan)]
    lines += _bulge_lines(bulge)
    if bulge.shores and math.isfinite(bulge.propped_m):
        lines.append(f"with its shores {bulge_words(bulge.propped_m)}")
    closed = units.pressure(bulge.closed_limit_pa) if math.isfinite(bulge.closed_limit_pa) else "unknown"
    lines.append(f"formula, as a cross-check: its weakest panel stands {closed}")
    return lines


def _bulge_lines(bulge: SkinBulge) -> list[str]:
    """How far it bulges of what it may, and its stress of what is allowed, each as what it is."""
    under = units.pressure(bulge.pressure_pa)
    stress_limit = units.pressure(bulge.stress_limit_pa)
    if bulge.beyond:
        return [
            f"how far the skin bulges out under {under} is not computable: {bulge.beyond}. It bulges too far from "
            f"{units.pressure(bulge.stands_pa)} on, where its bulge is {units.length(bulge.allowed_m)} or its stress "
            f"{stress_limit}, as allowed; worst {place_words(bulge.measures)}"
        ]
    return [
        f"the skin bulges out {bulge_words(bulge.outward_m)} under {under}, {units.share(bulge.bulge_used)} of the "
        f"bulge allowed where it is nearest to that, {place_words(bulge.measures)}; its stress is "
        f"{units.pressure(bulge.stress_pa)}, {units.share(bulge.stress_pa / bulge.stress_limit_pa)} of the "
        f"{stress_limit} allowed"
    ]


def set_up_words(lift: Lift, plan: LiftPlan) -> list[str]:
    """What to set up before a lift: its shores, and what holds the piece down."""
    if lift.number not in plan.bulges:
        return []
    bulge = plan.bulges[lift.number]
    words = [shore_words(shore) for shore in bulge.shores]
    if bulge.hold_down_n > 0:
        words.append(
            f"hold the piece down on flat ground with {to_hold(bulge.hold_down_n)} in all, what it weighs counted "
            "in: with less, the side it stands on bellies out and lifts it"
        )
    return words


def bulge_words(bulge_m: float) -> str:
    """A bulge in both systems; nobody measures less than a twentieth of a millimetre.

    >>> bulge_words(0.0021), bulge_words(3e-6)
    ('at most 2.1 mm (0.083 in)', 'less than 0.05 mm (0.002 in)')
    """
    return f"at most {units.length(bulge_m)}" if bulge_m >= LEAST_BULGE else f"less than {units.length(LEAST_BULGE)}"


def shore_words(shore: Shore) -> str:
    """A shore: where, what it holds and the size of its pad."""
    if shore.board_m is not None:
        wide, high = (units.length(side) for side in shore.board_m)
        return (
            f"board {shore.name} over the whole flat side, {wide} by {high}, middle {place_words(shore.measures)}, "
            f"held by four shores or clamps or more, {to_hold(shore.force_n)} in all; leave ports and vents free"
        )
    return (
        f"shore {shore.name} {place_words(shore.measures)}, square to the skin, pad or board "
        f"{units.length(2 * shore.pad_m)} across; it holds {to_hold(shore.force_n)}"
    )
