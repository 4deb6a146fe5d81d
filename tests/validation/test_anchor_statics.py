"""Anchors by hand: moments written out, an independent least-energy solve, a textbook's bracket."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.reference.told import told

from pourwright.findings import Code
from pourwright.hanging import hang
from pourwright.outcome import Anchor, Hang, Insert, Site, Spot, refusals
from pourwright.physics import statics
from pourwright.ranges import Range

G = 9.80665
OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
# The box of the fixture: back at y = 0.25, base at z = -0.5; the wall touches its back.


def anchor(name, x, z, **more):
    return Anchor(name, Spot(at_m=(x, 0.25, z)), **more)


def four(**more):
    return (
        anchor("a", -0.15, -0.2, **more),
        anchor("b", 0.15, -0.2, **more),
        anchor("c", 0.15, 0.2, **more),
        anchor("d", -0.15, 0.2, **more),
    )


def solved(made, lump, anchors, kg=2000 / G, at=(0.1, 0.0, 0.0), **asked):
    site = Site(anchors=tuple(anchors), hang=Hang(**{"out": OUT, "up": UP, **asked}))
    return hang(*made([lump(kg, at)], site))


def test_pattern_of_four_with_a_load_beside_and_before_it(made, lump):
    """2 kN, 100 mm beside and 250 mm before a 300 x 400 pattern: V = 500 down with 200 (0.2, 0.15) / 0.25 turning.

    Pull about the centroid 500 * 0.2 / 0.16 = 625; about the edge 0.3 below the lower row
    500 * 0.7 / (2 * 0.7^2 + 2 * 0.3^2) = 301.7 and 129.3.
    """
    result = solved(made, lump, four())
    shear = [load.shear_n.nominal for load in result.anchors]
    assert shear == pytest.approx([412.31, 640.31, 640.31, 412.31], rel=1e-4)
    assert [load.alone_n.nominal for load in result.anchors] == pytest.approx([-625, -625, 625, 625])
    edge = 500 / (2 * 0.49 + 2 * 0.09)
    assert [load.backed_n.nominal for load in result.anchors] == pytest.approx(
        [0.3 * edge, 0.3 * edge, 0.7 * edge, 0.7 * edge]
    )
    # The larger of the two is reported, and the edge pushes with what the anchors pull.
    assert [load.pull_n.nominal for load in result.anchors] == pytest.approx([0.3 * edge, 0.3 * edge, 625, 625])
    assert result.bearing_n.nominal == pytest.approx(2 * edge)
    assert result.standoff_m == pytest.approx(0.25)


def test_equilibrium_of_what_is_reported(made, lump):
    result = solved(made, lump, four())
    shear = np.array([load.shear_way * load.shear_n.nominal for load in result.anchors])
    pull = np.array([load.alone_n.nominal for load in result.anchors])
    places = np.array([load.on_wall_m for load in result.anchors])
    assert shear.sum(axis=0) == pytest.approx([0.0, -2000.0])
    centre = np.array([0.6, 0.5])  # from the left and the base
    moment = (places[:, 0] * shear[:, 1] - places[:, 1] * shear[:, 0]).sum()
    assert moment == pytest.approx(-2000.0 * centre[0])
    assert pull.sum() == pytest.approx(0.0, abs=1e-9)
    assert (pull * places[:, 1]).sum() == pytest.approx(500.0)


def test_redundant_anchors_of_unequal_stiffness_agree_with_a_least_energy_programme(made, lump):
    """min sum f^2 / k subject to the six equilibrium equations, by the KKT matrix; any number of anchors."""
    rng = np.random.default_rng(11)
    k = rng.uniform(0.5, 3.0, 7)
    x, z = rng.uniform(-0.4, 0.4, 7), rng.uniform(-0.3, 0.4, 7)
    anchors = [anchor(f"n{i}", x[i], z[i], stiffness=k[i]) for i in range(7)]
    result = solved(made, lump, anchors, kg=50.0, at=(0.05, -0.03, 0.1))
    weight, off = 50 * G, 0.28
    rows = []
    for i in range(7):
        for direction in np.eye(3):  # right, up, out
            rows.append(np.concatenate([direction, np.cross([x[i], z[i], 0.0], direction)]))
    equations = np.array(rows).T
    load = np.concatenate([[0, -weight, 0], np.cross([0.05, 0.1, off], [0, -weight, 0])])
    energy = np.diag(np.repeat(1 / k, 3))
    kkt = np.block([[energy, equations.T], [equations, np.zeros((6, 6))]])
    forces = np.linalg.lstsq(kkt, np.concatenate([np.zeros(21), load]), rcond=None)[0][:21].reshape(7, 3)
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx(np.hypot(forces[:, 0], forces[:, 1]), rel=1e-8)
    assert [r.alone_n.nominal for r in result.anchors] == pytest.approx(forces[:, 2], rel=1e-8)


def test_two_anchors_side_by_side_are_determinate(made, lump):
    """Level row 0.6 apart, weight 0.1 right of the middle: shares 1/3 and 2/3; pull only by the edge 0.7 below."""
    result = solved(made, lump, [anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2)])
    assert [r.shear_n.nominal for r in result.anchors] == pytest.approx([2000 / 3, 4000 / 3])
    assert all(r.alone_n is None for r in result.anchors)
    assert [r.pull_n.nominal for r in result.anchors] == pytest.approx([500 / (2 * 0.7)] * 2)
    assert told(result)[Code.ANCHORS_IN_LEVEL_LINE]["bears"] == 1.0


def test_low_and_high_run_over_the_weights(made, lump):
    """Two weights either side: the left anchor's worst is the left weight high with the right one low."""
    parts = [lump(Range(8.0, 10.0, 12.0), (-0.2, 0, 0), name="l"), lump(Range(8.0, 10.0, 12.0), (0.4, 0, 0), name="r")]
    site = Site(anchors=(anchor("l", -0.3, 0.2), anchor("r", 0.3, 0.2)), hang=Hang(OUT, UP))
    left, right = hang(*made(parts, site)).anchors

    def share(l_kg, r_kg):  # of the left anchor, moments about the right one
        return (l_kg * 0.5 - r_kg * 0.1) / 0.6 * G

    assert left.shear_n.nominal == pytest.approx(abs(share(10, 10)))
    assert left.shear_n.high == pytest.approx(share(12, 8))
    assert left.shear_n.low == pytest.approx(share(8, 12))
    assert right.shear_n.high == pytest.approx(24 * G - share(12, 12))


def test_bracket_of_four_bolts_in_a_textbook(made, lump):
    """Eccentric bolt group of Shigley's Mechanical Engineering Design, example 8-7 (from memory, numbers and answer).

    16 kN at 425 mm from the middle of four bolts 150 mm by 120 mm: 21.0 kN on the near ones, 14.8 kN on the far ones.
    """
    bolts = [anchor("c", -0.075, 0.06), anchor("a", 0.075, 0.06), anchor("b", 0.075, -0.06), anchor("d", -0.075, -0.06)]
    result = solved(made, lump, bolts, kg=16000 / G, at=(0.425, 0.0, 0.0))
    assert [r.shear_n.nominal / 1e3 for r in result.anchors] == pytest.approx([14.8, 21.0, 21.0, 14.8], abs=0.05)


def test_standing_off_the_wall_lengthens_the_lever(made, lump):
    anchors = [
        Anchor(n, Spot(from_left_m=x, from_base_m=z)) for n, x, z in
        (("a", 0.35, 0.3), ("b", 0.65, 0.3), ("c", 0.65, 0.7), ("d", 0.35, 0.7))
    ]  # fmt: skip
    result = solved(made, lump, anchors, standoff_m=0.05)
    assert [r.pull_n.nominal for r in result.anchors] == pytest.approx([0, 0, 750, 750])  # 2000 * 0.30 * 0.2 / 0.16


def test_a_tilted_wall(made, lump):
    """Overhanging 30 degrees: W sin 30 pulls straight, W cos 30 shears."""
    tilt = math.radians(30.0)
    result = solved(made, lump, four(), out=(0.0, -math.cos(tilt), -math.sin(tilt)))
    assert result.tilt_rad == pytest.approx(-tilt)
    pull = sum(r.alone_n.nominal for r in result.anchors)
    assert pull == pytest.approx(2000 * math.sin(tilt))
    shear = sum((r.shear_way * r.shear_n.nominal for r in result.anchors), np.zeros(2))
    assert shear == pytest.approx([0, -2000 * math.cos(tilt)], abs=1e-9)
    assert told(result)[Code.WALL_OVERHANGS]["tilt_rad"] == pytest.approx(tilt)
    back = solved(made, lump, four(), out=(0.0, -math.cos(tilt), math.sin(tilt)))
    assert sum(r.alone_n.nominal for r in back.anchors) == pytest.approx(-2000 * math.sin(tilt))
    assert Code.WALL_LEANS_BACK in told(back)


def test_capacity_by_the_rating_and_the_factor(made, lump):
    rated = four(shear_n=4000.0, pull_n=4000.0)
    result = solved(made, lump, rated, factor_value=5.0, factor_reference="a test")
    checks = {check.name: check for check in result.anchors[2].checks}
    assert checks["c: shear"].limit == pytest.approx(800.0)
    assert checks["c: shear"].verdict == "ok"
    both = checks["c: shear and pull together"]
    assert both.value == pytest.approx((640.31 + 625.0) / 800.0, rel=1e-4)
    assert both.verdict == "over"
    assert "given in the job: a test" in both.source
    assert any("together" in name for name in refusals(result))
    working = solved(
        made, lump, [replace(a, breaking=False) for a in rated], factor_value=5.0, factor_reference="a test"
    )
    assert {c.name: c for c in working.anchors[2].checks}["c: shear"].limit == pytest.approx(4000.0)


def test_an_insert_in_the_foam(made, lump):
    """Bearing 4 V / (d L); pull by tau pi D L or sigma pi (D^2 - d^2) / 4; both at a quarter of the low strength."""
    result = solved(made, lump, four(insert=Insert(0.03, 0.15, 0.08)))
    checks = {check.name: check for check in result.anchors[2].checks}
    thin = 45 / 48
    bearing = checks["c: foam bearing round the insert"]
    assert bearing.value == pytest.approx(4 * result.anchors[2].shear_n.high / (0.03 * 0.15))
    assert bearing.limit == pytest.approx(0.25 * 276e3 * thin**1.5)
    out = checks["c: insert pulled out of the foam"]
    assert out.limit == pytest.approx(0.25 * 276e3 * thin**1.5 * math.pi * (0.08**2 - 0.03**2) / 4)
    assert checks["c: skin round the insert"].verdict == "unknown"
    plain = {check.name: check for check in solved(made, lump, four()).anchors[0].checks}
    assert {check.verdict for check in plain.values()} == {"unknown"}
    assert "does not say what holds" in plain["a: hold in the piece"].source
    assert plain["a: rating"].source == "no rating given"


def test_reactions_in_space_balance_force_and_moment():
    rng = np.random.default_rng(7)
    places, k = rng.normal(size=(6, 3)), rng.uniform(0.5, 2.0, (6, 3))
    force, at, moment = rng.normal(size=3), rng.normal(size=3), rng.normal(size=3)
    f = statics.anchor_reactions(places, k, force, at, moment)
    assert f.sum(axis=0) == pytest.approx(-force)
    assert np.cross(places, f).sum(axis=0) == pytest.approx(-np.cross(at, force) - moment)
    # Least energy among all that balance: adding any self-balanced set raises sum f^2 / k.
    columns = [
        np.concatenate([np.tile(np.eye(3)[d], (1, 1))[0], np.cross(p, np.eye(3)[d])]) for p in places for d in range(3)
    ]
    null = np.linalg.svd(np.array(columns).T)[2][6:]
    assert np.abs(null @ (f / k).ravel()).max() < 1e-9
