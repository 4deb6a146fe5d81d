"""Outside, both faces, open: what a mesh is taken for, and that the result is closed and wound outwards."""

import numpy as np
import pytest
import trimesh

from pourwright.errors import ShellError
from pourwright.shell import SkinKind


def closed(skin):
    m = trimesh.Trimesh(skin.vertices_m, skin.faces, process=False)
    return m.is_watertight and m.is_winding_consistent


def test_a_closed_body_is_the_outside(odd, skin_of):
    mesh = odd.figure()
    skin = skin_of(mesh)
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.watertight
    assert closed(skin)
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*mesh), rel=1e-5)
    assert skin.area_m2 == pytest.approx(odd.area(*mesh), rel=1e-5)
    assert skin.findings == ()


def test_an_inside_out_body_is_turned(odd, skin_of):
    skin = skin_of(odd.inside_out(odd.sphere()))
    assert odd.volume(skin.vertices_m, skin.faces) == pytest.approx(odd.inscribed_volume(), rel=1e-5)


@pytest.mark.parametrize("flip", [False, True])
def test_a_ball_in_a_ball_is_both_faces_however_it_is_wound(odd, skin_of, flip):
    inner = odd.sphere(0.45)
    skin = skin_of(odd.join(odd.sphere(), odd.inside_out(inner) if flip else inner), wall=None)
    assert skin.kind is SkinKind.BOTH_FACES
    assert skin.bands == ()
    assert skin.void_face.sum() == len(inner[1])
    wall = odd.inscribed_volume() - odd.inscribed_volume(0.45)
    assert odd.volume(skin.vertices_m, skin.faces) == pytest.approx(wall, rel=1e-5)
    assert odd.volume(skin.vertices_m, skin.faces[skin.void_face]) < 0
    assert skin.area_m2 == pytest.approx(odd.area(*odd.sphere()), rel=1e-5)
    assert skin.enclosed_m3 == pytest.approx(odd.inscribed_volume(), rel=1e-5)


def test_two_voids_and_a_core_in_one_of_them(odd, skin_of):
    parts = [
        odd.box((2.0, 1.0, 1.0)),
        odd.sphere(0.4, 3, (-0.5, 0, 0)),
        odd.sphere(0.4, 3, (0.5, 0, 0)),
        odd.sphere(0.2, 3, (0.5, 0, 0)),
    ]
    skin = skin_of(odd.join(*parts), wall=None)
    assert skin.kind is SkinKind.BOTH_FACES
    assert "2 closed inner surfaces" in skin.kind_reason
    solid = 2.0 - 2 * odd.inscribed_volume(0.4, 3) + odd.inscribed_volume(0.2, 3)
    assert odd.volume(skin.vertices_m, skin.faces) == pytest.approx(solid, rel=1e-5)


def test_a_neighbour_is_not_inside_though_its_box_is(odd, skin_of):
    # a ball in the hole of a ring: inside its box, outside its body
    skin = skin_of(odd.join(odd.torus(), odd.sphere(0.2, 3)))
    assert skin.kind is SkinKind.OUTSIDE
    assert any(f.name == "several bodies" for f in skin.findings)
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*odd.torus()) + odd.inscribed_volume(0.2, 3), rel=1e-5)


def test_debris_inside_is_left_out_and_said(odd, skin_of):
    skin = skin_of(odd.join(odd.sphere(), odd.sphere(0.05, 2)))
    assert skin.kind is SkinKind.OUTSIDE
    assert "debris" in skin.kind_reason
    assert any(f.name == "inner bodies" for f in skin.findings)
    assert len(skin.faces) == len(odd.sphere()[1])


def test_the_job_may_count_debris_as_the_void(odd, skin_of):
    skin = skin_of(odd.join(odd.sphere(), odd.sphere(0.05, 2)), wall=None, kind=SkinKind.BOTH_FACES)
    assert skin.void_face.sum() == len(odd.sphere(0.05, 2)[1])
    assert skin.kind_reason.startswith("The job says so")


def test_a_bowl_is_open_and_its_cap_is_flat(odd, skin_of):
    skin = skin_of(odd.bowl())
    assert skin.kind is SkinKind.OPEN
    assert not skin.watertight
    assert closed(skin)
    (opening,) = skin.openings
    assert opening.name == "opening 1"
    np.testing.assert_allclose(opening.normal, [0, 0, 1], atol=1e-9)
    np.testing.assert_allclose(opening.centroid_m, [0, 0, 0.1], atol=2e-3)
    assert opening.area_m2 == pytest.approx(np.pi * (0.25 - 0.01), rel=5e-3)
    cap = skin.faces[skin.cap_opening == 0]
    assert odd.area(skin.vertices_m, cap) == pytest.approx(opening.area_m2, rel=1e-9)
    # the loop is ordered: no step is longer than the mesh's edges, and it runs once around
    steps = np.linalg.norm(np.roll(opening.loop_m, -1, axis=0) - opening.loop_m, axis=1)
    assert steps.max() < 0.1
    assert steps.sum() == pytest.approx(2 * np.pi * np.sqrt(0.24), rel=5e-3)
    # half-open slab of a ball: pi h^2 (3 r - h) / 3 with h = 0.6
    assert skin.enclosed_m3 == pytest.approx(np.pi * 0.36 * (1.5 - 0.6) / 3, rel=5e-3)


def test_a_tube_has_two_openings_that_face_away(odd, skin_of):
    skin = skin_of(odd.tube())
    assert [o.name for o in skin.openings] == ["opening 1", "opening 2"]
    assert {round(float(o.normal[2])) for o in skin.openings} == {1, -1}
    assert closed(skin)


def test_a_ring_shaped_channel_has_one_ring_shaped_opening(odd, skin_of):
    skin = skin_of(odd.trough())
    (opening,) = skin.openings
    n = 60
    ring = 0.5 * n * np.sin(2 * np.pi / n) * (0.25 - 0.09)
    assert opening.area_m2 == pytest.approx(ring, rel=1e-4)
    assert skin.enclosed_m3 == pytest.approx(ring * 0.2, rel=1e-4)
    assert closed(skin)


def test_openings_are_named_largest_first(odd, skin_of):
    v, f = odd.tube()
    narrow = v.copy()
    narrow[v[:, 2] > 0, :2] *= 0.5
    skin = skin_of((narrow, f))
    areas = [o.area_m2 for o in skin.openings]
    assert areas == sorted(areas, reverse=True)
    assert skin.openings[0].normal[2] == pytest.approx(-1.0)


def test_a_rim_that_is_not_flat_is_refused_with_numbers(odd, skin_of):
    v, f = odd.tube()
    v = v.copy()
    v[:, 2] += np.where(v[:, 2] > 0, 0.4 * np.sin(2 * np.arctan2(v[:, 1], v[:, 0])), 0)
    with pytest.raises(ShellError, match=r"out of flat by 400 mm, 75% of its width; up to 10%"):
        skin_of((v, f))


def test_a_rim_that_is_nearly_flat_is_capped_with_a_warning(odd, skin_of):
    v, f = odd.tube()
    v = v.copy()
    v[:, 2] += np.where(v[:, 2] > 0, 0.02 * np.sin(2 * np.arctan2(v[:, 1], v[:, 0])), 0)
    skin = skin_of((v, f))
    assert closed(skin)
    assert any(f.name == "uneven rim" and f.severity == "warning" for f in skin.findings)


def test_a_wall_drawn_with_both_faces_and_open_is_parted_at_its_lip(odd, skin_of):
    skin = skin_of(odd.vase(wall=0.01), wall=None)
    assert skin.kind is SkinKind.BOTH_FACES
    assert "drawn with both its faces and open" in skin.kind_reason
    (opening,) = skin.openings
    np.testing.assert_allclose(opening.normal, [0, 0, 1], atol=0.02)
    assert opening.area_m2 == pytest.approx(np.pi * 0.24 * 0.98**2, rel=0.05)
    void = skin.faces[skin.void_face]
    # the bowl of 0.49 m up to its mouth
    assert -odd.volume(skin.vertices_m, void) == pytest.approx(np.pi * 0.36 * (1.5 - 0.6) / 3 * 0.98**3, rel=0.02)
    assert skin.enclosed_m3 == pytest.approx(np.pi * 0.36 * (1.5 - 0.6) / 3, rel=0.02)
    for part in (skin.void_face, ~skin.void_face):
        m = trimesh.Trimesh(skin.vertices_m, skin.faces[part], process=False)
        assert m.is_watertight
        assert m.is_winding_consistent
    # a lid on the outside and one on the inside, back to back
    lids = skin.faces[(skin.cap_opening == 0) & skin.void_face], skin.faces[(skin.cap_opening == 0) & ~skin.void_face]
    areas = [odd.area(skin.vertices_m, lid) for lid in lids]
    assert areas[0] == pytest.approx(areas[1])


def test_a_scrap_that_hangs_on_an_edge_of_such_a_wall_does_not_hide_its_lip(odd, skin_of):
    v, f = odd.vase(wall=0.01)
    low = f[np.argmin(v[f][:, :, 2].sum(axis=1))]
    a, b, n = v[low[0]], v[low[1]], len(v)
    tip = np.array([[0.0, 0.0, -0.02], [0.002, 0.0, -0.02]]) + 0.5 * (a + b)
    scrap = np.array([[low[0], low[1], n], [low[1], low[0], n + 1], [low[0], n, n + 1], [low[1], n + 1, n]])
    skin = skin_of((np.vstack([v, tip]), np.vstack([f, scrap])), wall=None)
    assert skin.kind is SkinKind.BOTH_FACES
    assert len(skin.openings) == 1


def test_the_outer_face_of_such_a_wall_can_be_asked_for(odd, skin_of):
    skin = skin_of(odd.vase(wall=0.01), kind=SkinKind.OPEN)
    assert skin.kind is SkinKind.OPEN
    assert not skin.void_face.any()
    assert closed(skin)
    assert len(skin.openings) == 1


def test_a_wall_whose_mouth_cannot_be_told_is_refused_with_the_reason(odd, skin_of):
    # the lip is folded into a saddle: no flat cap closes it
    v, f = odd.vase(wall=0.01)
    high = v[:, 2] > 0.05
    v = v.copy()
    v[high, 2] += 0.4 * np.cos(2 * np.arctan2(v[high, 1], v[high, 0])) * (v[high, 2] - 0.05) / 0.05
    with pytest.raises(ShellError, match=r"drawn with both its faces and open to the outside .* give its outside face"):
        skin_of((v, f))


def test_the_job_may_say_that_a_thin_body_is_the_outside(odd, skin_of):
    skin = skin_of(odd.vase(wall=0.02), kind=SkinKind.OUTSIDE)
    assert skin.kind is SkinKind.OUTSIDE
    assert closed(skin)


@pytest.mark.parametrize("size", [(0.9, 0.9, 0.05), (2.0, 0.04, 0.04)])
def test_a_thin_panel_and_a_rod_are_outsides(odd, skin_of, size):
    assert skin_of(odd.box(size)).kind is SkinKind.OUTSIDE


@pytest.mark.parametrize(
    ("kind", "words"),
    [(SkinKind.BOTH_FACES, "no closed inner surface"), (SkinKind.OPEN, "no rim to cap")],
)
def test_a_kind_that_the_mesh_cannot_be_is_an_error(odd, skin_of, kind, words):
    with pytest.raises(ShellError, match=words):
        skin_of(odd.sphere(), kind=kind)


def test_outside_asked_of_an_open_shell_is_an_error(odd, skin_of):
    with pytest.raises(ShellError, match="open on 1 rim"):
        skin_of(odd.bowl(), kind=SkinKind.OUTSIDE)


def test_small_ragged_holes_are_closed_and_are_no_openings(odd, skin_of):
    skin = skin_of(odd.with_faces_missing(odd.figure(), 0.01))
    assert skin.kind is SkinKind.OUTSIDE
    assert skin.openings == ()
    assert any(f.name == "holes" for f in skin.findings)
    assert skin.enclosed_m3 == pytest.approx(odd.volume(*odd.figure()), rel=1e-3)


def test_a_drilled_port_in_the_mesh_is_an_opening(odd, skin_of):
    # a plate 0.5 m square with a 30 mm hole of 24 sides in it, on a box
    hole = np.array([[0.015 * np.cos(t), 0.015 * np.sin(t)] for t in np.linspace(0, 2 * np.pi, 24, endpoint=False)])
    from shapely.geometry import Polygon

    m = trimesh.creation.extrude_polygon(Polygon(np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) / 4, [hole]), 0.3)
    bore = np.hypot(*m.triangles_center[:, :2].T) < 0.0151
    floor = m.face_normals[:, 2] < -0.5
    plain = trimesh.creation.box((0.5, 0.5, 0.3))
    base = plain.faces[plain.face_normals[:, 2] < -0.5]
    mesh = odd.join((m.vertices, m.faces[~bore & ~floor]), (plain.vertices + np.array([0, 0, 0.15]), base))
    skin = skin_of(mesh)
    (opening,) = skin.openings
    assert opening.area_m2 == pytest.approx(12 * 0.015**2 * np.sin(2 * np.pi / 24), rel=1e-3)
