"""The room that things inside take: against solids and distances of trimesh, and areas of shapely."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.cavity import build_cavity, build_levels, pour_frame
from pourwright.irons import bar, box, nearest_m, rod, taken_out, upright_m
from pourwright.outcome import Item, Shape, Spot, cavity_moments
from pourwright.outcome.weight import skin_mass
from pourwright.plan.heating import wall_m
from pourwright.ranges import Range
from pourwright.turn.scene import irons_in

CELL = 0.008


def _full(n=60):
    return np.full((n, n, n), 255, np.uint8)


def _cylinder(a, b, diameter):
    return trimesh.creation.cylinder(radius=0.5 * diameter, segment=[a, b], sections=256)


@pytest.mark.parametrize("diameter", [0.006, 0.012, 0.025, 0.06])
def test_a_slanting_rod_takes_its_volume(diameter):
    a, b = np.array([0.07, 0.11, 0.05]), np.array([0.32, 0.27, 0.41])
    cells = _full()
    (taken,) = taken_out([rod("rod", a, b, diameter)], cells, np.zeros(3), CELL)
    solid = _cylinder(a, b, diameter)
    assert taken.volume_m3 == pytest.approx(solid.volume, rel=0.012)
    assert (255 - cells.astype(float)).sum() / 255 * CELL**3 == pytest.approx(taken.volume_m3)
    assert taken.first_m4 / taken.volume_m3 == pytest.approx(solid.center_mass, abs=1e-3)
    assert taken.level_m3.sum() == pytest.approx(taken.volume_m3)


def test_a_box_and_a_bar_take_theirs():
    ballast = trimesh.creation.box(bounds=[[0.1, 0.1, 0.05], [0.25, 0.2, 0.11]])
    (taken,) = taken_out([box("ballast", *ballast.bounds)], _full(), np.zeros(3), CELL)
    assert taken.volume_m3 == pytest.approx(ballast.volume, rel=0.01)
    (taken,) = taken_out([bar("bar", [0.2, 0.2, 0.1], [0.2, 0.2, 0.4], 0.06, 0.01)], _full(), np.zeros(3), CELL)
    assert taken.volume_m3 == pytest.approx(0.06 * 0.01 * 0.3, rel=0.01)
    (flat,) = taken_out([bar("bar", [0.1, 0.2, 0.2], [0.4, 0.2, 0.2], 0.06, 0.01)], _full(), np.zeros(3), CELL)
    spread = flat.second_m5 / flat.volume_m3 - np.outer(flat.first_m4, flat.first_m4) / flat.volume_m3**2
    assert spread[1, 1] > 10 * spread[2, 2]  # its wide side lies level


@pytest.mark.parametrize("size", [(0.3, 0.2, 0.04), (0.2, 0.2, 0.2), (0.3, 0.04, 0.3), (0.3, 0.3, 0.006)])
def test_metal_behind_the_surface_of_a_box_is_its_volume_over_all_of_its_surface(size):
    """So much heat as it holds is taken up over the whole of it, whichever way it lies."""
    solid = trimesh.creation.box(extents=size)
    assert box("ballast", *solid.bounds).deep_m == pytest.approx(solid.volume / solid.area, rel=1e-9)


@pytest.mark.parametrize(("length", "diameter"), [(1.0, 0.02), (0.05, 0.2)])
def test_metal_behind_the_surface_of_a_rod_is_its_volume_over_all_of_its_surface(length, diameter):
    a, b = np.array([0.1, 0.2, 0.3]), np.array([0.1, 0.2, 0.3 + length])
    solid = _cylinder(a, b, diameter)
    assert rod("rod", a, b, diameter).deep_m == pytest.approx(solid.volume / solid.area, rel=1e-3)


def test_a_rod_that_is_half_in_the_wall_takes_what_is_inside():
    """An upright rod of 40 mm with its middle on the wall of a box: half of it, by shapely."""
    cells = _full()
    cells[:25] = 0  # wall up to x = 0.2
    middle = np.array([0.207, 0.24, 0.0])
    (taken,) = taken_out([rod("rod", middle, middle + np.array([0, 0, 0.3]), 0.04)], cells, np.zeros(3), CELL)
    circle = shapely.Point(*middle[:2]).buffer(0.02, quad_segs=64)
    inside = circle.intersection(shapely.box(0.2, 0.0, 1.0, 1.0)).area
    assert taken.volume_m3 == pytest.approx(inside * 0.3, rel=0.01)


@pytest.mark.parametrize("iron", [rod("r", [0, 0, 0], [0.1, 0.2, 0.3], 0.03), box("b", [0, 0, 0], [0.1, 0.05, 0.2])])
def test_distances_are_those_of_the_solid(iron):
    if iron.round:
        ends = iron.middle_m - iron.half_m[0] * iron.axes[0], iron.middle_m + iron.half_m[0] * iron.axes[0]
        solid = _cylinder(*ends, 0.03)
    else:
        solid = trimesh.creation.box(bounds=[[0, 0, 0], [0.1, 0.05, 0.2]])
    points = np.random.default_rng(3).uniform(-0.1, 0.4, (300, 3))
    there = -trimesh.proximity.signed_distance(solid, points)
    assert iron.away_m(points) == pytest.approx(there, abs=2e-4)
    assert nearest_m([iron], points) == pytest.approx(there, abs=2e-4)
    lines = np.array([[0.3, 0.1], [0.05, 0.02], [0.14, 0.25]])
    found = upright_m([iron], lines, np.zeros(3), np.full(3, 0.3), 0.002, 0.075)
    for (x, y), near in zip(lines, found, strict=True):
        along = np.column_stack([np.full(600, x), np.full(600, y), np.linspace(0, 0.3, 600)])
        exact = max(0.0, (-trimesh.proximity.signed_distance(solid, along)).min())
        assert near == pytest.approx(min(exact, 0.075), abs=6e-4)


@pytest.fixture(scope="module")
def boxed(skin_of):
    """A box of 200 x 160 x 400 mm with an iron of 30 mm, and without."""
    mesh = trimesh.creation.box(bounds=[[0, 0, 0], [0.2, 0.16, 0.4]])
    skin = skin_of(mesh, 0.005)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    iron = rod("iron", [0.06, 0.08, -0.1], [0.06, 0.08, 0.3], 0.03)
    made = []
    for irons in ((), (iron,)):
        cavity = build_cavity(skin, frame, cell_m=0.01, irons=irons)
        made.append((cavity, build_levels(cavity)))
    return skin, frame, iron, made


def test_the_cavity_loses_what_stands_in_it_and_the_skin_nothing(boxed):
    skin, _, _, ((bare, bare_graph), (held, graph)) = boxed
    inside = np.pi * 0.015**2 * (0.3 - 0.005)
    assert bare.volume_m3 - held.volume_m3 == pytest.approx(inside, rel=0.01)
    assert held.taken_m3 == pytest.approx(inside, rel=0.01)
    weights = [
        skin_mass(skin, cavity, cavity_moments(cavity, levels))
        for cavity, levels in ((bare, bare_graph), (held, graph))
    ]
    assert weights[1].kg.nominal == pytest.approx(weights[0].kg.nominal, rel=1e-6)
    assert weights[1].centre_m == pytest.approx(weights[0].centre_m, abs=2e-4)
    assert wall_m(skin, held) == pytest.approx(wall_m(skin, bare), rel=1e-6)


def test_levels_know_the_iron(boxed):
    """The section at 0.2 m is less by the rod's, and where it ends the section is whole."""
    _, _, _, ((_, bare), (_, held)) = boxed
    for height, less in ((0.2, np.pi * 0.015**2), (0.35, 0.0)):
        level = int(height / 0.01)
        areas = [graph.node_area_m2[graph.node_level == level].sum() for graph in (bare, held)]
        assert areas[0] - areas[1] == pytest.approx(less, abs=2e-5)


def test_an_iron_lies_where_it_is_whichever_way_the_piece_stands(boxed):
    skin, frame, iron, (_, (held, _)) = boxed
    spots = [Spot(at_m=tuple(frame.to_shell(iron.middle_m + way * iron.half_m[0] * iron.axes[0]))) for way in (-1, 1)]
    item = Item("iron", Range.exact(3.0), finished=False, shape=Shape("rod", *spots, 0.03, 0.03))
    job = SimpleNamespace(
        up=(0.0, 0.0, 1.0), front=(0.0, -1.0, 0.0), site=SimpleNamespace(irons=lambda f: (item.iron(f),))
    )
    lying = pour_frame(skin.vertices_m, np.array([1.0, 0, 0]), np.array([0, -1.0, 0]))
    (turned,) = irons_in(job, skin, lying)
    assert lying.to_shell(turned.middle_m) == pytest.approx(frame.to_shell(iron.middle_m), abs=1e-9)
    cavity = build_cavity(skin, lying, cell_m=0.01, irons=(turned,))
    assert cavity.taken_m3 == pytest.approx(held.taken_m3, rel=0.01)
