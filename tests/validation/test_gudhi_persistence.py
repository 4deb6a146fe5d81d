"""Pools and pockets against gudhi's cubical persistence (The GUDHI Project, GUDHI User and Reference Manual) on the
same cells: every pair of birth and death, whatever its depth. Foam passes faces only, which in gudhi is the complex
built on ``vertices=`` (6 neighbours)."""

from __future__ import annotations

from collections import Counter

import gudhi
import numpy as np
import pytest
import trimesh
from scipy.ndimage import gaussian_filter

from pourwright.cavity import build_cavity, build_levels


def gudhi_pairs(inside, upward):
    """(birth level, death level) of all finite pairs with depth, and births of those that never die."""
    nz = inside.shape[2]
    height = np.arange(nz) if upward else nz - 1 - np.arange(nz)
    values = np.where(inside, height, np.inf).astype(float)
    complex_ = gudhi.CubicalComplex(vertices=values)
    complex_.compute_persistence(homology_coeff_field=2, min_persistence=0)
    pairs = complex_.persistence_intervals_in_dimension(0)
    to_level = (lambda h: int(h)) if upward else (lambda h: nz - 1 - int(h))
    finite = Counter((to_level(b), to_level(d)) for b, d in pairs if np.isfinite(d) and d > b)
    return finite, Counter(to_level(b) for b, d in pairs if np.isfinite(b) and not np.isfinite(d))


def own_pairs(extrema):
    finite = Counter((e.level, e.merge_level) for e in extrema if not e.essential)
    return finite, Counter(e.level for e in extrema if e.essential)


def noise(seed, smooth):
    field = gaussian_filter(np.random.default_rng(seed).normal(size=(48, 40, 56)), smooth)
    return field > np.quantile(field, 0.6)


@pytest.mark.parametrize(("seed", "smooth"), [(1, 2.0), (2, 0.0)])
def test_random_cells(cells, seed, smooth):
    inside = noise(seed, smooth)
    _, graph = cells(inside, ripple=0.0)
    for extrema, upward in ((graph.pools, True), (graph.pockets, False)):
        finite, endless = own_pairs(extrema)
        assert (finite, endless) == gudhi_pairs(inside, upward)
        assert sum(finite.values()) > 20  # the test can fail


@pytest.mark.parametrize("shape", ["legs", "horn", "h", "arch", "u"])
def test_plain_shapes(cells, shapes, shape):
    _, graph = cells(shapes[shape], ripple=0.0)
    assert own_pairs(graph.pools) == gudhi_pairs(shapes[shape], True)
    assert own_pairs(graph.pockets) == gudhi_pairs(shapes[shape], False)


def test_wavy_ring_under_a_wall(skin_of, stand):
    """A tube with four dips and four humps, tilted: cells from the real occupancy and distance."""
    s = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    path = np.column_stack([np.cos(s), np.sin(s), 0.5 * np.sin(4 * s)]) / 3
    mesh = _tube(path, 0.07)
    skin = skin_of(mesh, 0.01)
    cavity = build_cavity(skin, stand(skin, up=(0.1, 0.2, 1.0)), cell_m=0.01)
    graph = build_levels(cavity, ripple_m=0.0)
    inside = cavity.fraction >= 128
    assert own_pairs(graph.pools) == gudhi_pairs(inside, True)
    assert own_pairs(graph.pockets) == gudhi_pairs(inside, False)
    assert len(graph.pools) >= 4
    assert len(graph.pockets) >= 4


def _tube(path, radius, around=24):
    """Closed tube round a closed path, by parallel frames from the path's own plane."""
    tangent = np.roll(path, -1, axis=0) - np.roll(path, 1, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    side = np.cross(tangent, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side, axis=1)[:, None]
    other = np.cross(tangent, side)
    angle = np.linspace(0, 2 * np.pi, around, endpoint=False)
    ring = path[:, None] + radius * (
        np.cos(angle)[None, :, None] * side[:, None] + np.sin(angle)[None, :, None] * other[:, None]
    )
    n = len(path)
    i, j = np.meshgrid(np.arange(n), np.arange(around), indexing="ij")
    a, b = i * around + j, ((i + 1) % n) * around + j
    c, d = ((i + 1) % n) * around + (j + 1) % around, i * around + (j + 1) % around
    faces = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    mesh = trimesh.Trimesh(ring.reshape(-1, 3), faces)
    if mesh.volume < 0:
        mesh.invert()
    return mesh
