"""Outlines, flat tops and closed surfaces of nodes."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity, build_levels, free_surface, outline, region_mesh


@pytest.fixture(scope="module")
def ring(skin_of, stand):
    skin = skin_of(trimesh.creation.torus(0.4, 0.15, major_sections=160, minor_sections=80), 0.01)
    cavity = build_cavity(skin, stand(skin, up=(1.0, 0.1, 0.2)), cell_m=0.008)
    return cavity, build_levels(cavity)


def test_outline_has_the_area_of_its_nodes(ring):
    _, graph = ring
    for level in range(5, graph.levels - 5, 11):
        nodes = np.flatnonzero(graph.node_level == level)
        whole = outline(*ring, level)
        assert whole.is_valid
        assert whole.area == pytest.approx(graph.node_area_m2[nodes].sum(), rel=5e-3)
        assert whole.length == pytest.approx(graph.node_perimeter_m[nodes].sum(), rel=1e-6)
        each = [outline(*ring, level, [node]) for node in nodes]
        assert sum(part.area for part in each) == pytest.approx(whole.area, rel=1e-9)


def test_hole_in_a_level_is_a_hole(skin_of, stand):
    skin = skin_of(trimesh.creation.torus(0.4, 0.15), 0.01)
    cavity = build_cavity(skin, stand(skin), cell_m=0.01)
    graph = build_levels(cavity)
    flat = outline(cavity, graph, graph.levels // 2)
    assert len(flat.geoms) == 1
    assert len(flat.geoms[0].interiors) == 1


def test_outline_of_nodes_of_another_level_is_empty(ring):
    assert outline(*ring, 40, [0]).is_empty


def test_region_is_closed_and_holds_the_volume_of_its_nodes(ring):
    cavity, graph = ring
    band = np.flatnonzero((graph.node_level >= 30) & (graph.node_level < 60))
    mesh = trimesh.Trimesh(*region_mesh(cavity, graph, band))
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(graph.node_volume_m3[band].sum(), rel=3e-3)
    z = cavity.frame.to_standing(mesh.vertices)[:, 2]
    assert (z.min(), z.max()) == pytest.approx((graph.level_m[30], graph.level_m[60]), abs=1e-9)
    flat_top = np.isclose(cavity.frame.to_standing(mesh.triangles)[:, :, 2], graph.level_m[60], atol=1e-9).all(axis=1)
    assert mesh.area_faces[flat_top].sum() == pytest.approx(graph.node_area_m2[graph.node_level == 59].sum(), rel=0.02)


def test_region_of_all_nodes_is_the_cavity(ring):
    cavity, graph = ring
    mesh = trimesh.Trimesh(*region_mesh(cavity, graph, np.arange(len(graph.node_level))))
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(cavity.volume_m3, rel=3e-3)
    assert mesh.euler_number == 0  # a ring


def test_regions_of_consecutive_lifts_meet(ring):
    cavity, graph = ring
    top = graph.levels
    parts = [
        np.flatnonzero((graph.node_level >= a) & (graph.node_level < b)) for a, b in ((0, 50), (50, 90), (90, top))
    ]
    meshes = [trimesh.Trimesh(*region_mesh(cavity, graph, part)) for part in parts]
    assert sum(m.volume for m in meshes) == pytest.approx(cavity.volume_m3, rel=3e-3)


def test_no_nodes_no_region(ring):
    vertices, faces = region_mesh(*ring, np.array([], int))
    assert len(vertices) == len(faces) == 0


def test_free_surface_lies_flat_and_faces_up(ring):
    cavity, graph = ring
    nodes = np.flatnonzero(graph.node_level < 60)
    mesh = trimesh.Trimesh(*free_surface(cavity, graph, 60, nodes))
    assert mesh.area == pytest.approx(graph.node_area_m2[graph.node_level == 59].sum(), rel=5e-3)
    assert cavity.frame.to_standing(mesh.vertices)[:, 2] == pytest.approx(graph.level_m[60])
    assert (mesh.face_normals @ cavity.frame.up > 0.999).all()
    assert len(free_surface(cavity, graph, 90, nodes)[1]) == 0
