"""Occupancy, wall and volume of dirty meshes against their clean originals."""

from __future__ import annotations

from pathlib import Path

import manifold3d
import numpy as np
import pytest
import pyvista.examples
import trimesh

from pourwright.cavity import build_cavity, build_levels
from pourwright.cavity._tree import build_tree
from pourwright.cavity._winding import moments_of, winding_numbers
from pourwright.errors import CavityError

WALL = 0.01


def lump():
    mesh = trimesh.creation.icosphere(5, 1.0)
    v = np.asarray(mesh.vertices)
    waves = np.random.default_rng(11).normal(size=(6, 3)) * 2.5
    mesh.vertices = 0.4 * v * (1 + 0.07 * np.cos(v @ waves.T).sum(axis=1))[:, None] * [1.0, 0.8, 1.2]
    return mesh


def nut():
    mesh = trimesh.load(Path(pyvista.examples.__file__).parent / "nut.ply")
    mesh.merge_vertices()
    mesh.apply_scale(1.0 / mesh.extents.max())
    return mesh.subdivide_to_size(0.04)


def ring():
    return trimesh.creation.torus(0.4, 0.15, major_sections=128, minor_sections=64)


MESHES = {"lump": lump, "nut": nut, "ring": ring}


def junk(mesh, rng):
    """Part of a small ball, open, somewhere inside."""
    ball = trimesh.creation.icosphere(3, 0.05)
    ball.apply_translation(mesh.triangles_center[0] - 0.09 * mesh.face_normals[0])
    return ball.triangles[rng.random(len(ball.triangles)) < 0.7]


def soiled(mesh, how):
    rng = np.random.default_rng(5)
    clean = np.array(mesh.triangles)
    some = rng.random(len(clean))
    if how == "missing":
        return clean[some > 0.01]
    if how == "flipped":
        return np.where((some < 0.05)[:, None, None], clean[:, ::-1], clean)
    if how == "doubled":
        return np.concatenate([clean, clean])
    if how == "half doubled":
        return np.concatenate([clean, clean[some < 0.5]])
    if how == "junk":
        return np.concatenate([clean, junk(mesh, rng)])
    assert how == "everything"
    soup = np.concatenate([clean, clean[some < 0.3], junk(mesh, rng)])
    soup = soup[rng.random(len(soup)) > 0.01]
    return np.where((rng.random(len(soup)) < 0.05)[:, None, None], soup[:, ::-1], soup)


def soup_skin(skin_of, triangles, wall=WALL):
    mesh = trimesh.Trimesh(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), process=False)
    return skin_of(mesh, wall, spread=0.0, clean=False)


@pytest.mark.parametrize("how", ["missing", "flipped", "doubled", "half doubled", "junk", "everything"])
@pytest.mark.parametrize("name", list(MESHES))
def test_dirt_changes_little(skin_of, stand, name, how):
    mesh = MESHES[name]()
    clean = skin_of(mesh, WALL, spread=0.0)
    frame = stand(clean, up=(0.1, 0.2, 0.9))
    cell = mesh.extents.max() / 96
    expected = build_cavity(clean, frame, cell_m=cell)
    found = build_cavity(soup_skin(skin_of, soiled(mesh, how)), frame, cell_m=cell)
    a, b = found.fraction >= 128, expected.fraction >= 128
    assert (a & b).sum() / (a | b).sum() > 0.99
    assert found.volume_m3 == pytest.approx(expected.volume_m3, rel=0.005)
    assert abs(found.volume_m3 - expected.volume_m3) < found.volume_uncertainty_m3 + expected.volume_uncertainty_m3
    build_levels(found)


def test_clean_mesh_is_the_same_either_way(skin_of, stand):
    mesh = lump()
    a = skin_of(mesh, WALL)
    b = soup_skin(skin_of, np.array(mesh.triangles))
    first, second = (build_cavity(s, stand(a), cell_m=0.012) for s in (a, b))
    assert (first.fraction == second.fraction).all()
    assert second.doubt_m3 == 0
    assert first.method != second.method


def as_manifold(mesh):
    return manifold3d.Manifold(
        manifold3d.Mesh64(vert_properties=np.array(mesh.vertices, float), tri_verts=np.array(mesh.faces, np.uint64))
    )


def from_manifold(solid):
    mesh = solid.to_mesh64()
    return trimesh.Trimesh(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts), process=False)


@pytest.mark.parametrize("pair", ["boxes", "lump and ball"])
def test_bodies_run_into_each_other_are_one_skin(skin_of, stand, pair):
    """Against the union that manifold3d cuts: what sticks inside is no wall."""
    if pair == "boxes":
        a, b = trimesh.creation.box((1.0, 0.6, 0.5)), trimesh.creation.box((0.4, 0.9, 0.4))
        b.apply_translation([0.13, 0.21, 0.17])
    else:
        a, b = lump(), trimesh.creation.icosphere(4, 0.2)
        b.apply_translation(a.vertices[100])
    union = from_manifold(as_manifold(a) + as_manifold(b))
    cut = skin_of(union, WALL, spread=0.0)
    frame = stand(cut)
    expected = build_cavity(cut, frame, cell_m=0.01)
    uncut = soup_skin(skin_of, np.concatenate([a.triangles, b.triangles]))
    found = build_cavity(uncut, frame, cell_m=0.01)
    assert found.volume_m3 == pytest.approx(expected.volume_m3, rel=0.002)
    blind = build_cavity(skin_of(trimesh.util.concatenate([a, b]), WALL, spread=0.0), frame, cell_m=0.01)
    assert blind.volume_m3 < 0.99 * expected.volume_m3  # what the buried walls would take


def test_narrow_gap_between_two_skins_stays_a_wall(skin_of, stand):
    """Two boxes a tenth of a cell apart: the grid cannot see the gap, the two walls are there all the same."""
    a, b = trimesh.creation.box((0.4, 0.4, 0.4)), trimesh.creation.box((0.4, 0.4, 0.4))
    b.apply_translation([0.401, 0, 0])
    skin = soup_skin(skin_of, np.concatenate([a.triangles, b.triangles]), 0.02)
    cavity = build_cavity(skin, stand(skin), cell_m=0.01)
    assert cavity.volume_m3 == pytest.approx(2 * 0.36**3, rel=0.01)
    assert len(build_levels(cavity).pools) == 2


def test_wall_goes_on_across_a_hole(skin_of, stand):
    mesh = trimesh.creation.icosphere(5, 0.4)
    triangles = np.array(mesh.triangles)
    hole = np.linalg.norm(triangles.mean(axis=1) - [0.4, 0, 0], axis=1) < 0.06
    assert hole.sum() > 50
    clean = skin_of(mesh, 0.04, spread=0.0)
    expected = build_cavity(clean, stand(clean), cell_m=0.01)
    found = build_cavity(soup_skin(skin_of, triangles[~hole], 0.04), stand(clean), cell_m=0.01)
    assert found.volume_m3 == pytest.approx(expected.volume_m3, rel=0.005)
    assert found.doubt_m3 > 0


def test_inside_that_cannot_be_told_is_refused(skin_of, stand):
    mesh = lump()
    rng = np.random.default_rng(1)
    triangles = np.array(mesh.triangles)
    triangles = np.where((rng.random(len(triangles)) < 0.5)[:, None, None], triangles[:, ::-1], triangles)
    skin = soup_skin(skin_of, triangles)
    with pytest.raises(CavityError, match="cannot be told"):
        build_cavity(skin, stand(skin), cell_m=0.02)


def test_winding_number_is_the_exact_sum():
    mesh = lump()
    triangles = np.array(mesh.triangles)[: len(mesh.faces) * 2 // 3]  # a hole of a third
    tree = build_tree(triangles)
    points = np.random.default_rng(2).uniform(-0.5, 0.5, (60, 3))
    corners = triangles[None] - points[:, None, None]
    a, b, c = (corners[:, :, i] for i in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=2) for v in (a, b, c))
    dot = lambda u, v: (u * v).sum(axis=2)  # noqa: E731
    det = dot(a, np.cross(b, c))
    exact = (2 * np.arctan2(det, la * lb * lc + dot(a, b) * lc + dot(b, c) * la + dot(c, a) * lb)).sum(axis=1)
    assert winding_numbers(tree, moments_of(tree), points) == pytest.approx(exact / (4 * np.pi), abs=0.02)


def test_winding_number_of_a_closed_surface_is_whole():
    mesh = nut()
    tree = build_tree(np.array(mesh.triangles))
    points = np.random.default_rng(3).uniform(mesh.bounds[0], mesh.bounds[1], (300, 3))
    w = winding_numbers(tree, moments_of(tree), points)
    assert w == pytest.approx(np.round(w), abs=0.04)
    assert (np.round(w) == mesh.contains(points)).all()
