"""The compiled parts one by one."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numba import njit

from pourwright.cavity import _shares, _tree
from pourwright.cavity._columns import fill_inside
from pourwright.cavity._tree import build_tree, nearest_many


@njit
def plane_share(phi, nx, ny, nz):
    return _shares.plane_share(phi, nx, ny, nz)


@njit
def nearest(boxes, triangles, first_leaf, x, y, z, limit, enough):
    stack, gaps = np.empty(64, np.int64), np.empty(64)
    return _tree.nearest(boxes, triangles, first_leaf, x, y, z, limit, enough, stack, gaps)


@njit
def gather(boxes, triangles, first_leaf, x, y, z, limit):
    found, far = np.empty(len(triangles), np.int64), np.empty((len(triangles), 4))
    used = _tree.gather(boxes, triangles, first_leaf, x, y, z, limit, np.empty(64, np.int64), found, far, 0)
    return found[:used], far[:used]


@example(0.0, (1.0, 1e-9, 1e-9))
@example(0.3, (1.0, 1e-6, 2e-6))
@example(-0.2, (1e-5, 1.0, 1e-7))
@settings(max_examples=200, deadline=None)
@given(
    st.floats(-0.9, 0.9),
    st.tuples(*[st.sampled_from([0.0, 1.0, -1.0]) | st.floats(-1, 1)] * 3).filter(lambda n: np.hypot.reduce(n) > 0.1),
)
def test_plane_share_is_the_sampled_share(phi, n):
    n = np.asarray(n) / np.linalg.norm(n)
    axis = (np.arange(40) + 0.5) / 40 - 0.5
    # exact along the steepest axis, sampled over the other two
    k = int(np.abs(n).argmax())
    a, b = (np.delete(n, k)[i] for i in (0, 1))
    rest = phi + a * axis[:, None] + b * axis[None, :]
    edge = np.clip(rest / abs(n[k]) + 0.5, 0.0, 1.0)
    assert plane_share(phi, *n) == pytest.approx(edge.mean(), abs=2e-3)


def test_plane_share_is_symmetric_and_grows():
    n = np.array([0.36, 0.48, 0.8])
    phi = np.linspace(-1, 1, 101)
    share = np.array([plane_share(p, *n) for p in phi])
    assert share + share[::-1] == pytest.approx(1.0)
    assert (np.diff(share) >= -1e-12).all()
    assert (share[0], share[50], share[-1]) == pytest.approx((0.0, 0.5, 1.0), abs=1e-12)


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 37, 1000])
def test_tree_finds_what_a_search_of_all_triangles_finds(count):
    rng = np.random.default_rng(count)
    triangles = rng.normal(size=(count, 1, 3)) + 0.3 * rng.normal(size=(count, 3, 3))
    tree = build_tree(triangles)
    assert sorted(tree.order) == list(range(count))
    points = rng.normal(size=(60, 3)) * 1.5
    d, hit, foot = np.empty(60), np.empty(60, np.int64), np.empty((60, 3))
    nearest_many(tree.boxes, tree.triangles, tree.first_leaf, points, d, hit, foot, 0, 60)
    for i, point in enumerate(points):
        feet = trimesh.triangles.closest_point(triangles, np.repeat(point[None], count, axis=0))
        apart = np.linalg.norm(feet - point, axis=1)
        assert d[i] == pytest.approx(apart.min(), rel=1e-12)
        assert apart[tree.order[hit[i]]] == pytest.approx(d[i], rel=1e-12)
        found, far = gather(tree.boxes, tree.triangles, tree.first_leaf, *point, 1.0)
        assert far[:, 0] == pytest.approx(apart[tree.order[found]], rel=1e-12)
        assert sorted(tree.order[found]) == np.flatnonzero(apart <= 1.0).tolist()
        limited = nearest(tree.boxes, tree.triangles, tree.first_leaf, *point, 0.5, 0.0)
        assert (limited[1] >= 0) == (apart.min() < 0.5)


def test_degenerate_triangles_do_no_harm():
    point, line = np.zeros((3, 3)), np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]])
    tree = build_tree(np.array([point + 5.0, line]))
    d, _, *foot = nearest(tree.boxes, tree.triangles, tree.first_leaf, 1.5, 1.0, 0.0, np.inf, 0.0)
    assert d == pytest.approx(1.0)
    assert foot == pytest.approx([1.5, 0.0, 0.0])


def filled(mesh, shape, turn=1):
    out = np.zeros(shape, np.uint8)
    fill_inside(np.ascontiguousarray(mesh.triangles, float), out, turn=turn)
    return out != 0


def test_columns_through_edges_and_vertices_are_decided_once():
    """A box whose faces, edges and diagonals all run through cell centres: half-open, never doubled or lost."""
    mesh = trimesh.creation.box(bounds=[[2, 2, 2], [7, 6, 5]])
    assert filled(mesh, (10, 9, 8)).sum() == 5 * 4 * 3


def test_winding_counts_doubled_and_nested_surfaces():
    big, small = trimesh.creation.icosphere(3, 9.3), trimesh.creation.icosphere(3, 4.2)
    for m in (big, small):
        m.apply_translation([10.2, 10.1, 10.3])
    shape = (22, 22, 22)
    once = filled(big, shape)
    assert (filled(trimesh.util.concatenate([big, big]), shape) == once).all()
    assert (filled(trimesh.util.concatenate([big, small]), shape) == once).all()
    hollow = small.copy()
    hollow.invert()
    assert (filled(trimesh.util.concatenate([big, hollow]), shape) == once & ~filled(small, shape)).all()
    assert (filled(hollow, shape, turn=-1) == filled(small, shape)).all()


def test_parts_beyond_the_grid_are_cut_off():
    mesh = trimesh.creation.box(bounds=[[-5, -5, -5], [4.5, 4.5, 4.5]])
    assert filled(mesh, (8, 8, 8))[:5, :5, :5].all()
    assert filled(mesh, (8, 8, 8)).sum() == 125
