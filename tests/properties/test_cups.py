"""Cups of people who pour at the same time: together they are the pour, and nobody has a hole of another's."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourwright.foam import Parts
from pourwright.lifts import ShopLimits
from pourwright.report.cups import cups_of, weighed_for

HOLES = st.lists(st.tuples(st.floats(0.05, 5.0), st.none() | st.floats(0.0, 0.2)), min_size=1, max_size=6)


def pour_of(holes):
    made = [SimpleNamespace(kg=kg, tube=None if left is None else SimpleNamespace(left_kg=left)) for kg, left in holes]
    kg = sum(kg for kg, _ in holes)
    parts = Parts(0.53 * kg, 0.47 * kg, 0.53 * kg / 1230.0, 0.47 * kg / 1070.0)
    return SimpleNamespace(landings=made, batches=1, checks=(), parts=parts)


@given(holes=HOLES, hands=st.integers(1, 4))
def test_all_cups_together_are_what_goes_in_and_what_stays_in_tubes(holes, hands):
    pour = pour_of(holes)
    cups = cups_of(pour, ShopLimits(hands=hands))
    if not cups:
        return
    assert len(cups) <= hands
    assert sorted(map(id, pour.landings)) == sorted(id(hole) for cup in cups for hole in cup)
    weighed = sum(weighed_for(pour, cup).total_kg for cup in cups)
    assert weighed == pytest.approx(sum(kg + (left or 0.0) for kg, left in holes))
    for cup in cups:
        due = sum(hole.kg + (hole.tube.left_kg if hole.tube else 0.0) for hole in cup)
        assert weighed_for(pour, cup).total_kg == pytest.approx(due)
