"""The bounds of a quantity in words: what is said to be allowed is allowed, in both systems."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal

from pourwright.units.reading import Kind, QuantityError, read

MOST_STEPS = 5
"""Steps of the last digit that a bound is moved inwards at most."""
LARGE = 100_000
_FIGURE = re.compile(r"-?\d+(?:\.\d+)?")


def range_words(kind: Kind, show: Callable[[float], str], low: float, high: float) -> str:
    """Two bounds (SI, both allowed) as ``show`` writes them, each figure rounded to the inside.

    >>> from pourwright.units import LENGTH, length
    >>> range_words(LENGTH, length, 0.02, 0.5)
    'from 20 mm (0.788 in) to 500 mm (19.6 in)'
    """
    return f"from {_inside(show(low), kind, low, high)} to {_inside(show(high), kind, low, high)}"


def _inside(text: str, kind: Kind, low: float, high: float) -> str:
    """``text``, each system's last digit moved until what it says lies between the bounds."""
    pair = re.fullmatch(r"(.+?) \((.+)\)", text)
    if pair is None:
        return _moved(text, kind, low, high)
    return f"{_moved(pair[1], kind, low, high)} ({_moved(pair[2], kind, low, high)})"


def _moved(text: str, kind: Kind, low: float, high: float) -> str:
    figure = _FIGURE.match(text)
    if figure is None:
        return text
    number = Decimal(figure[0])
    rounded = len(figure[0]) - len(figure[0].rstrip("0")) if number >= LARGE else 0  # 943000 psi is known to 1000
    step = Decimal(1).scaleb(int(number.as_tuple().exponent) + rounded)
    for _ in range(MOST_STEPS):
        moved = f"{number}{text[figure.end() :]}"
        try:
            value = read(moved, kind)
        except QuantityError:  # below absolute zero
            value = -float("inf")
        if low <= value <= high:
            return moved
        number += step if value < low else -step
    return text
