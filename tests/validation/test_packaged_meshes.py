"""Volume, occupancy and sections on meshes that the PyVista package carries (pyvista.examples, MIT), against
trimesh (signed volume, exact plane sections, ray containment) and manifold3d (volume of a union of solids)."""

from __future__ import annotations

from pathlib import Path

import manifold3d
import numpy as np
import pytest
import pyvista.examples
import shapely
import trimesh

from pourwright.cavity import build_cavity, build_levels, outline

TINY = 1e-9  # wall thickness [m] that leaves the inside as it is


def mesh_named(name):
    mesh = trimesh.load(Path(pyvista.examples.__file__).parent / f"{name}.ply")
    mesh.merge_vertices()
    mesh.apply_scale(1.0 / mesh.extents.max())
    return mesh


def manifold_of(mesh):
    return manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.array(mesh.vertices, np.float64), tri_verts=np.array(mesh.faces, np.uint64)
        )
    )


@pytest.fixture(scope="module", params=["nut", "sphere"])
def piece(request, skin_of, stand):
    mesh = mesh_named(request.param)
    skin = skin_of(mesh, TINY, spread=0.0)
    frame = stand(skin, up=(0.1, 0.3, 0.9))
    cavity = build_cavity(skin, frame, cell_m=1 / 128)
    standing = mesh.copy()
    standing.vertices = frame.to_standing(mesh.vertices)
    return standing, cavity, build_levels(cavity)


def test_volume_is_trimesh_s_and_manifold_s(piece):
    mesh, cavity, _ = piece
    assert cavity.volume_m3 == pytest.approx(mesh.volume, rel=1e-3)
    assert cavity.volume_m3 == pytest.approx(manifold_of(mesh).volume(), rel=1e-3)
    assert cavity.volume_low_m3 < mesh.volume < cavity.volume_high_m3


def test_cells_are_inside_where_trimesh_s_rays_say_so(piece):
    mesh, cavity, _ = piece
    rng = np.random.default_rng(7)
    index = rng.integers(0, cavity.grid.shape, (2000, 3))
    inside = mesh.contains(cavity.grid.centres(index))
    assert 200 < inside.sum() < 1800
    found = cavity.fraction[tuple(index.T)] >= 128
    assert (found == inside).all()


def test_section_areas_are_trimesh_s(piece):
    mesh, cavity, graph = piece
    heights = graph.level_m[:-1] + 0.5 * cavity.grid.cell_m
    for level in np.linspace(8, graph.levels - 9, 7).astype(int):
        section = mesh.section(plane_origin=[0, 0, heights[level]], plane_normal=[0, 0, 1])
        flat, _ = section.to_2D(to_2D=np.eye(4))
        exact = shapely.union_all(flat.polygons_full)
        got = outline(cavity, graph, level)
        assert got.area == pytest.approx(exact.area, rel=4e-3)
        assert got.symmetric_difference(exact).area < 0.015 * exact.area
        nodes = graph.node_level == level
        assert graph.node_area_m2[nodes].sum() == pytest.approx(exact.area, rel=4e-3)
        assert graph.node_perimeter_m[nodes].sum() == pytest.approx(exact.length, rel=0.02)


def test_overlapping_bodies_count_once(skin_of, stand):
    """The ant is fifteen closed bodies that run into each other: the inside is their union."""
    mesh = mesh_named("ant")
    solids = [manifold_of(part) for part in mesh.split()]
    assert len(solids) == 15
    union = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    skin = skin_of(mesh, TINY, spread=0.0, clean=False)
    cavity = build_cavity(skin, stand(skin), cell_m=1 / 200, stray_void_m3=0.0)
    assert cavity.volume_m3 == pytest.approx(union.volume(), rel=0.005)
    assert cavity.volume_low_m3 < union.volume() < cavity.volume_high_m3
