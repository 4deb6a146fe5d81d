"""The skin under the pressure of a lift, and the shores to set up before it, as lines."""

from __future__ import annotations

import math

from pourwright import units
from pourwright.lifts import Lift, Shore, SkinBow
from pourwright.wording.checks import force
from pourwright.wording.status import place_words

LEAST_BOW = 5e-5  # [m]


def skin_lines(lift: Lift) -> list[str]:
    """Shores to set up first, then the bow and its cross-check; nothing where only closed forms judged."""
    bow = lift.bow
    if bow is None or not math.isfinite(bow.used):
        return []
    lines = [f"SET UP BEFORE THIS LIFT: {words}" for words in set_up_words(lift)]
    lines += _bow_lines(bow)
    if bow.shores and math.isfinite(bow.propped_m):
        lines.append(f"with its shores {bow_words(bow.propped_m)}")
    closed = units.pressure(bow.closed_limit_pa) if math.isfinite(bow.closed_limit_pa) else "unknown"
    lines.append(f"closed form, as a cross-check: its weakest panel stands {closed}")
    return lines


def _bow_lines(bow: SkinBow) -> list[str]:
    """How far it bows of what it may, and its stress of what is allowed, each as what it is."""
    under = units.pressure(bow.pressure_pa)
    stress_limit = units.pressure(bow.stress_limit_pa)
    if bow.beyond:
        return [
            f"how far the skin bows out under {under} is not computable: {bow.beyond}. It bows too far from "
            f"{units.pressure(bow.stands_pa)} on, where its bow is {units.length(bow.allowed_m)} or its stress "
            f"{stress_limit}, as allowed; worst {place_words(bow.measures)}"
        ]
    return [
        f"the skin bows out {bow_words(bow.outward_m)} under {under}, {units.share(bow.bow_used)} of the bow it may "
        f"where it is nearest to that, {place_words(bow.measures)}; its stress is {units.pressure(bow.stress_pa)}, "
        f"{units.share(bow.stress_pa / bow.stress_limit_pa)} of the {stress_limit} allowed"
    ]


def set_up_words(lift: Lift) -> list[str]:
    """What to set up before a lift: its shores, and what holds the piece down."""
    if lift.bow is None:
        return []
    words = [shore_words(shore) for shore in lift.bow.shores]
    if lift.bow.hold_down_n > 0:
        words.append(
            f"hold the piece down on flat ground with {force(lift.bow.hold_down_n)} in all, what it weighs counted in: "
            "with less, the side it stands on bellies out and lifts it"
        )
    return words


def bow_words(bow_m: float) -> str:
    """A bow in both systems; nobody measures less than a twentieth of a millimetre.

    >>> bow_words(0.0021), bow_words(3e-6)
    ('at most 2.1 mm (0.083 in)', 'less than 0.05 mm (0.002 in)')
    """
    return f"at most {units.length(bow_m)}" if bow_m >= LEAST_BOW else f"less than {units.length(LEAST_BOW)}"


def shore_words(shore: Shore) -> str:
    """A shore: where, what it holds and the size of its pad."""
    if shore.board_m is not None:
        wide, high = (units.length(side) for side in shore.board_m)
        return (
            f"board {shore.name} over the whole flat side, {wide} by {high}, middle {place_words(shore.measures)}, "
            f"held by four shores or clamps or more, {force(shore.force_n)} in all; leave ports and vents free"
        )
    return (
        f"shore {shore.name} {place_words(shore.measures)}, square to the skin, pad or board "
        f"{units.length(2 * shore.pad_m)} across; it holds {force(shore.force_n)}"
    )
