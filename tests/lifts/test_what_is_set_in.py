"""Pouring places keep clear of what is set into the cavity: against distances that trimesh finds from its solid."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from tests.lifts.conftest import box as cuboid

from pourwright.access import near_any, set_before
from pourwright.irons import rod

SHAFT = rod("bolt", [0.25, 0.2, 0.305], [0.25, 0.2, 0.11], 0.03)
HEAD = rod("bolt", [0.25, 0.2, 0.13], [0.25, 0.2, 0.11], 0.12)
CLEAR = 0.015
TUB = cuboid(0, 0.5, 0, 0.4, 0, 0.31)
TOP = TUB.face_normals[:, 2] > 0.9  # open


def _solid(iron):
    ends = [iron.middle_m + way * iron.half_m[0] * iron.axes[0] for way in (-1, 1)]
    return trimesh.creation.cylinder(radius=iron.half_m[1], segment=ends, sections=96)


def _off(made, landing, irons):
    """Distance of a stream from solids, from the clearance over its landing up to its hole."""
    top = landing.measures.from_base_m
    x, y, low = made.frame.to_standing(landing.point_m)
    line = np.column_stack([np.full(300, x), np.full(300, y), np.linspace(low + CLEAR, top, 300)])
    return min(float((-trimesh.proximity.signed_distance(_solid(iron), line)).min()) for iron in irons)


def _streams(made):
    return [(lift.number, one) for lift in made.plan.lifts for pour in lift.pours for one in pour.landings]


@pytest.mark.parametrize("shell", ["tub", "box"])
def test_no_stream_falls_on_a_bolt_from_the_lift_on_that_reaches_it(planned, shell):
    """A bolt of 30 mm with a head of 120 mm hangs in the middle: it is poured past, through the top or by a hole."""
    cap = TOP if shell == "tub" else None
    free, held = (planned(TUB, cell=0.01, cap=cap, set_in=irons) for irons in ((), (SHAFT, HEAD)))
    reached = next(lift.number for lift in held.plan.lifts if lift.top_m > 0.11)
    assert [round(lift.top_m, 6) for lift in free.plan.lifts] == [round(lift.top_m, 6) for lift in held.plan.lifts]
    past = [_off(held, one, (SHAFT, HEAD)) for number, one in _streams(held) if number >= reached]
    assert past
    assert min(past) >= CLEAR - 1e-4
    if shell == "tub":  # without the bolt it is poured where the bolt would be: the test is of the bolt
        assert min(_off(free, one, (SHAFT, HEAD)) for number, one in _streams(free) if number >= reached) < CLEAR


def test_where_there_is_no_other_place_a_stream_still_comes_down(planned):
    """A pipe of 70 mm inside with a head of 60 mm in it: nothing clears that, and the pour is not left without."""
    pipe = trimesh.creation.cylinder(radius=0.04, height=0.4, sections=96)
    head = rod("bolt", [0.04, 0.04, 0.21], [0.04, 0.04, 0.19], 0.06)
    made = planned(pipe, cell=0.005, set_in=(head,))
    assert all(pour.landings for lift in made.plan.lifts for pour in lift.pours)


def test_a_thing_stands_from_the_first_lift_of_any_of_its_parts(planned):
    """The bolt's head is reached by the lift at 0.11 m, its shaft by later ones: both stand from the first."""
    made = planned(TUB, cell=0.01, cap=TOP)
    pours = [np.concatenate([pour.nodes for pour in lift.pours]) for lift in made.plan.lifts]
    numbers = [lift.number for lift in made.plan.lifts]
    before = set_before((SHAFT, HEAD), made.cavity, made.graph, pours, numbers)
    first = next(lift.number for lift in made.plan.lifts if lift.top_m > 0.11)
    assert before.lift == (first, first)
    for row, number in enumerate(numbers):
        assert len(before.at(row)) == (2 if number >= first else 0)
    later = set_before((SHAFT, HEAD), made.cavity, made.graph, pours, [number + 5 for number in numbers])
    assert later.lift == (first + 5, first + 5)


def test_lines_near_a_thing_by_distance(planned):
    """Lines 14 and 16 mm beside a head of 120 mm, and one over it that ends higher up."""
    at = np.array([[0.25 + 0.06 + 0.014, 0.2], [0.25 + 0.06 + 0.016, 0.2], [0.25 + 0.06 + 0.005, 0.2]])
    low, high = np.array([0.0, 0.0, 0.15]), np.array([0.3, 0.3, 0.3])
    assert near_any((SHAFT, HEAD), at, low, high).tolist() == [True, False, False]
