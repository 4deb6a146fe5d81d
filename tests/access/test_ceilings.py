"""Level ceilings: found, with their corners, and the vents that are due under them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from pourwright.access import cover_of, level_ceilings, places_on, smallest_tilt
from pourwright.cavity import build_cavity, straight_up
from pourwright.cavity import build_levels as levels

WALL = 0.004


def _turned(mesh, degrees, axis):
    out = mesh.copy()
    out.apply_transform(trimesh.transformations.rotation_matrix(math.radians(degrees), axis))
    return out


@pytest.fixture(scope="module")
def ceilings_of(skin_of, stand):
    def make(mesh, cell=0.01):
        skin = skin_of(mesh, WALL)
        frame = stand(skin)
        cavity = build_cavity(skin, frame, cell_m=cell)
        columns = straight_up(cavity, levels(cavity))
        return level_ceilings(cavity, columns, np.zeros(len(columns.low), bool)), frame

    return make


TANK = trimesh.creation.box((0.6, 0.4, 0.3))


@pytest.mark.parametrize("turn", [0.0, 27.0, 45.0])
def test_a_level_lid_is_one_ceiling_with_its_four_corners(ceilings_of, turn):
    """However the tank stands to the cells: corners by hand, the inside of the lid turned with it."""
    mesh = _turned(TANK, turn, [0, 0, 1])
    (ceiling,), frame = ceilings_of(mesh)
    inside = np.array([[x, y, 0.15 - WALL] for x in (-0.296, 0.296) for y in (-0.196, 0.196)])
    due = frame.to_standing(trimesh.transform_points(inside, trimesh.transformations.rotation_matrix(
        math.radians(turn), [0, 0, 1])))  # fmt: skip
    assert ceiling.area_m2 == pytest.approx(0.592 * 0.392, rel=0.05)
    assert len(ceiling.corners_m) == 4
    for corner in due:
        assert np.linalg.norm(ceiling.corners_m - corner, axis=1).min() < 0.02
    assert np.hypot(*ceiling.slope) < 1e-3


def test_vents_lie_in_the_corners_and_leave_nothing(ceilings_of):
    (ceiling,), _ = ceilings_of(TANK)
    places = places_on(ceiling, 0.012, np.ones(len(ceiling.spots_m), bool))
    assert len(places) == 4
    for corner in ceiling.corners_m:
        assert np.linalg.norm(ceiling.spots_m[places] - corner, axis=1).min() < 0.03
    assert cover_of(ceiling, ceiling.spots_m[places]).air_m3 == 0
    middle = cover_of(ceiling, np.array([[0.3, 0.2, 0.3]]))
    assert middle.corner.all()
    assert middle.air_m3 > 0
    three = cover_of(ceiling, ceiling.spots_m[places[:3]])
    assert three.corner.sum() == 1


def test_where_no_hole_may_be_none_is_put_and_the_air_is_told(ceilings_of):
    (ceiling,), _ = ceilings_of(TANK)
    allowed = ceiling.spots_m[:, 0] < 0.3
    places = places_on(ceiling, 0.012, allowed)
    assert (ceiling.spots_m[places, 0] < 0.3).all()
    left = cover_of(ceiling, ceiling.spots_m[places])
    assert left.corner.sum() == 2
    assert left.air_m3 > 0


def test_air_is_not_led_farther_than_it_goes(ceilings_of):
    """A pontoon's lid of 3 m: vents along it too, no place farther from one than air is pushed."""
    (ceiling,), _ = ceilings_of(trimesh.creation.box((3.0, 0.6, 0.4)), cell=0.02)
    vents = ceiling.spots_m[places_on(ceiling, 0.012, np.ones(len(ceiling.spots_m), bool)), :2]
    far = np.linalg.norm(ceiling.spots_m[:, None, :2] - vents[None], axis=2).min(axis=1)
    assert len(vents) > 4
    assert far.max() <= 0.5 + 0.04


@pytest.mark.parametrize(
    "mesh",
    [
        trimesh.creation.icosphere(4, 0.4),
        trimesh.creation.cylinder(0.09, 0.4, sections=64),
        _turned(TANK, 6.0, [1, 0.7, 0]),
    ],
    ids=["ball", "narrow top", "sloping lid"],
)
def test_what_leads_its_air_to_one_place_is_no_level_ceiling(ceilings_of, mesh):
    assert ceilings_of(mesh)[0] == ()


def test_a_shelf_below_a_higher_part_is_vented_only_away_from_it(ceilings_of):
    parts = [trimesh.creation.box(bounds=[[0, 0, 0], high]) for high in ([0.6, 0.4, 0.3], [0.3, 0.4, 0.5])]
    step = trimesh.boolean.union(parts, engine="manifold")
    found, _ = ceilings_of(step)
    shelf = min(found, key=lambda one: one.crown_m[2])
    vents = shelf.spots_m[places_on(shelf, 0.012, np.ones(len(shelf.spots_m), bool))]
    assert len(found) == 2
    assert len(vents) == 2
    assert (vents[:, 0] > 0.5).all()
    assert cover_of(shelf, vents).air_m3 == 0


def test_a_ring_is_vented_all_round(ceilings_of):
    """A level gunwale, 100 mm wide: every place of it has a vent within reach, along the ring."""
    ring = trimesh.boolean.difference(
        [trimesh.creation.box((1.2, 0.8, 0.1)), trimesh.creation.box((1.0, 0.6, 0.2))], engine="manifold"
    )
    (ceiling,), _ = ceilings_of(ring)
    places = places_on(ceiling, 0.012, np.ones(len(ceiling.spots_m), bool))
    assert len(ceiling.outline.interiors) == 1
    assert cover_of(ceiling, ceiling.spots_m[places]).air_m3 == 0
    assert cover_of(ceiling, ceiling.spots_m[places[:1]]).air_m3 > 0


def test_smallest_tilt_of_a_level_lid_is_by_the_closed_form(ceilings_of):
    """Both sides of a rectangle must slope by 3 degrees: the tilt towards a corner is sqrt(2) tan 3, by hand."""
    (ceiling,), frame = ceilings_of(TANK)
    tilt = smallest_tilt([ceiling], frame.size_m[:2])
    least = math.tan(math.radians(3.0))
    assert np.abs(tilt.rise) == pytest.approx([least, least], rel=1e-6)
    assert tilt.angle_rad == pytest.approx(math.atan(math.sqrt(2.0) * least), rel=1e-6)
    assert abs(tilt.right_m) == pytest.approx(0.6 * least, rel=1e-6)
    assert abs(tilt.back_m) == pytest.approx(0.4 * least, rel=1e-6)
    (to,) = tilt.to_m
    assert np.linalg.norm(ceiling.corners_m - to, axis=1).min() < 1e-9
    assert np.sign(to[:2] - (0.3, 0.2)).tolist() == np.sign(tilt.rise).tolist()


def test_a_lid_with_two_prongs_is_tilted_the_way_that_leaves_one_highest_corner(ceilings_of):
    """Tilted up towards its prongs the air would lie in both: it goes up towards their root, at the same angle."""
    notch = trimesh.creation.box(bounds=[[-0.1, 0.0, -1.0], [0.1, 0.4, 1.0]])
    (ceiling,), frame = ceilings_of(trimesh.boolean.difference([TANK, notch], engine="manifold"))
    tilt = smallest_tilt([ceiling], frame.size_m[:2])
    least = math.tan(math.radians(3.0))
    assert np.abs(tilt.rise) == pytest.approx([least, least], rel=1e-6)
    assert tilt.rise[1] < 0
    assert len(tilt.to_m) == 1
    assert tilt.to_m[0][1] == pytest.approx(WALL, abs=0.011)  # in a corner of the side without prongs, to a cell


def test_a_lid_that_slopes_a_little_is_tilted_by_what_is_missing(ceilings_of):
    """One side slopes by 1.5 degrees already: it needs the rest only."""
    (ceiling,), frame = ceilings_of(_turned(TANK, 1.5, [0, 1, 0]))
    tilt = smallest_tilt([ceiling], frame.size_m[:2])
    missing = math.tan(math.radians(3.0)) - math.tan(math.radians(1.5))
    assert np.sort(np.abs(tilt.rise)) == pytest.approx(sorted([missing, math.tan(math.radians(3.0))]), rel=0.02)


@pytest.mark.parametrize("turn", [0.0, 27.0])
def test_tilted_so_the_piece_has_no_level_ceiling_left(ceilings_of, skin_of, stand, turn):
    """The tank stood anew with the told tilt: its only pocket lies in the told corner."""
    mesh = _turned(TANK, turn, [0, 0, 1])
    (ceiling,), frame = ceilings_of(mesh)
    tilt = smallest_tilt([ceiling], frame.size_m[:2])
    skin = skin_of(mesh, WALL)
    leaning = stand(skin, up=frame.rotation.T @ tilt.up)
    cavity = build_cavity(skin, leaning, cell_m=0.006)
    graph = levels(cavity)
    columns = straight_up(cavity, graph)
    assert level_ceilings(cavity, columns, np.zeros(len(columns.low), bool)) == ()
    (pocket,) = graph.pockets
    assert np.linalg.norm(pocket.point_m - frame.to_shell(tilt.to_m[0])) < 0.04
