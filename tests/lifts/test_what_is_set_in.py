"""Pouring places keep clear of what is set in; by its solid: tests/validation/test_streams_past_bolts.py."""

from __future__ import annotations

import numpy as np
import trimesh
from tests.lifts.conftest import box as cuboid

from pourwright.access import near_any, set_before
from pourwright.irons import rod

SHAFT = rod("bolt", [0.25, 0.2, 0.305], [0.25, 0.2, 0.11], 0.03)
HEAD = rod("bolt", [0.25, 0.2, 0.13], [0.25, 0.2, 0.11], 0.12)
TUB = cuboid(0, 0.5, 0, 0.4, 0, 0.31)
TOP = TUB.face_normals[:, 2] > 0.9  # open


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
