"""Rest of floating bodies against closed forms of stability, and against an energy that can only be lower."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.water import FloatingBody, hull_of, settle, submerged
from pourwright.water.hydrostatics import water_plane

UP = np.array([0.0, 0, 1])


def at_rest(mesh, share, centre=(0.0, 0.0, 0.0), up=UP):
    mass = mesh.volume * share * 1000.0
    return settle(FloatingBody(hull_of(mesh.vertices, mesh.faces), mass, np.array(centre, float), 1000.0), up)


@pytest.mark.parametrize(("width", "stands"), [(1.15, False), (1.30, True)])
def test_a_beam_of_half_density_stands_if_it_is_wide_enough(width, stands):
    # KB + BM - KG = h/4 + b^2/(6 h) - h/2 > 0 : b / h > sqrt(3 / 2) = 1.2247.
    rest = at_rest(trimesh.creation.box((6.0, width, 1.0)), 0.5)
    assert rest.moved is not stands
    assert rest.stable
    assert rest.upright_gm_m == pytest.approx(0.25 + width**2 / 6 - 0.5, abs=1e-6)


def test_a_square_beam_of_half_density_floats_on_its_edge():
    rest = at_rest(trimesh.creation.box((6.0, 1.0, 1.0)), 0.5)
    assert math.degrees(rest.floating.tilt_rad) == pytest.approx(45.0, abs=0.01)


def test_a_cube_of_half_density_floats_on_its_corner():
    # Its diagonal upright: acos(1 / sqrt(3)) = 54.74 degrees from a face.
    rest = at_rest(trimesh.creation.box((1.0, 1.0, 1.0)), 0.5)
    assert math.degrees(rest.floating.tilt_rad) == pytest.approx(54.7356, abs=0.01)


@pytest.mark.parametrize(("ratio", "stands"), [(0.65, False), (0.75, True)])
def test_an_upright_cylinder_of_half_density(ratio, stands):
    # r^2 / (2 h) + h/4 - h/2 > 0 : r / h > 1 / sqrt(2) = 0.7071.
    rest = at_rest(trimesh.creation.cylinder(radius=ratio, height=1.0, sections=96), 0.5)
    assert rest.moved is not stands


def test_a_log_lies_down():
    rest = at_rest(trimesh.creation.cylinder(radius=0.2, height=3.0, sections=64), 0.6)
    assert math.degrees(rest.floating.tilt_rad) == pytest.approx(90.0, abs=0.1)
    assert rest.stable


def test_a_heavy_keel_brings_a_ball_upright():
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.5)
    rest = at_rest(ball, 0.4, centre=(0.0, 0.1, -0.2))
    # The centre of mass comes straight under the middle of the ball.
    assert rest.floating.normal == pytest.approx(np.array([0, -0.1, 0.2]) / math.hypot(0.1, 0.2), abs=2e-3)


def test_no_attitude_near_the_rest_has_less_energy():
    rng = np.random.default_rng(8)
    body = trimesh.convex.convex_hull(rng.normal(size=(40, 3)) * [1.0, 0.5, 0.35])
    centre = body.center_mass + np.array([0.05, 0.02, 0.03])
    rest = at_rest(body, 0.45, centre)
    assert rest.stable
    wanted = body.volume * 0.45

    def energy(n):
        n = n / np.linalg.norm(n)
        level, _ = water_plane(hull_of(body.vertices, body.faces), n, wanted)
        return float((centre - submerged(body.vertices, body.faces, n, level).centre_m) @ n)

    lowest = energy(rest.floating.normal)
    for way in rng.normal(size=(20, 3)):
        assert energy(rest.floating.normal + 0.02 * way) > lowest - 1e-12


def test_too_heavy_sinks():
    assert at_rest(trimesh.creation.box(), 1.01).floating is None
