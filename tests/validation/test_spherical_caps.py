"""Pools in a sphere against spherical caps in closed form: V = pi h^2 (3 R - h) / 3, share of the face h / 2 R."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.lining import Roll, Sweeper, inside_of, region_of

R, LIQUID = 0.495, 4e-4
STILL = (np.array([0.0, 1000.0]), np.array([1.0, 1.0]))


@pytest.fixture(scope="module")
def ball(shell_of):
    skin, cavity = shell_of(trimesh.creation.icosphere(5, 0.5), 0.005, 0.0125)
    _, solids = region_of(skin, cavity, 0.05)
    return inside_of(skin, cavity, solids, 0.05), [chamber.middle_m for chamber in solids.chambers]


def even(count):
    """Directions by the golden angle."""
    k = np.arange(count)
    z, turn = 1.0 - (2.0 * k + 1.0) / count, k * math.pi * (3.0 - math.sqrt(5.0))
    flat = np.sqrt(1.0 - z**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


def cap_m(volume=LIQUID):
    roots = np.roots([-math.pi / 3, math.pi * R, 0.0, -volume])
    return next(float(h.real) for h in roots if abs(h.imag) < 1e-12 and 0 < h.real < R)


def coated(ball, ups, growth=STILL, film=1e-9):
    inside, starts = ball
    sweeper = Sweeper(inside, np.eye(3), growth)
    out = []
    for up in ups:
        state = sweeper.along(sweeper.poured(up, starts, LIQUID, film, 0.0), up[None], 0.0)
        out.append(sweeper.coated(state))
        assert state.left_m3 + state.laid_m3.sum() == pytest.approx(LIQUID, rel=1e-9)
    return np.array(out)


def test_a_standing_pool_covers_the_cap_of_its_volume(ball):
    share = coated(ball, even(30)) @ ball[0].area_m2 / ball[0].area_m2.sum()
    assert share.mean() == pytest.approx(cap_m() / (2 * R), rel=0.07)


def test_several_pools_cover_the_union_of_their_caps(ball):
    ups = even(24)
    wet = coated(ball, ups).any(axis=0)
    points = trimesh.creation.icosphere(6).vertices
    caps = (-(points @ ups.T) > 1.0 - cap_m() / R).any(axis=1)
    assert ball[0].area_m2[wet].sum() / ball[0].area_m2.sum() == pytest.approx(caps.mean(), rel=0.05)


def test_risen_mix_stands_in_the_cap_of_its_risen_volume(ball):
    risen = (np.array([0.0, 1000.0]), np.array([9.0, 9.0]))
    share = coated(ball, even(12), risen) @ ball[0].area_m2 / ball[0].area_m2.sum()
    assert share.mean() == pytest.approx(cap_m(9 * LIQUID) / (2 * R), rel=0.05)


@pytest.mark.parametrize("tilt_deg", [90.0, 60.0])
def test_rolled_once_round_a_pool_covers_the_zone_it_sweeps(ball, tilt_deg):
    inside, starts = ball
    sweeper = Sweeper(inside, np.eye(3), STILL)
    up, tilt = np.array([0.0, 0.0, 1.0]), math.radians(tilt_deg)
    roll = Roll(np.array([0.0, 0.0, 1.0]), tilt)
    first = roll.path(up)[-1 - roll.steps]
    state = sweeper.along(sweeper.poured(first, starts, LIQUID, 5e-5, 0.0), first[None], 0.0)
    share = float(sweeper.coated(sweeper.rolled(state, roll, 20.0)) @ inside.area_m2) / inside.area_m2.sum()

    def zone(volume):
        half = math.acos(1.0 - cap_m(volume) / R)
        return (math.cos(tilt - half) - math.cos(tilt + half)) / 2

    mean = LIQUID - 0.5 * 5e-5 * zone(LIQUID) * 4 * math.pi * R**2  # the pool loses its film on the way
    assert share == pytest.approx(zone(mean), rel=0.08)  # triangles of a fifth of its width


def test_the_film_that_stays_on_the_wall_is_missing_in_the_pool(ball):
    inside, starts = ball
    sweeper = Sweeper(inside, np.eye(3), STILL)
    up = np.array([0.0, 0.0, 1.0])
    state = sweeper.poured(up, starts, 0.01, 0.5e-3, 0.0)
    for axis in np.eye(3):
        state = sweeper.rolled(state, Roll(axis, 0.5 * math.pi), 20.0)
        assert state.left_m3 + state.laid_m3.sum() == pytest.approx(0.01, rel=1e-9)
        assert (state.laid_m3 <= 0.5e-3 * inside.area_m2 * (1 + 1e-9)).all()
    on_the_wall = float(sweeper.coated(state) @ inside.area_m2) * 0.5e-3
    assert state.left_m3 == pytest.approx(0.01 - on_the_wall, rel=0.02)
