"""The pint registry, and its exact twin for what people type."""

from __future__ import annotations

import contextlib
from fractions import Fraction
from functools import cache
from typing import Any

import pint

from pourwright import caches


def _made(**options: Any) -> pint.UnitRegistry[Any]:
    """A registry, its units as they were read the last time where they are kept: they take longer to read than most
    answers to find. Whatever is wrong with what is kept, they are read anew."""
    folder = caches.own()
    if folder is not None:
        with contextlib.suppress(Exception):
            return pint.UnitRegistry(cache_folder=folder / f"units-{pint.__version__}", **options)
    return pint.UnitRegistry(**options)


ureg: pint.UnitRegistry[float] = _made()
pint.set_application_registry(ureg)  # type: ignore[no-untyped-call]


PLAIN: dict[tuple[str, str], tuple[Fraction, Fraction]] = {
    ("meter", "meter"): (Fraction(1), Fraction(0)),
    ("centimeter", "meter"): (Fraction(1, 100), Fraction(0)),
    ("millimeter", "meter"): (Fraction(1, 1000), Fraction(0)),
    ("liter", "meter**3"): (Fraction(1, 1000), Fraction(0)),
    ("milliliter", "meter**3"): (Fraction(1, 1_000_000), Fraction(0)),
    ("kilogram", "kilogram"): (Fraction(1), Fraction(0)),
    ("gram", "kilogram"): (Fraction(1, 1000), Fraction(0)),
    ("second", "second"): (Fraction(1), Fraction(0)),
    ("minute", "second"): (Fraction(60), Fraction(0)),
    ("newton", "newton"): (Fraction(1), Fraction(0)),
    ("kilonewton", "newton"): (Fraction(1000), Fraction(0)),
    ("kelvin", "kelvin"): (Fraction(1), Fraction(0)),
    ("degree_Celsius", "kelvin"): (Fraction(1), Fraction("273.15")),
}
"""Times and plus of what most jobs are written in: for these the exact twin, slow to make, is not asked."""


@cache
def _exact() -> pint.UnitRegistry[Fraction]:
    return _made(non_int_type=Fraction)


def exact_si(number: Fraction, unit: str, si: str) -> Fraction:
    """``number`` of ``unit`` in ``si`` without rounding; both spelled as pint does, of one dimension.

    >>> exact_si(Fraction(50), "liter", "meter**3"), float(exact_si(Fraction(1, 2), "inch", "meter"))
    (Fraction(1, 20), 0.0127)
    """
    if (unit, si) in PLAIN:
        times, plus = PLAIN[unit, si]
        return number * times + plus
    return Fraction(_exact().Quantity(number, unit).to(si).magnitude)
