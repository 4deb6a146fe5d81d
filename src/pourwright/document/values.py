"""Small steps from SI values to what a document holds."""

from __future__ import annotations

import math
from collections.abc import Iterable

from pourwright.document.model_parts import Point, RangeDoc
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.ranges import Range


def known(value: float) -> float | None:
    """The value, or None where it is NaN or infinite.

    >>> known(1.5), known(float("nan"))
    (1.5, None)
    """
    value = float(value)
    return value if math.isfinite(value) else None


def celsius(value_k: float) -> float:
    """Kelvin to degrees Celsius."""
    return float(value_k) - ZERO_CELSIUS_K


def point(values: Iterable[float]) -> Point:
    """Three floats."""
    x, y, z = (float(value) for value in values)
    return x, y, z


def range_block(value: Range, offset: float = 0.0, factor: float = 1.0) -> RangeDoc:
    """A range, times ``factor`` plus ``offset``.

    >>> range_block(Range(1.0, 2.0, float("inf"))).model_dump()
    {'low': 1.0, 'nominal': 2.0, 'high': None}
    """
    low, nominal, high = (known(part * factor + offset) for part in (value.low, value.nominal, value.high))
    return RangeDoc(low=low, nominal=nominal, high=high)
