"""What the scale shows of a part that was filled by machine, and from where on it is no good part."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pourwright.lifts import Pour
from pourwright.ranges import Range
from pourwright.shot.window import Window


@dataclass(frozen=True, slots=True)
class ScaleWeight:
    """Weights to see. The gain, full less empty, tells of the foam alone; the whole also of its wall."""

    gain_kg: float  # foam of one part
    gain_low_kg: float  # less leaves a void; nan: not known
    gain_high_kg: float  # more presses harder than the fixture bears
    part_kg: Range


def scale_weight(pours: Iterable[Pour], window: Window, part_kg: Range) -> ScaleWeight:
    """What the scale shows.

    Parameters
    ----------
    pours : iterable of Pour
    window : Window
        Those that meet a cap hold as much foam as they are packed; those below a free surface hold what they do.
    part_kg : Range
        Skin and foam.
    """
    closed, free = 0.0, 0.0
    for pour in pours:
        if pour.closes:
            closed += pour.foam_kg.nominal
        else:
            free += pour.foam_kg.nominal
    low, high = (free + closed * packing / window.chosen for packing in (window.lowest, window.highest))
    return ScaleWeight(free + closed, low, high, part_kg)
