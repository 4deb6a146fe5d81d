"""Loads on a hanging box: forces and a bracket's moment by hand, every combination summed up from its parts."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from pourwright.errors import UsageError
from pourwright.hanging import hang
from pourwright.outcome import Anchor, Combination, Hang, Insert, Load, Rod, Site, Spot, refusals

G = 9.80665
OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)
# The box is 1 m wide, 0.5 m deep, 1 m high, its back on the wall.


def four(**more):
    places = ((0.2, 0.2), (0.8, 0.2), (0.2, 0.8), (0.8, 0.8))
    return tuple(Anchor(f"A{k}", Spot(from_left_m=x, from_base_m=z), **more) for k, (x, z) in enumerate(places, 1))


def hung(made, lump, loads, combinations=(), kg=20.0, **more):
    asked = Hang(OUT, UP, loads=tuple(loads), combinations=tuple(combinations), **more)
    return hang(
        *made([lump(kg, (0.0, 0.0, 0.0))], Site(anchors=four(shear_n=9e3, pull_n=9e3, breaking=False), hang=asked))
    )


SPOT = Spot(from_left_m=0.3, from_front_m=0.0, from_base_m=0.4)
BY_HAND = (
    # In the axes of the wall: right, up, out. Seen from before 1 m2, from the side 0.5, from above 0.5.
    (Load("suction", "wind", "out", pressure_pa=700.0), (0, 0, 700.0), (0.5, 0.5, None)),
    (Load("onto", "wind", "in", pressure_pa=700.0), (0, 0, -700.0), (0.5, 0.5, None)),
    (Load("along", "wind", "right", pressure_pa=700.0), (350.0, 0, 0), (None, 0.5, 0.25)),
    (Load("snow", "snow", "down", pressure_pa=700.0), (0, -350.0, 0), (0.5, None, 0.25)),
    (Load("quake", "earthquake", "left", acceleration=0.3), (-0.3 * 20 * G, 0, 0), (0.5, 0.5, 0.25)),
    (Load("shock", "earthquake", "up", acceleration=0.3), (0, 0.3 * 20 * G, 0), (0.5, 0.5, 0.25)),
    (Load("ice", "ice", areal_kg_m2=2.0), (0, -2.0 * 4.0 * G, 0), (0.5, 0.5, 0.25)),
    (Load("water", "water", kg=5.0, spot=SPOT), (0, -5.0 * G, 0), (0.3, 0.4, 0.5)),
    (Load("climber", "person", "down", force_n=900.0, spot=SPOT), (0, -900.0, 0), (0.3, 0.4, 0.5)),
)


@pytest.mark.parametrize(("load", "force", "at"), BY_HAND)
def test_each_load_is_the_force_that_it_says_at_the_place_that_it_says(made, lump, load, force, at):
    result = hung(made, lump, [load])
    case = next(case for case in result.cases if case.combination and not case.gone)
    weight, one = case.forces
    assert weight.force_n == pytest.approx([0, -20 * G, 0])
    assert one.force_n == pytest.approx(force)
    for place, due in zip(one.at_m, at, strict=True):
        assert due is None or place == pytest.approx(due)


def test_a_climber_before_the_piece_pulls_the_upper_row_by_his_moment(made, lump):
    """900 N at 0.5 m and the weight at 0.25 m off the wall, rows 0.6 m apart: nothing bears, so M / 0.6 / 2 each."""
    load = Load(
        "climber", "person", "down", force_n=900.0, spot=Spot(from_left_m=0.5, from_front_m=0.0, from_base_m=0.5)
    )
    result = hung(made, lump, [load], [Combination("up there", 1.35, (("climber", 1.5),), "a table")])
    case = next(c for c in result.cases if c.combination == "up there" and not c.gone and not c.bears)
    moment = 1.35 * 20 * G * 0.25 + 1.5 * 900 * 0.5
    pulls = {one.name: -one.force_n[2] for one in case.reactions}
    assert [pulls[f"A{k}"] for k in (1, 2, 3, 4)] == pytest.approx(np.array([-1, -1, 1, 1]) * moment / 1.2)
    assert result.governing.startswith("up there")
    assert [one.name for one in result.combinations] == ["weight alone", "up there"]


@given(st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
def test_every_free_body_under_every_combination_sums_to_nothing(made, lump, seed):
    rng = np.random.default_rng(seed)
    loads = [one for one, _, _ in BY_HAND if rng.integers(2)]
    combinations = [
        Combination(
            f"c{k}", float(rng.uniform(0.8, 1.5)), tuple((one.name, float(rng.uniform(-2, 2))) for one in loads)
        )
        for k in range(2)
    ]
    result = hung(made, lump, loads, combinations)
    for case in result.cases:
        moment = np.sum([np.cross(one.at_m, one.force_n) for one in case.forces], axis=0)
        assert case.moment == pytest.approx(moment)
        if case.impossible:
            continue
        every = (*case.forces, *case.reactions)
        most = max(np.linalg.norm(one.force_n) for one in every)
        assert np.sum([one.force_n for one in every], axis=0) == pytest.approx(0.0, abs=1e-6 * most)
        turn = case.moment + np.sum([np.cross(one.at_m, one.force_n) for one in case.reactions], axis=0)
        assert turn == pytest.approx(0.0, abs=1e-6 * most)


def test_a_load_that_lifts_the_piece_off_is_refused_by_name(made, lump):
    """A ball on two anchors above its middle touches its wall there only: suction turns it out."""
    anchors = tuple(Anchor(n, Spot(from_left_m=x, from_base_m=0.7)) for n, x in (("l", 0.35), ("r", 0.65)))
    load = Load("gale", "wind", "out", pressure_pa=4 * 20 * G / (0.25 * np.pi))
    asked = Hang(OUT, UP, loads=(load,))
    ball = trimesh.creation.icosphere(4, 0.5)
    result = hang(*made([lump(20.0, (0, 0, 0))], Site(anchors=anchors, hang=asked), ball))
    assert result.in_balance
    assert any(line.startswith("gale") and "not in balance" in line for line in refusals(result))


def test_a_named_set_is_quoted_and_of_one_kind_one_load_acts_at_a_time(made, lump):
    loads = [BY_HAND[0][0], BY_HAND[2][0], BY_HAND[3][0]]
    result = hung(made, lump, loads, load_set="en-1990")
    names = [one.name for one in result.combinations[1:]]
    assert not any("suction" in name and "along" in name for name in names)
    assert "en-1990: weight x 1.35 + suction x 1.5 + snow x 0.75" in names
    assert all("from memory" in one.reference for one in result.combinations[1:])
    many = [Load(f"w{k}", kind, "out", pressure_pa=1.0) for k in range(5) for kind in ("wind", "snow", "ice")]
    with pytest.raises(UsageError, match="more than 80 combinations"):
        hung(made, lump, many, load_set="asce-7")


def test_a_rod_across_a_gap_is_bent_pushed_and_prises_its_plate(made, lump):
    """Gap 60 mm: stress 32 V e / (pi d^3) + 4 N / (pi d^2); the plate turns about its edge, N + 2 V e / b."""
    rod = Rod(0.012, 150e6, 210e9, 0.1)
    anchors = four(shear_n=9e3, pull_n=9e3, breaking=False, rod=rod, insert=Insert(0.04, 0.2))
    result = hang(*made([lump(20.0, (0, 0, 0))], Site(anchors=anchors, hang=Hang(OUT, UP, standoff_m=0.06))))
    case = next(case for case in result.cases if not case.gone)
    top = next(one for one in case.reactions if one.name == "A3").force_n
    shear, pull = float(np.hypot(*top[:2])), -float(top[2])
    checks = {check.name: check for check in result.anchors[2].checks}
    bent = 32 * shear * 0.06 / (np.pi * 0.012**3) + 4 * pull / (np.pi * 0.012**2)
    assert checks["A3: rod bent and pulled"].value == pytest.approx(bent)
    assert checks["A3: pull with the plate prised off the wall"].value == pytest.approx(pull + 2 * shear * 0.06 / 0.1)
