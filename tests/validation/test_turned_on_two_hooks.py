"""Turning on two hooks against the rest of a rigid body: the pose of least potential energy, found by scipy over all
turns in space, and the rope's force as the work of lifting it (virtual work); chocks against the equations of balance
by least squares; a spreader bar by the triangle of its forces."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation
from tests.reference.told import told

from pourwright.errors import UsageError
from pourwright.findings import Code
from pourwright.moving import move
from pourwright.moving.cradle import chock_shares
from pourwright.moving.move import side_share
from pourwright.moving.tail import tail_share, tailing
from pourwright.outcome import Hang, Hook, Leg, Moving, Site, Spot, refusals, unknowns

G = 9.80665
UP = np.array([0.0, 0.0, 1.0])


def at_rest(tail, centre, below):
    """Height of the centre of mass under the main hook at rest with the tail held ``below`` (m) under it.

    Any turn that puts the tail at its height is allowed; the tail's own place is free, as its rope is plumb.
    """
    apart = float(np.linalg.norm(tail))

    def turned(free):
        # The tail point anywhere on its level: a heading does not matter, the roll about the line does.
        aim = np.array([math.sqrt(apart**2 - below**2), 0.0, -below])
        first, _ = Rotation.align_vectors([aim], [tail])
        return Rotation.from_rotvec(free * aim / apart) * first

    found = min(
        (minimize(lambda x: turned(x[0]).apply(centre)[2], [start], method="BFGS") for start in (0.0, 2.0, 4.0)),
        key=lambda one: one.fun,
    )
    return float(found.fun)


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(st.floats(0.3, 2.0), st.floats(-0.5, 0.5), st.floats(-0.6, 0.6)),
    st.tuples(st.floats(0.1, 0.9), st.floats(-0.4, 0.4), st.floats(-0.4, -0.05)),
    st.floats(-0.7, 0.7),
)
def test_the_tail_rope_pulls_as_virtual_work_has_it(tail, centre, share):
    """dE / dh of the pose of least energy is the force of the rope that is let out by dh."""
    tail = np.array(tail)
    centre = np.array(centre) * np.array([tail[0], 1.0, 1.0])
    apart = float(np.linalg.norm(tail))
    along = float(centre @ tail) / apart
    beside = float(np.linalg.norm(centre - along * tail / apart))
    below = share * apart
    step = 1e-4
    force = (at_rest(tail, centre, below - step) - at_rest(tail, centre, below + step)) / (2 * step)
    due = tail_share(np.array([along]), np.array([beside]), apart, math.asin(share))[0]
    assert force == pytest.approx(due, abs=2e-4)


def test_a_beam_by_hand_goes_from_half_to_nothing():
    """A level bar on both ends, its mass 0.3 m below its middle: half each, and the tail slack at tan = 1 / 0.3."""
    box = np.array([[x, y, z] for x in (0.0, 2.0) for y in (-0.1, 0.1) for z in (-0.6, 0.0)])
    turned = tailing(
        np.zeros(3), np.array([2.0, 0, 0]), np.array([1000.0, 900.0, 1100.0]),
        np.array([[1.0, 0, -0.3]] * 3), box, np.array([-1.0, 0, 0]), None,
    )  # fmt: skip
    first, last = turned.steps[0], turned.steps[-1]
    assert (first.main_n.nominal, first.tail_n.nominal) == pytest.approx((500.0, 500.0))
    assert first.tail_n.high == pytest.approx(550.0)
    assert turned.slack_rad == pytest.approx(math.atan2(1.0, 0.3))
    assert last.tail_n.nominal == pytest.approx(0.0, abs=1e-6)
    assert turned.main_most_n == pytest.approx(1100.0)
    assert turned.tail_most_n == pytest.approx(550.0)
    assert first.drop_m == pytest.approx(0.6)
    assert first.reach_m == pytest.approx(math.hypot(2.0, 0.1))
    assert turned.off_rad == pytest.approx(math.atan2(0.3, 1.0))  # hung from one end, the mass pulls below it
    assert turned.roll_rad == pytest.approx(0.0, abs=1e-6)
    assert told(turned)[Code.HANGS_OFF_ITS_POSE]["off_rad"] == pytest.approx(math.atan2(0.3, 1.0))


def test_a_mass_beside_the_line_rolls_first():
    turned = tailing(
        np.zeros(3), np.array([2.0, 0, 0]), np.array([1000.0]), np.array([[1.0, 0.2, 0.0]]),
        np.array([[0.0, 0, 0], [2.0, 0.4, 0.2]]), UP, None,
    )  # fmt: skip
    assert turned.roll_rad == pytest.approx(math.pi / 2)
    assert told(turned)[Code.ROLLS_OFF_THE_GROUND]["roll_rad"] == pytest.approx(math.pi / 2)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_chocks_are_in_balance_whatever_three_bear(seed):
    random = np.random.default_rng(seed)
    at, centre = random.uniform(-1, 1, (5, 2)), random.uniform(-0.5, 0.5, (1, 2))
    for row in chock_shares(at, centre)[0]:
        if np.isnan(row).any():
            continue
        assert row.sum() == pytest.approx(1.0)
        assert row @ at == pytest.approx(centre[0], abs=1e-9)
        assert row.min() >= -1e-9
        three = np.flatnonzero(np.abs(row) > 1e-9)
        rows = np.vstack([np.ones(len(three)), at[three].T])
        due = np.linalg.lstsq(rows, np.array([1.0, *centre[0]]), rcond=None)[0]
        assert row[three] == pytest.approx(due, abs=1e-6)


def moved(made, lump, asked, kg=200 / G, at=(0.1, 0.0, 0.0), **more):
    site = Site(moving=asked, hang=Hang((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)), hook=Hook(dynamic=1.0), **more)
    return move(*made([lump(kg, at)], site))


def test_a_bar_by_the_triangle_of_its_forces(made, lump):
    """200 N at 0.6 of a bar 1 m long, the hook 0.5 m over it: 80 and 120 N, and 200 * 0.6 * 0.4 / 0.5 = 96 N along."""
    ends = (
        Spot(from_left_m=0.0, from_front_m=0.25, from_top_m=0.0),
        Spot(from_right_m=0.0, from_front_m=0.25, from_top_m=0.0),
    )
    result = moved(made, lump, Moving(bar_at=ends, bar_above_m=0.5, bar_n=90.0))
    assert result.bar is not None
    assert [leg.nominal for leg in result.bar.legs_n] == pytest.approx([80.0, 120.0])
    assert result.bar.push_n == pytest.approx(96.0)
    assert result.bar.top_n == pytest.approx((math.hypot(80, 96), math.hypot(120, 96)))
    assert result.bar.flat_rad == pytest.approx(math.atan2(0.5, 0.6))
    assert "bar: pushed along" in refusals(result)


def test_floor_shackles_and_crate_by_hand(made, lump):
    spots = tuple(
        Spot(from_left_m=x, from_front_m=y, from_base_m=0.0) for x, y in ((0.1, 0.05), (0.9, 0.05), (0.5, 0.45))
    )
    leg = Leg("one", Spot(at_m=(0.1, 0.0, 0.5)), rating_n=1e5)
    asked = Moving(cradle=spots, pad_m=0.1, floor_pa=1e4, lug=(1.0, 0.0, 0.0), shackle_n=300.0, rigging_kg=10.0)
    result = moved(made, lump, asked, legs=(leg,))
    assert sum(chock.load_n.nominal for chock in result.chocks) == pytest.approx(200.0)
    heaviest = max(chock.load_n.high for chock in result.chocks)
    assert max(chock.pressure_pa for chock in result.chocks) == pytest.approx(heaviest / 0.01)
    assert result.hook_n == pytest.approx(200 + 10 * G)
    (shackle,) = [check for check in result.checks if check.name == "one: shackle"]
    assert shackle.limit == pytest.approx(150.0)  # a plumb leg on a lug that lies level: half
    assert shackle.verdict == "over"
    assert side_share(math.radians(100)) != side_share(math.radians(100))
    assert "hook: piece and rigging" in unknowns(result)
    a, b, c = 1.1, 0.6, 1.1
    assert result.crate.inside_m == pytest.approx((a, b, c))
    assert result.crate.outside_m == pytest.approx((a + 0.036, b + 0.036, c + 0.036))
    assert result.crate.kg == pytest.approx(2 * (a * b + b * c + c * a) * 0.018 * 600 * 1.3)


def test_what_cannot_be_is_refused(made, lump):
    ends = (
        Spot(from_left_m=0.0, from_front_m=0.25, from_top_m=0.0),
        Spot(from_left_m=0.3, from_front_m=0.25, from_top_m=0.0),
    )
    result = moved(made, lump, Moving(main=ends[0], tail=ends[1]))
    assert "turned on two hooks: not in balance" in refusals(result)
    with pytest.raises(UsageError, match=r"moving\.tail"):
        moved(made, lump, Moving(main=ends[0], tail=ends[0]))
    piece, surface = made([lump(1.0, (0.0, 0.0, 0.0))], Site())
    with pytest.raises(UsageError, match=r"give \[moving\]"):
        move(replace(piece), surface)
