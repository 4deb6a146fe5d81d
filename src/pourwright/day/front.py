"""Which days of a search there is a reason to take: those that no other day is at least as good as in everything."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pourwright.day.model import Day

GRAIN = (1.0, 60.0, 1.0, 0.01, 60.0, 60.0)
"""What is told apart: whether limits are kept, seconds to the last pour, pours, kg of foam, seconds at temperature."""


def undominated(days: Sequence[Day], chosen: int | None = None) -> tuple[int, ...]:
    """Indices of the days that no other day is at least as good as in everything and better in something.

    Parameters
    ----------
    days : sequence of Day
    chosen : int, optional
        Always among them.

    Returns
    -------
    tuple of int
        In the order of ``days``. Of equal ones the first.

    Notes
    -----
    Compared are whether the limits are kept, hours to the last pour, pours, foam, and the dose at the likely heat and
    at its high end, as they are told: in whole minutes and hundredths of a kilogram.
    """
    if not days:
        return ()
    values = np.array(
        [
            (not day.keeps, 3600 * day.hours, len(day.stretches), day.foam_kg, 3600 * day.worst_h, _high_s(day))
            for day in days
        ]
    )
    values = np.round(values / GRAIN)
    out = []
    for k, mine in enumerate(values):
        as_good = (values <= mine).all(axis=1)
        better = as_good & ((values < mine).any(axis=1) | (np.arange(len(days)) < k))
        better[k] = False
        if k == chosen or not better.any():
            out.append(k)
    return tuple(out)


def _high_s(day: Day) -> float:
    return 3600 * day.high_h if day.high_h == day.high_h else 0.0
