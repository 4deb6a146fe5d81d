"""The days that are shown: none of them is beaten in everything, and every one left out is."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.day.front import undominated
from pourwright.day.model import Day, Stretch


def day(pours, minutes, dose_min, high_min, kg, keeps):
    start = np.linspace(0.0, 60.0 * minutes, pours)
    dose = np.full(pours, dose_min / 60.0)
    return Day(
        tuple(Stretch(0, k, k + 1) for k in range(pours)), start, dose, high_min / 60.0, start, keeps, kg, 1
    )  # fmt: skip


def beats(a, b):
    """Whether ``a`` is at least as good as ``b`` in everything that is told, and better in something."""
    return as_good(a, b) and told(a) != told(b)


def as_good(a, b):
    return all(x <= y for x, y in zip(told(a), told(b), strict=True))


def told(one):
    return (
        not one.keeps, round(one.hours * 60), len(one.stretches), round(one.foam_kg * 100),
        round(one.worst_h * 60), round(one.high_h * 60),
    )  # fmt: skip


some = st.builds(
    day, st.integers(2, 5), st.integers(1, 5), st.integers(1, 3), st.integers(3, 5), st.sampled_from([4.0, 4.5, 5.0]),
    st.booleans(),
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(st.lists(some, min_size=1, max_size=9), st.data())
def test_no_day_that_is_shown_is_beaten_and_every_one_left_out_is(days, data):
    chosen = data.draw(st.integers(0, len(days) - 1))
    shown = undominated(days, chosen)
    assert chosen in shown
    for k in shown:
        assert k == chosen or not any(beats(days[j], days[k]) for j in range(len(days)))
    without = undominated(days)
    for k in set(range(len(days))) - set(without):
        assert any(as_good(days[j], days[k]) for j in without)
