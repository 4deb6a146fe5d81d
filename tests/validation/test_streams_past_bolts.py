"""Streams past a bolt that hangs in the cavity: distances from its solid by trimesh, along every fall of a plan."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import Space, build_cavity, build_levels
from pourwright.foam import Conditions, at_conditions, load_grade
from pourwright.irons import rod
from pourwright.lifts import ShopLimits, plan_lifts
from pourwright.panels import panels

SHAFT = rod("bolt", [0.25, 0.2, 0.305], [0.25, 0.2, 0.11], 0.03)
HEAD = rod("bolt", [0.25, 0.2, 0.13], [0.25, 0.2, 0.11], 0.12)
CLEAR = 0.015
TUB = trimesh.creation.box(bounds=[[0.0, 0.0, 0.0], [0.5, 0.4, 0.31]])
TOP = TUB.face_normals[:, 2] > 0.9  # open


def _solid(iron):
    ends = [iron.middle_m + way * iron.half_m[0] * iron.axes[0] for way in (-1, 1)]
    return trimesh.creation.cylinder(radius=iron.half_m[1], segment=ends, sections=96)


def _off(frame, landing, irons):
    """Distance of a stream from solids, from the clearance over its landing up to its hole."""
    top = landing.measures.from_base_m
    x, y, low = frame.to_standing(landing.point_m)
    line = np.column_stack([np.full(300, x), np.full(300, y), np.linspace(low + CLEAR, top, 300)])
    return min(float((-trimesh.proximity.signed_distance(_solid(iron), line)).min()) for iron in irons)


@pytest.fixture(scope="module")
def lifts_of(skin_of, stand):
    """``lifts_of(shell, set_in)``: the frame, and the lifts of a tub that is open at its top, or shut as a box."""

    def make(shell, set_in):
        skin = skin_of(TUB, 0.005, cap=TOP if shell == "tub" else None)
        frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
        cavity = build_cavity(skin, frame, cell_m=0.01)
        space = Space(skin, cavity, build_levels(cavity), panels(skin, 16), set_in)
        foam = at_conditions(load_grade("rigid-3"), Conditions(295.372, 295.372, 295.372))
        return frame, plan_lifts(space, foam, ShopLimits()).lifts

    return make


def _nearest(frame, lifts, irons, first):
    after = [pour for lift in lifts if lift.number >= first for pour in lift.pours]
    return min(_off(frame, landing, irons) for pour in after for landing in pour.landings)


@pytest.mark.parametrize("shell", ["tub", "box"])
def test_no_stream_falls_on_a_bolt_from_the_lift_on_that_reaches_it(lifts_of, shell):
    """A bolt of 30 mm with a head of 120 mm hangs in the middle: it is poured past, through the top or by a hole."""
    bolt = (SHAFT, HEAD)
    (frame, free), (_, held) = (lifts_of(shell, set_in) for set_in in ((), bolt))
    assert [round(lift.top_m, 6) for lift in free] == [round(lift.top_m, 6) for lift in held]
    reached = next(lift.number for lift in held if lift.top_m > 0.11)
    assert _nearest(frame, held, bolt, reached) >= CLEAR - 1e-4
    if shell == "tub":  # without the bolt it is poured where the bolt would be: the test is of the bolt
        assert _nearest(frame, free, bolt, reached) < CLEAR


def test_what_only_the_first_lift_reaches_is_poured_past_in_that_lift(lifts_of):
    """A stub of 120 mm, 40 mm high, where the first lift would come down; the second covers what stands on it."""
    stub = (rod("stub", [0.305, 0.205, 0.1], [0.305, 0.205, 0.06], 0.12),)
    (frame, free), (_, held) = (lifts_of("tub", set_in) for set_in in ((), stub))
    assert free[0].top_m > 0.1
    assert _nearest(frame, free[:1], stub, 1) < CLEAR
    assert _nearest(frame, held[:1], stub, 1) >= CLEAR - 1e-4
