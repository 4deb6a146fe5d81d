"""Which alternative beats which, by hand."""

import math
from dataclasses import replace
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from pourwright.plan import Alternative, with_beaten
from pourwright.ranges import Range

ONE = Alternative(
    name="one", foam_kg=Range.exact(5.0), total_kg=Range.exact(40.0), body=1.2, panel=2.0, lifts=5, pours=7, last_h=4.0,
    hours=50.0, dose_h=0.5, dose_high_h=1.2, counted_h=5.2, work_hours=1.0, cost=60.0, over=(), unknown=(),
)  # fmt: skip


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
    assert beaten(free, replace(free, name="two", pours=6)) == {"one": "two", "two": ""}


def best(*alternatives):
    return [one.name for one in with_beaten(alternatives) if one.best]


def test_best_is_the_soonest_day_that_keeps_every_limit():
    soon, late = replace(ONE, name="soon", counted_h=3.0), replace(ONE, name="late", counted_h=9.0)
    assert best(late, soon, ONE) == ["soon"]
    assert best(replace(soon, over=("time above scorch",)), ONE, late) == ["one"]
    assert best(replace(soon, unknown=("pressure on the skin",)), ONE, late) == ["one"]
    assert best(replace(soon, counted_h=math.nan), ONE) == ["one"]
    assert best(replace(ONE, over=("flow distance",)), replace(late, over=("heat",))) == []


values = st.integers(1, 3)


@given(st.lists(st.tuples(values, values, values, values), min_size=1, max_size=6))
def test_someone_is_never_beaten_and_order_does_not_matter(rows):
    made = [
        replace(ONE, name=str(k), total_kg=Range.exact(float(kg)), panel=float(panel), pours=pours, hours=float(hours))
        for k, (kg, panel, pours, hours) in enumerate(rows)
    ]
    first = {name for name, by in beaten(*made).items() if not by}
    assert first
    for order in list(permutations(made))[:24]:
        assert {name for name, by in beaten(*order).items() if not by} == first


@given(st.lists(st.tuples(values, st.booleans(), st.booleans()), min_size=1, max_size=6))
def test_one_over_a_limit_or_not_known_is_never_best(rows):
    made = [
        replace(
            ONE, name=str(k), counted_h=float(h), over=("heat",) if over else (), unknown=("bulge",) if dark else ()
        )
        for k, (h, over, dark) in enumerate(rows)
    ]
    sound = [k for k, (_, over, dark) in enumerate(rows) if not over and not dark]
    chosen = best(*made)
    assert len(chosen) == bool(sound)
    assert all(int(name) in sound for name in chosen)
    assert all(rows[int(name)][0] == min(rows[k][0] for k in sound) for name in chosen)
