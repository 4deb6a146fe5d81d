"""A value with its low and high: the way uncertainty travels through the plan."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True, slots=True)
class Range:
    """Low, nominal and high of one quantity, in the SI unit that the field's name carries; all nan: not known.

    Sums and products are interval ones (low with low, high with high): the parts share their
    causes (one batch of foam, one wall thickness), so they are not combined in quadrature.

    >>> Range(1.0, 2.0, 3.0) + Range(0.5, 0.5, 0.5)
    Range(low=1.5, nominal=2.5, high=3.5)
    >>> Range.about(10.0, 0.1).high
    11.0
    """

    low: float
    nominal: float
    high: float

    def __post_init__(self) -> None:
        known = not all(math.isnan(value) for value in (self.low, self.nominal, self.high))
        if known and not self.low <= self.nominal <= self.high:
            raise ValueError(f"a range needs low <= nominal <= high, got {self.low}, {self.nominal}, {self.high}")

    @classmethod
    def exact(cls, value: float) -> Range:
        """A value without spread."""
        return cls(value, value, value)

    @classmethod
    def about(cls, value: float, fraction: float) -> Range:
        """``value`` plus or minus ``fraction`` of it (value and fraction not negative)."""
        return cls(value * (1 - fraction), value, value * (1 + fraction))

    @classmethod
    def of_rows(cls, values: np.ndarray) -> Range:
        """Least, nominal and greatest of values (c,) at every corner of what is not known, row 0 the nominal one.

        >>> import numpy as np
        >>> Range.of_rows(np.array([2.0, 1.0, 4.0]))
        Range(low=1.0, nominal=2.0, high=4.0)
        """
        return cls(float(values.min()), float(values[0]), float(values.max()))

    @classmethod
    def sum(cls, parts: Iterable[Range]) -> Range:
        """Interval sum; zero for no parts."""
        total = cls.exact(0.0)
        for part in parts:
            total = total + part
        return total

    def __add__(self, other: Range) -> Range:
        return Range(self.low + other.low, self.nominal + other.nominal, self.high + other.high)

    def __mul__(self, other: Range | float) -> Range:
        """Product of two ranges that are not negative, or of a range and a factor that is not negative."""
        if isinstance(other, Range):
            return Range(self.low * other.low, self.nominal * other.nominal, self.high * other.high)
        return Range(self.low * other, self.nominal * other, self.high * other)

    __rmul__ = __mul__
