"""Straight up through cavity and skin; nearest skin."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity, build_levels, nearest_skin_point, skin_above, straight_up
from pourwright.cavity import columns as columns_module
from pourwright.shell import SkinKind


def test_exit_is_the_first_level_out_of_the_cavity(cells, shapes):
    cavity, graph = cells(shapes["h"])
    columns = straight_up(cavity, graph)
    run = columns.run_of(np.array([[5, 5, 0], [20, 5, 27], [20, 5, 40], [35, 0, 59]]))
    found = np.where(run >= 0, columns.high[run], -1)
    assert found.tolist() == [60, 35, -1, 60]


def test_runs_are_all_of_the_cavity(cells):
    mask = np.random.default_rng(3).random((9, 7, 30)) > 0.4
    cavity, graph = cells(mask, ripple=0.0)
    columns = straight_up(cavity, graph)
    again = np.zeros(mask.shape, bool)
    for (ix, iy), low, high in zip(columns.column, columns.low, columns.high, strict=True):
        assert not again[ix, iy, low:high].any()
        again[ix, iy, low:high] = True
    assert (again == mask).all()
    index = np.argwhere(mask)
    run = columns.run_of(index)
    assert (run >= 0).all()
    assert ((columns.low[run] <= index[:, 2]) & (index[:, 2] < columns.high[run])).all()
    assert (columns.run_of(np.argwhere(~mask)) == -1).all()
    assert (graph.node_level[columns.high_node] == columns.high - 1).all()


@pytest.fixture
def bowl(skin_of, stand):
    mesh = trimesh.creation.box((1.0, 0.8, 0.6))
    skin = skin_of(mesh, 0.05, kind=SkinKind.OPEN, cap=mesh.face_normals[:, 2] > 0.9)
    return skin, stand(skin)


def test_line_up_leaves_through_the_opening(bowl):
    skin, frame = bowl
    point, triangle, opening = skin_above(skin, frame, np.array([[0.5, 0.4, 0.3], [0.5, 0.4, 0.7], [3.0, 0.4, 0.3]]))
    assert opening.tolist() == [0, -1, -1]
    assert point[0] == pytest.approx([0.0, 0.0, 0.3])
    assert skin.cap_opening[triangle[0]] == 0
    assert triangle[1:].tolist() == [-1, -1]
    assert np.isnan(point[1:]).all()


def test_line_up_leaves_through_the_skin_of_a_turned_piece(bowl, stand):
    skin, _ = bowl
    frame = stand(skin, up=(1.0, 0.0, 0.0))
    inside = frame.to_standing(np.array([[0.1, 0.2, 0.05]]))
    point, triangle, opening = skin_above(skin, frame, inside)
    assert point[0] == pytest.approx([0.5, 0.2, 0.05])
    assert opening[0] == -1
    assert triangle[0] >= 0


def test_line_up_passes_the_face_of_the_void(skin_of, stand):
    outer, inner = trimesh.creation.icosphere(3, 0.5), trimesh.creation.icosphere(3, 0.4)
    inner.invert()
    both = trimesh.util.concatenate([outer, inner])
    skin = skin_of(both, kind=SkinKind.BOTH_FACES, void=np.arange(len(both.faces)) >= len(outer.faces))
    frame = stand(skin)
    point, triangle, _ = skin_above(skin, frame, frame.to_standing(np.array([[0.01, 0.02, 0.0]])))
    assert point[0, 2] == pytest.approx(0.5, abs=0.01)
    assert not skin.void_face[triangle[0]]


def test_nearest_skin_is_trimesh_s(skin_of):
    mesh = trimesh.creation.torus(0.4, 0.15)
    skin = skin_of(mesh, 0.01)
    points = np.random.default_rng(5).normal(scale=0.4, size=(200, 3))
    foot, triangle, distance = nearest_skin_point(skin, points)
    expected, apart, _ = trimesh.proximity.closest_point(mesh, points)
    assert (distance <= apart + 1e-12).all()  # trimesh's search is good to 1e-6 or so
    assert distance == pytest.approx(apart, abs=1e-6)
    assert foot == pytest.approx(expected, abs=1e-3)
    on_it = trimesh.triangles.closest_point(mesh.triangles[triangle], points)
    assert on_it == pytest.approx(foot, abs=1e-12)


def test_nearest_skin_leaves_caps_out_unless_asked(bowl):
    skin, _ = bowl
    above = np.array([[0.0, 0.0, 0.4]])
    assert nearest_skin_point(skin, above)[2][0] == pytest.approx(np.hypot(0.4, 0.1))
    assert nearest_skin_point(skin, above, caps=True)[2][0] == pytest.approx(0.1)


def test_a_skin_that_is_asked_again_is_not_sorted_again(skin_of, stand, monkeypatch):
    made = []
    build = columns_module.build_tree
    monkeypatch.setattr(columns_module, "build_tree", lambda *given: made.append(1) or build(*given))
    skins = [skin_of(trimesh.creation.icosphere(3, radius), 0.01) for radius in (0.4, 0.2)]
    far = np.array([[0.0, 0.0, 1.0]])
    for _ in range(3):
        for skin, apart in zip(skins, (0.6, 0.8), strict=True):
            assert nearest_skin_point(skin, far)[2][0] == pytest.approx(apart, abs=1e-3)
    assert len(made) == 2
    upright, turned = stand(skins[0]), stand(skins[0], up=(0.0, 0.0, -1.0))
    for _ in range(2):  # each way up has lines of its own
        for frame, end in ((upright, 0.4), (turned, -0.4), (stand(skins[0], up=(1.0, 0.0, 0.0)), None)):
            point, _, _ = skin_above(skins[0], frame, frame.to_standing(np.array([[0.01, 0.02, 0.0]])))
            assert end is None or point[0, 2] == pytest.approx(end, abs=0.01)


def test_straight_up_agrees_with_the_skin(bowl):
    skin, frame = bowl
    cavity = build_cavity(skin, frame, cell_m=0.02)
    graph = build_levels(cavity)
    columns = straight_up(cavity, graph)
    assert (cavity.grid.origin_m[2] + columns.high * cavity.grid.cell_m).max() == pytest.approx(0.6, abs=0.021)
