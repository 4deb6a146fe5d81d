"""The pint registry, and its exact twin for what people type."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pint

ureg: pint.UnitRegistry[float] = pint.UnitRegistry()
pint.set_application_registry(ureg)  # type: ignore[no-untyped-call]


@cache
def _exact() -> pint.UnitRegistry[Fraction]:
    return pint.UnitRegistry(non_int_type=Fraction)


def exact_si(number: Fraction, unit: str, si: str) -> Fraction:
    """``number`` of ``unit`` in ``si`` without rounding; both spelled as pint does, of one dimension.

    >>> exact_si(Fraction(50), "liter", "meter**3"), float(exact_si(Fraction(1, 2), "inch", "meter"))
    (Fraction(1, 20), 0.0127)
    """
    return Fraction(_exact().Quantity(number, unit).to(si).magnitude)
