"""What holds a piece under weight, side pressure and push: chosen from the piece, on the side that can be held."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import pour_frame
from pourwright.errors import ShellError
from pourwright.outcome import Anchor, Boat, Hang, Site, Spot, Stand
from pourwright.plan.structural import resting_of
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import SkinMesh, even_mesh, resting, support_of
from pourwright.structure.support import CHOCK_AT

LONG, WIDE, DEEP, THICK = 2.0, 0.5, 0.4, 0.08


def trough():
    """An open hull, round below: outer hull and liner as one closed skin, along x, its keel at z = 0."""
    turn = np.linspace(0, np.pi, 25)
    outer = np.c_[-WIDE * np.cos(turn), DEEP * (1 - np.sin(turn))]
    inner = np.c_[-(WIDE - THICK) * np.cos(turn), DEEP - (DEEP - THICK) * np.sin(turn)]
    ring = np.vstack([outer, inner[::-1]])
    count, stations = len(ring), 21
    points = np.vstack([np.c_[np.full(count, x), ring] for x in np.linspace(0, LONG, stations)])
    faces = []
    for i in range(stations - 1):
        for j in range(count):
            a, b = i * count + j, i * count + (j + 1) % count
            faces += [[a, b, b + count], [a, b + count, a + count]]
    for end, flip in ((0, 1), ((stations - 1) * count, -1)):
        for j in range(24):
            a, b, c, d = end + j, end + j + 1, end + count - 2 - j, end + count - 1 - j
            faces += [[a, b, c][::flip], [a, c, d][::flip]]
    made = trimesh.Trimesh(points, faces)
    trimesh.repair.fix_normals(made)
    return made


def mesh_of(made, triangles=3000):
    points, faces, _ = even_mesh(made.vertices, made.faces, triangles)
    surface = trimesh.Trimesh(points, faces, process=False)
    side = float(surface.edges_unique_length.mean())
    wall = np.full(len(points), 0.004)
    return SkinMesh(points, faces, np.full(len(faces), 0.004), wall, np.array(surface.vertex_normals), side, "")


@pytest.fixture(scope="module")
def hull():
    made = trough()
    assert made.is_watertight
    assert made.volume > 0
    return mesh_of(made)


@pytest.fixture
def lies_on(tmp_path):
    def how(made):
        file = tmp_path / "piece.stl"
        made.export(file)
        bands = (WallBand("wall", -math.inf, math.inf, 0.004, 0.1),)
        skin = load_skin(file, unit="m", material=skin_material("grp"), bands=bands)
        return resting(skin, pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0])))

    return how


def test_a_cradle_holds_the_outside_of_a_hull_and_not_its_liner(hull):
    made = support_of(hull, "cradle", np.zeros((0, 3)))
    p = hull.vertices_m[made.held[:, 0]]
    assert not made.held[:, 3:].any()  # it may turn on its chocks
    radius = np.hypot(p[:, 1] / WIDE, (p[:, 2] - DEEP) / DEEP)
    assert radius.min() > 0.97  # on the outer ellipse; the liner is at 0.84 and 0.8
    assert p[:, 2].max() <= 0.5 * DEEP + 1e-9
    for at in (CHOCK_AT * LONG, (1 - CHOCK_AT) * LONG):
        mine = p[np.abs(p[:, 0] - at) < 0.2]
        assert len(mine) >= 6
        assert np.ptp(mine[:, 1]) > 1.2 * WIDE  # both bilges, not the keel alone
    assert np.abs(np.abs(p[:, 0] - LONG / 2) - (0.5 - CHOCK_AT) * LONG).max() < 0.12
    assert "two chocks" in made.words


def test_a_gunwale_is_the_upper_edge_all_round(hull):
    p = hull.vertices_m[support_of(hull, "gunwale", np.zeros((0, 3))).held[:, 0]]
    assert p[:, 2].min() > 0.85 * DEEP
    assert (p[:, 1] > 0.8 * (WIDE - THICK)).any()
    assert (p[:, 1] < -0.8 * (WIDE - THICK)).any()
    assert np.ptp(p[:, 0]) > 0.95 * LONG


def test_a_base_is_the_lowest_band_clamped():
    made = trimesh.creation.box((0.3, 0.2, 0.8))
    got = support_of(mesh_of(made, 1500), "base", np.zeros((0, 3)))
    held = got.held.all(axis=1)
    p = mesh_of(made, 1500).vertices_m
    assert p[held, 2].max() < -0.4 + 0.03
    assert np.ptp(p[held, :2], axis=0) == pytest.approx([0.3, 0.2])


def test_the_shape_says_how_a_piece_lies(lies_on):
    ball = trimesh.creation.icosphere(4, 0.3)
    post = trimesh.creation.box((0.2, 0.2, 1.5))
    on_a_point = trimesh.creation.cone(0.2, 1.5)  # upside down: tall, so it is taken to be fixed at its foot
    on_a_point.apply_scale((1, 1, -1))
    on_a_point.invert()
    assert lies_on(trough()) == "cradle"
    assert lies_on(ball) == "cradle"
    assert lies_on(trimesh.creation.box((0.6, 0.4, 0.3))) == "base"
    assert lies_on(post) == "base"
    assert lies_on(on_a_point) == "base"


def test_what_the_job_says_goes_before_the_shape():
    hang = Hang(out=(0.0, -1.0, 0.0), up=(0.0, 0.0, 1.0))
    anchor = Anchor("A1", Spot(at_m=(0.0, 0.0, 0.0)))
    plate = Stand(pads_m=((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    assert resting_of("auto", Site(boat=Boat())) == "cradle"
    assert resting_of("auto", Site(anchors=(anchor,), hang=hang)) == "anchors"
    assert resting_of("auto", Site(stand=plate)) == "base"
    assert resting_of("auto", Site()) == "auto"
    assert resting_of("gunwale", Site(boat=Boat())) == "gunwale"


def test_anchors_that_are_not_there_are_refused(hull):
    with pytest.raises(ShellError, match="no \\[\\[anchor\\]\\]"):
        support_of(hull, "anchors", np.zeros((0, 3)))
