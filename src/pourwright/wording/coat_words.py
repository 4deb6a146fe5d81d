"""Which coat of a lining is meant, and which side of the piece is up for it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pourwright.lining import Coat
from pourwright.plan import LinedPlan

SIDES = (("left", "right"), ("front", "back"), ("bottom", "top"))


def coat_name(plan: LinedPlan, coat: Coat) -> str:
    """Its number, and the parts that it is for where it is not for all."""
    names = [part.name for part in plan.lining.parts if part.number in coat.aims]
    return f"{coat.number}, {' and '.join(names)} only" if names else str(coat.number)


def up_words(up: Sequence[float] | np.ndarray) -> str:
    """A direction as three numbers.

    >>> up_words((0.0, -1.0, 0.0))
    '(0.00, -1.00, 0.00)'
    """
    return f"({', '.join(f'{value + 0.0:.2f}' for value in up)})"


def side_words(way: np.ndarray) -> str:
    """Which side of the standing piece a direction is.

    >>> side_words(np.array([0.0, 0.0, 1.0])), side_words(np.array([-0.7, 0.1, 0.7]))
    ('top', 'top left')
    """
    named = [pair[int(value > 0)] for pair, value in zip(SIDES, way, strict=True) if abs(value) > 0.3]
    return " ".join(reversed(named))
