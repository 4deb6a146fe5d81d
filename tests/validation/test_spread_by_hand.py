"""Foam spread through a mouth, against the hat-box theorem and straight ways.

A belt of a sphere has the area of the belt of its cylinder of the same height (Archimedes, On the Sphere and Cylinder,
I, 42 and 43), and the shortest way into a convex body is a straight line. A film that drains from rest is followed by
the balance of a thin layer on a slope (upwind differences, the first-order scheme of R. J. LeVeque, Finite Volume
Methods for Hyperbolic Problems, 2002, chapter 4).
"""

import math

import numpy as np
import pytest
import trimesh

from pourwright.intake import job_from_shell
from pourwright.lining.spreading import falls, keeps_m, laid_by, run_under
from pourwright.lining.sweeping import Sweeper
from pourwright.plan import make_plan

WALL = 0.004


def spread(folder, mesh, **more):
    mesh.export(folder / "piece.ply")
    asked = {
        "foam.grade": "rigid-3", "wall.thickness": "4 mm", "piece.unit": "m", "grid.cell": "20 mm",
        "piece.kind": "open",
        "fill.style": "lining", "fill.thickness": "30 mm", "fill.by": "spreading", "shop.largest_batch": "20 L",
    }  # fmt: skip
    asked |= {key.replace("_", ".", 1): value for key, value in more.items()}
    return make_plan(job_from_shell(folder / "piece.ply", asked)).lining


def open_cylinder(radius, height, sections=96):
    whole = trimesh.creation.cylinder(radius, height, sections=sections)
    mesh = whole.subdivide_to_size(0.12)
    return mesh.submesh([mesh.face_normals[:, 2] < 0.9], append=True)


def bowl(radius):
    ball = trimesh.creation.icosphere(5, radius)
    return ball.slice_plane([0.0, 0.0, 0.0], [0.0, 0.0, -1.0])


def test_an_arm_reaches_a_belt_of_a_bowl_as_high_as_it_is_long(tmp_path):
    lining = spread(tmp_path, bowl(0.9 + WALL), fill_reach="500 mm")
    assert lining.coverage == pytest.approx(0.5 / 0.9, abs=0.025)
    assert lining.spread.far_share == pytest.approx(1.0 - 0.5 / 0.9, abs=0.025)


def test_an_arm_reaches_straight_down_a_cylinder(tmp_path):
    radius, height, reach = 0.3, 0.9, 0.55
    lining = spread(tmp_path, open_cylinder(radius + WALL, height), fill_reach="550 mm")
    wall, floor = 2.0 * math.pi * radius * height, math.pi * radius**2
    assert lining.coverage == pytest.approx(wall * reach / height / (wall + floor), abs=0.025)
    assert max(coat.reach_m for coat in lining.coats) <= 0.55


def test_what_hangs_over_is_a_cap_of_a_ball_and_is_laid_the_other_way_up(tmp_path):
    radius = 0.35
    ball = trimesh.creation.icosphere(5, radius + WALL)
    mouth = 0.25  # the mouth takes the cap above this height
    piece = ball.slice_plane([0.0, 0.0, mouth], [0.0, 0.0, -1.0])
    belt = (mouth - (radius - WALL) * math.sin(math.radians(5.0))) / (radius + mouth)
    still = spread(tmp_path, piece, fill_reach="1 m")
    assert still.spread.over_share == pytest.approx(belt, abs=0.03)
    assert still.coverage == pytest.approx(1.0 - belt, abs=0.03)
    laid = spread(tmp_path, piece, fill_reach="1 m", fill_positions=["+z", "+x", "-x"])
    assert laid.coverage >= 0.99
    assert len({tuple(np.round(one.up, 6)) for one in laid.sequence}) == 3


@pytest.fixture(scope="module")
def upright(tmp_path_factory):
    return spread(tmp_path_factory.mktemp("upright"), open_cylinder(0.3 + WALL, 0.9), fill_reach="2 m")


def test_a_film_on_an_upright_wall_has_run_as_far_as_it_lies_under_its_edge(upright):
    inside = upright.inside
    up, mine = np.array([0.0, 0.0, 1.0]), inside.counts & (np.abs(inside.normal[:, 2]) < 0.1)
    run = run_under(inside, up, inside.counts)
    deep = 0.45 - inside.middle_m[mine] @ up  # under the edge of the mouth
    assert run[mine] == pytest.approx(deep, abs=0.02)


def test_a_wall_keeps_what_a_thin_layer_on_a_slope_does_step_by_step():
    viscosity, density, seconds, gravity = 2.0, 500.0, 60.0, 9.80665
    for slope in (90.0, 35.0):
        sine = math.sin(math.radians(slope))
        cells, long = 800, 0.6
        step = long / cells
        mass = np.full(cells, 6.0)  # of area, far more than stays
        pull, time = gravity * sine / (3.0 * viscosity * density), 0.0
        while time < seconds:
            tick = min(0.4 * step / (3.0 * pull * mass.max() ** 2), seconds - time)
            flow = pull * mass**3
            mass = mass - tick / step * np.diff(flow, prepend=0.0)
            time += tick
        at = np.array([0.1, 0.2, 0.3])
        found = keeps_m(at, np.full(3, sine), seconds / (viscosity * density), 60.0)
        assert found * 60.0 == pytest.approx(np.interp(at, (np.arange(cells) + 0.5) * step, mass), rel=0.02)


def test_all_that_is_put_on_a_wall_lies_somewhere_in_the_piece(upright):
    inside, up = upright.inside, np.array([0.0, 0.0, 1.0])
    from pourwright.lining.spreading import Wall

    wall = Wall(
        up, inside.counts, np.zeros(len(inside.area_m2)), keeps_m(
            run_under(inside, up, inside.counts), np.sqrt(np.maximum(1.0 - (inside.normal @ up) ** 2, 0.0)), 0.02, 60.0
        ), falls(inside, up, downwards=True)[0],
    )  # fmt: skip
    sweeper = Sweeper(inside, np.eye(3), (np.array([0.0, 100.0]), np.array([1.0, 1.5])))
    put = np.where(inside.counts, 0.002 * inside.area_m2, 0.0)
    lies, ran = laid_by(sweeper, wall, put, 20.0, 90.0)
    assert float(lies.sum()) == pytest.approx(float(put.sum()), rel=1e-6)
    assert 0.0 < ran < float(put.sum())
    low = inside.middle_m @ up < (inside.middle_m @ up).min() + 0.15
    assert lies[low].sum() > put[low].sum()  # what runs off stands at the foot
    assert (lies >= -1e-12).all()


def test_an_arm_reaches_round_a_corner_by_the_shortest_way():
    """Of a plate with a wall in it the way round the end of the wall is two straight lines."""
    from scipy.sparse.csgraph import dijkstra

    from pourwright.lining.arm import ways_between

    inside = np.ones((41, 41, 1), bool)
    inside[20, :30] = False
    number = np.full(inside.shape, -1)
    number[inside] = np.arange(int(inside.sum()))
    way = dijkstra(ways_between(inside, 0.01).tocsr(), directed=False, indices=number[2, 3, 0])
    for end in ((38, 3), (38, 12), (30, 38)):
        corner = np.array([20.0, 30.0])
        straight = np.linalg.norm(corner - [2, 3]) + np.linalg.norm(np.array(end) - corner)
        found = way[number[end[0], end[1], 0]] / 0.01
        assert straight <= found <= 1.06 * straight
