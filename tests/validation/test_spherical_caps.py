"""Pools in a sphere against spherical caps in closed form: V = pi h^2 (3 R - h) / 3, share of the face h / 2 R."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.lining import cover, directions, inside_of, region_of, rocked

R, LIQUID = 0.495, 4e-4


@pytest.fixture(scope="module")
def ball(shell_of):
    skin, cavity = shell_of(trimesh.creation.icosphere(5, 0.5), 0.005, 0.0125)
    _, solids = region_of(skin, cavity, 0.05)
    return inside_of(skin, cavity, solids, 0.05), [chamber.middle_m for chamber in solids.chambers]


def _cap_m():
    roots = np.roots([-math.pi / 3, math.pi * R, 0.0, -LIQUID])
    return next(float(h.real) for h in roots if abs(h.imag) < 1e-12 and 0 < h.real < R)


def test_a_standing_pool_covers_the_cap_of_its_volume(ball):
    inside, starts = ball
    wet = cover(inside, starts, LIQUID, 1e-9, 0.0, directions(30)).wet
    share = wet @ inside.area_m2 / inside.area_m2.sum()
    assert share.mean() == pytest.approx(_cap_m() / (2 * R), rel=0.05)


def test_several_pools_cover_the_union_of_their_caps(ball):
    inside, starts = ball
    ups = directions(24)
    wet = cover(inside, starts, LIQUID, 1e-9, 0.0, ups).wet.any(axis=0)
    points = trimesh.creation.icosphere(6).vertices
    caps = (-(points @ ups.T) > 1.0 - _cap_m() / R).any(axis=1)
    assert inside.area_m2[wet].sum() / inside.area_m2.sum() == pytest.approx(caps.mean(), rel=0.05)


def test_tipped_and_rolled_round_a_pool_covers_the_zone_it_runs_over(ball):
    inside, starts = ball
    tip = math.radians(50)
    (share,) = cover(inside, starts, LIQUID, 1e-9, tip, directions(1)).wet @ inside.area_m2 / inside.area_m2.sum()
    edge = tip + math.acos(1.0 - _cap_m() / R)
    rolled = (1.0 - math.cos(edge)) / 2  # rolled without a stop
    up = directions(1)[0]
    stops = np.vstack([up, rocked(up, tip)])
    points = trimesh.creation.icosphere(6).vertices
    stopped = (-(points @ stops.T) > 1.0 - _cap_m() / R).any(axis=1).mean()  # only where it stops on its way
    assert 0.97 * stopped <= share <= 1.02 * rolled
