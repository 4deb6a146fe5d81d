"""The flattest panels: the known answer for simple bodies, whatever the triangulation."""

import time

import numpy as np
import pytest
import trimesh

from pourwright.panels import flattest_panel, panels
from pourwright.shell import WallBand


@pytest.mark.parametrize("level", [0, 2, 5])
def test_a_box_bulges_on_its_largest_face(odd, skin_of, level):
    worst = flattest_panel(skin_of(odd.box((0.5, 0.8, 0.3), level)))
    assert worst.width_m == pytest.approx(0.5, rel=0.01)
    assert worst.length_m == pytest.approx(0.8, rel=0.01)
    assert worst.area_m2 == pytest.approx(0.4, rel=1e-6)
    assert np.isinf(worst.radius_m)
    assert abs(worst.normal[2]) == pytest.approx(1.0)
    np.testing.assert_allclose(worst.point_m[:2], 0, atol=0.01)
    assert worst.thickness_m == 0.005


def test_the_faces_of_a_box_in_order(odd, skin_of):
    found = panels(skin_of(odd.box((0.5, 0.8, 0.3), 3)), 6)
    assert len(found) == 6
    assert [round(p.width_m, 2) for p in found] == [0.5, 0.5, 0.3, 0.3, 0.3, 0.3]


def test_triangulation_does_not_matter(skin_of):
    # the same box, one face cut into thin strips on one side and coarse on the other
    x = np.r_[np.linspace(-0.25, -0.2, 60), np.linspace(-0.15, 0.25, 4)]
    y = np.linspace(-0.4, 0.4, 9)
    gx, gy = np.meshgrid(x, y, indexing="ij")
    n = np.arange(gx.size).reshape(gx.shape)
    a, b, c, d = (s.ravel() for s in (n[:-1, :-1], n[1:, :-1], n[1:, 1:], n[:-1, 1:]))
    top = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    v = np.column_stack([gx.ravel(), gy.ravel(), np.zeros(gx.size)])
    border = np.concatenate([n[:, 0], n[-1, 1:], n[-2::-1, -1], n[0, -2:0:-1]])
    low = len(v) + np.arange(len(border))
    nxt = np.roll(np.arange(len(border)), -1)
    wall = np.concatenate([np.column_stack([border, low, low[nxt]]), np.column_stack([border, low[nxt], border[nxt]])])
    floor = np.column_stack([np.full(len(border) - 2, low[0]), low[2:], low[1:-1]])
    mesh = np.concatenate([v, v[border] - [0, 0, 0.3]]), np.concatenate([top, wall, floor])
    assert trimesh.Trimesh(*mesh).is_watertight
    worst = flattest_panel(skin_of(mesh))
    assert (worst.width_m, worst.length_m) == pytest.approx((0.5, 0.8), rel=0.01)


@pytest.mark.parametrize("level", [3, 5])
def test_a_ball_has_its_own_radius_and_a_modest_width(odd, skin_of, level):
    worst = flattest_panel(skin_of(odd.sphere(0.5, level)))
    assert worst.radius_m == pytest.approx(0.5, rel=0.02)
    assert worst.double
    assert not worst.dished
    assert 0.1 < worst.width_m <= 0.55


def test_the_side_of_a_cylinder_is_curved_one_way(odd, skin_of):
    v, f = odd.tube(0.3, 1.0, 128)
    worst = flattest_panel(skin_of((v, f)))
    assert worst.radius_m == pytest.approx(0.3, rel=0.03)
    assert not worst.double
    assert worst.length_m == pytest.approx(1.0, rel=0.05)
    assert worst.free_edge_m > 0.5  # it ends on both open rims


def test_the_ends_of_a_closed_cylinder_bulge_before_its_side(skin_of):
    m = trimesh.creation.cylinder(0.3, 1.0, sections=128)
    found = panels(skin_of((m.vertices, m.faces)), 3)
    assert [abs(p.normal[2]) > 0.9 for p in found] == [True, True, False]
    assert found[0].width_m == pytest.approx(0.6, rel=0.01)


def test_caps_are_no_panels(odd, skin_of):
    v, f = odd.box((0.5, 0.8, 0.3), 3)
    top = trimesh.Trimesh(v, f, process=False).face_normals[:, 2] > 0.5
    found = panels(skin_of((v, f[~top])), 6)
    assert len(found) == 5
    assert not any(p.normal[2] > 0.5 for p in found)
    sides = [p for p in found if abs(p.normal[2]) < 0.5]
    assert all(p.free_edge_m == pytest.approx(p.length_m if p.length_m > 0.6 else 0.5, rel=0.02) for p in sides)


def test_a_dished_panel_counts_as_flat(odd, skin_of):
    v, f = odd.box((0.5, 0.5, 0.5), 5)
    v = v.copy()
    top = v[:, 2] > 0.249
    v[top, 2] -= 0.03 * np.cos(np.pi * v[top, 0] / 0.5) * np.cos(np.pi * v[top, 1] / 0.5)
    dished = [p for p in panels(skin_of((v, f)), 12) if p.dished]
    assert dished
    assert all(np.isinf(p.radius_m) and "dished" in p.words for p in dished)


def test_a_bend_ends_a_panel(odd, skin_of):
    # a roof of two slopes at 12 degrees: two panels, not one
    v, f = odd.box((1.0, 0.6, 0.3), 5)
    v = v.copy()
    v[v[:, 2] > 0.149, 2] -= 0.2 * np.abs(v[v[:, 2] > 0.149, 0])
    up = [p for p in panels(skin_of((v, f)), 6) if p.normal[2] > 0.5]
    assert len(up) == 2
    assert all(0.45 < p.width_m < 0.55 for p in up)


def test_scanner_noise_does_not_hide_a_panel(odd, skin_of):
    v, f = odd.with_noise(odd.box((0.5, 0.8, 0.3), 6), 3e-4)
    worst = flattest_panel(skin_of((v, f)))
    assert (worst.width_m, worst.length_m) == pytest.approx((0.5, 0.8), rel=0.03)
    assert np.isinf(worst.radius_m)


def test_thinnest_band_on_the_panel_counts(odd, skin_of):
    bands = (WallBand("low", 0.0, 0.2, 0.006), WallBand("high", 0.2, np.inf, 0.003))
    tall = skin_of(odd.box((0.3, 0.4, 1.0), 3), bands=bands)
    worst = flattest_panel(tall)
    assert worst.thickness_m == 0.003


def test_the_wall_behind_a_drawn_void_is_measured(odd, skin_of):
    mesh = odd.join(odd.box((0.5, 0.8, 0.3)), odd.box((0.488, 0.788, 0.288)))
    worst = flattest_panel(skin_of(mesh, wall=None))
    assert worst.thickness_m == pytest.approx(0.006, rel=1e-4)
    assert worst.width_m == pytest.approx(0.488, rel=0.01)
    assert abs(worst.point_m[2]) == pytest.approx(0.144, rel=1e-4)
    assert worst.normal[2] == pytest.approx(np.sign(worst.point_m[2]))


def test_a_figure_gives_the_same_panels_twice_within_a_second(odd, skin_of):
    skin = skin_of(odd.figure(6))
    first = panels(skin)
    start = time.perf_counter()
    second = panels(skin)
    assert time.perf_counter() - start < 3.0  # about 0.5 s on two idle cores
    assert [p.words for p in first] == [p.words for p in second]
    for a, b in zip(first, second, strict=True):
        np.testing.assert_array_equal(a.point_m, b.point_m)
        np.testing.assert_array_equal(a.outline_m, b.outline_m)


def test_arrays_cannot_be_written(odd, skin_of):
    skin = skin_of(odd.bowl())
    worst = flattest_panel(skin)
    for array in (skin.vertices_m, skin.faces, skin.openings[0].loop_m, worst.point_m, worst.outline_m):
        assert not array.flags.writeable
