"""Holes with room on both faces of the wall, against outlines cut by shapely and distances by trimesh.

Three cases as they were met on the bench: a hole that hung 9.6 mm over the edge of a cockpit, a hole of 40 mm with its
rim inside a side wall of 6 mm, and a hole across two chambers.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from tests.lifts.conftest import box, joined

from pourwright.access import edges_of
from pourwright.cavity import build_cavity
from pourwright.cavity.grid import choose_cell
from pourwright.errors import CavityError
from pourwright.lifts import HoleRules, ShopLimits
from pourwright.shell import SkinKind

WALL = 0.006


def _drilled(made):
    """Every hole that is drilled: name, where in plan, diameter."""
    ports = [(port.name, port.point_m, port.hole_m) for port in made.plan.ports if port.way == "drilled"]
    return ports + [(one.name, one.point_m, one.hole_m) for one in made.plan.vents if one.way == "drilled"]


def _disc(point, hole):
    return shapely.Point(*point[:2]).buffer(0.5 * hole, quad_segs=64)


def test_no_hole_hangs_over_the_edge_of_a_cockpit(planned):
    """A box boat: decks of 90 mm round a cockpit. Every rim lies on the deck, and ports keep their flange off it."""
    hull = box(0, 1.2, 0, 0.6, 0, 0.3).difference(box(0.2, 1.1, 0.09, 0.51, 0.1, 0.4))
    made = planned(hull, wall=WALL, cell=0.008)
    deck = shapely.box(0, 0, 1.2, 0.6).difference(shapely.box(0.2, 0.09, 1.1, 0.51))
    sole = shapely.box(0.2, 0.09, 1.1, 0.51)
    assert _drilled(made)
    for name, point, hole in _drilled(made):
        face = deck if point[2] > 0.2 else sole
        assert face.contains(_disc(point, hole)), name
        if name[0] == "P":
            assert face.contains(_disc(point, hole + 0.016 - 1e-6)), name
            # and on the inner face: the void under the deck is narrower by the walls of cockpit and hull
            void = deck.buffer(-WALL) if face is deck else sole.buffer(0.09 - WALL)
            assert void.contains(_disc(point, hole)), name


def test_no_rim_lies_inside_a_side_wall(planned):
    """A lid 76 mm deep with walls of 6 mm: the rim of what is drilled lies over the void, not over the wall."""
    made = planned(box(0, 0.8, 0, 0.076, 0, 0.3), wall=WALL, cell=0.004)
    void = shapely.box(WALL, WALL, 0.8 - WALL, 0.076 - WALL)
    ports = [port for port in made.plan.ports if port.way == "drilled"]
    assert ports
    for name, point, hole in _drilled(made):
        assert void.contains(_disc(point, hole)), name


@pytest.fixture(scope="module")
def two_chambers():
    """A closed box of 0.5 by 0.2 by 0.3 m, walls 6 mm, parted in the middle by 6 mm: both faces of every wall."""
    outer = box(0, 0.5, 0, 0.2, 0, 0.3)
    rooms = [box(WALL, 0.247, WALL, 0.194, WALL, 0.294), box(0.253, 0.494, WALL, 0.194, WALL, 0.294)]
    for room in rooms:
        room.invert()
    mesh = trimesh.util.concatenate([outer, *rooms])
    void = np.arange(len(mesh.faces)) >= len(outer.faces)
    plans = [shapely.box(WALL, WALL, 0.247, 0.194), shapely.box(0.253, WALL, 0.494, 0.194)]
    return mesh, void, plans


def test_each_chamber_has_its_own_hole_and_none_lies_across_two(planned, two_chambers):
    mesh, void, plans = two_chambers
    made = planned(mesh, wall=None, cell=0.003, kind=SkinKind.BOTH_FACES, void=void)
    served = set()
    for name, point, hole in _drilled(made):
        inside = [k for k, plan in enumerate(plans) if plan.contains(_disc(point, hole))]
        assert len(inside) == 1, name
        if name[0] == "P":
            served |= set(inside)
    assert served == {0, 1}
    assert made.plan.unreached_m3 == 0


def test_a_port_asked_for_across_two_chambers_is_over_the_limit_for_room(planned, two_chambers):
    """Where the job insists, the hole's own check says so: no silent hole into a wall."""
    mesh, void, _ = two_chambers
    limits = ShopLimits(holes=HoleRules(at_m=((0.245, 0.1, 0.3),)))
    made = planned(mesh, wall=None, cell=0.003, kind=SkinKind.BOTH_FACES, void=void, limits=limits)
    pours = [pour for lift in made.plan.lifts for pour in lift.pours]
    through = [pour for pour in pours if any(one.port.name == "P1" for one in pour.landings)]
    assert through
    for pour in through:
        room = [check for check in pour.checks if check.name == "room for a hole"]
        assert [check.verdict for check in room] == ["over"]


def test_chambers_that_would_run_together_in_the_cells_are_refused_and_never_chosen(skin_of, stand, two_chambers):
    """A wall of 6 mm between two chambers in cells of 6 mm: one hole would seem to fill both."""
    mesh, void, _ = two_chambers
    skin = skin_of(mesh, None, kind=SkinKind.BOTH_FACES, void=void)
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    with pytest.raises(CavityError, match=r"2 closed chambers.*the wall between them is 6 mm.*3 mm"):
        build_cavity(skin, frame, cell_m=0.006, apart=True)
    long = mesh.copy()
    long.vertices[:, 1] *= 10.0  # 2 m: 256 cells along it would be 7.8 mm
    skin = skin_of(long, None, kind=SkinKind.BOTH_FACES, void=void)
    assert choose_cell(skin, stand(skin, (0, 0, 1.0), (0, -1.0, 0)), 1_500_000_000) <= 0.0031


def test_chambers_that_run_together_are_refused_also_where_one_of_them_falls_apart(skin_of, stand):
    """Two pieces of cells for two chambers used to pass: one held both but for an end behind a slit."""
    outer, first = box(0, 0.8, 0, 0.2, 0, 0.3), box(WALL, 0.247, WALL, 0.194, WALL, 0.294)
    slit = box(0.49, 0.56, 0.099, 0.101, 0.1, 0.102)
    second = joined(box(0.253, 0.5, WALL, 0.194, WALL, 0.294), box(0.55, 0.794, WALL, 0.194, WALL, 0.294), slit)
    for room in (first, second):
        room.invert()
    mesh = trimesh.util.concatenate([outer, first, second])
    skin = skin_of(mesh, None, kind=SkinKind.BOTH_FACES, void=np.arange(len(mesh.faces)) >= len(outer.faces))
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    with pytest.raises(CavityError, match=r"2 closed chambers.*the wall between them is 6 mm"):
        build_cavity(skin, frame, cell_m=0.006, apart=True)
    build_cavity(skin, frame, cell_m=0.0025, apart=True)  # the slit is still none to the cells; the chambers are apart


def test_a_chamber_too_narrow_for_any_cell_is_refused_and_not_left_empty_without_a_word(skin_of, stand):
    """A slit of 2 mm beside a chamber, behind a wall of 30 mm: cells of 6 mm saw a piece of one chamber."""
    outer, room = box(0, 0.5, 0, 0.2, 0, 0.3), box(WALL, 0.4, WALL, 0.194, WALL, 0.294)
    slit = box(0.43, 0.432, WALL, 0.194, WALL, 0.294)
    for void in (room, slit):
        void.invert()
    mesh = trimesh.util.concatenate([outer, room, slit])
    skin = skin_of(mesh, None, kind=SkinKind.BOTH_FACES, void=np.arange(len(mesh.faces)) >= len(outer.faces))
    frame = stand(skin, (0, 0, 1.0), (0, -1.0, 0))
    litres = 1e3 * 0.002 * (0.194 - WALL) * (0.294 - WALL)
    with pytest.raises(CavityError, match=rf"one of {litres:.3g} L .* is lost.*2 mm wide.*0.9\d+ mm"):
        build_cavity(skin, frame, cell_m=0.006, apart=True)
    seen = build_cavity(skin, frame, cell_m=0.002, apart=True)  # wider cells than asked for may see it as well
    assert seen.volume_m3 == pytest.approx(room.volume * -1 + litres / 1e3, rel=0.01)
    left = build_cavity(skin, frame, cell_m=0.006, stray_void_m3=2e-4, apart=True)  # asked to stay empty
    assert left.volume_m3 == pytest.approx(-room.volume, rel=0.01)


def test_a_bubble_in_a_wall_is_no_chamber(skin_of, stand, two_chambers):
    """It lay 0.5 mm behind the wall of a chamber, and cells of a quarter of a millimetre were chosen for it."""
    mesh, void, _ = two_chambers
    bubble = trimesh.creation.icosphere(subdivisions=2, radius=0.002)
    bubble.apply_translation([0.25, 0.1, 0.15])
    bubble.invert()
    both = trimesh.util.concatenate([mesh, bubble])
    cells = []
    for one, marks in ((mesh, void), (both, np.append(void, np.ones(len(bubble.faces), bool)))):
        skin = skin_of(one, None, kind=SkinKind.BOTH_FACES, void=marks)
        cells.append(choose_cell(skin, stand(skin, (0, 0, 1.0), (0, -1.0, 0)), 1_500_000_000))
    assert cells[1] == pytest.approx(cells[0])


def test_roughness_of_a_scan_is_no_edge_and_a_crease_is(skin_of):
    """A lid with one corner of its mesh pushed in: only its real edges count, at the distances of the box."""
    lid = trimesh.creation.box(extents=[0.6, 0.3, 0.2]).subdivide_to_size(0.012)
    rough = lid.copy()
    top = np.flatnonzero((rough.vertices[:, 2] > 0.0999) & (np.abs(rough.vertices[:, 0]) < 0.2))
    dent = top[np.argmin(np.abs(rough.vertices[top, :2]).sum(axis=1))]
    rough.vertices[dent, 2] -= 0.012
    points = np.array([rough.vertices[dent] + [0.008, 0.0, 0.012], [0.28, 0.0, 0.1]])
    assert (rough.face_adjacency_angles > np.radians(46)).sum() > (lid.face_adjacency_angles > np.radians(46)).sum()
    away = [edges_of(skin_of(mesh, WALL), 0.001).away_m(points) for mesh in (lid, rough)]
    assert away[1] == pytest.approx(away[0], abs=1e-9)
    assert away[0] == pytest.approx([0.15 - abs(points[0, 1]), 0.02], abs=1e-3)
