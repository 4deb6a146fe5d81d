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


@cache
def _exact() -> pint.UnitRegistry[Fraction]:
    return _made(non_int_type=Fraction)


def exact_si(number: Fraction, unit: str, si: str) -> Fraction:
    """``number`` of ``unit`` in ``si`` without rounding; both spelled as pint does, of one dimension.

    >>> exact_si(Fraction(50), "liter", "meter**3"), float(exact_si(Fraction(1, 2), "inch", "meter"))
    (Fraction(1, 20), 0.0127)
    """
    return Fraction(_exact().Quantity(number, unit).to(si).magnitude)
