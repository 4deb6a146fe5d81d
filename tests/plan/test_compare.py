"""Which alternative beats which, by hand."""

import math
from dataclasses import replace
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from pourwright.plan import Alternative, with_beaten
from pourwright.ranges import Range

ONE = Alternative("one", Range.exact(5.0), Range.exact(40.0), 1.2, 2.0, 5, 7, 50.0, 1.0, 60.0, (), ())


def beaten(*alternatives):
    return {one.name: one.beaten_by for one in with_beaten(alternatives)}


def test_lighter_and_the_rest_the_same_beats():
    assert beaten(ONE, replace(ONE, name="two", total_kg=Range.exact(39.0))) == {"one": "two", "two": ""}


def test_lighter_but_softer_does_not():
    assert beaten(ONE, replace(ONE, name="two", total_kg=Range.exact(39.0), panel=1.9)) == {"one": "", "two": ""}


def test_equals_do_not_beat_each_other():
    assert beaten(ONE, replace(ONE, name="two")) == {"one": "", "two": ""}


def test_over_a_limit_beats_nobody_that_keeps_it():
    two = replace(ONE, name="two", total_kg=Range.exact(30.0), over=("pressure on the skin",))
    assert beaten(ONE, two) == {"one": "", "two": ""}


def test_over_a_limit_is_never_the_best_of_those_over_it():
    two = replace(ONE, name="two", total_kg=Range.exact(30.0), over=("flow distance",))
    assert beaten(replace(ONE, over=("flow distance",)), two) == {"one": "", "two": ""}
    assert beaten(replace(ONE, over=("flow distance", "heat")), two) == {"one": "", "two": ""}


def test_keeping_a_limit_the_other_exceeds_beats():
    assert beaten(replace(ONE, over=("flow distance",)), replace(ONE, name="two")) == {"one": "two", "two": ""}


def test_what_is_not_known_is_not_taken_as_good():
    two = replace(ONE, name="two", total_kg=Range.exact(30.0), panel=math.nan)
    assert beaten(ONE, two) == {"one": "", "two": ""}


def test_without_prices_cost_is_left_out():
    free = replace(ONE, cost=math.nan)
    assert beaten(free, replace(free, name="two", lifts=4)) == {"one": "two", "two": ""}


values = st.integers(1, 3)


@given(st.lists(st.tuples(values, values, values, values), min_size=1, max_size=6))
def test_someone_is_never_beaten_and_order_does_not_matter(rows):
    made = [
        replace(ONE, name=str(k), total_kg=Range.exact(float(kg)), panel=float(panel), lifts=lifts, hours=float(hours))
        for k, (kg, panel, lifts, hours) in enumerate(rows)
    ]
    first = {name for name, by in beaten(*made).items() if not by}
    assert first
    for order in list(permutations(made))[:24]:
        assert {name for name, by in beaten(*order).items() if not by} == first
