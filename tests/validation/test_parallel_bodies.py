"""Volume of a lining against closed forms, Steiner's formula for parallel bodies and sampled ellipsoids.

Steiner's formula: the body within a distance d outside a convex body K has volume V + S d + M d^2 + 4 pi d^3 / 3, with
V, S and M of K its volume, area and mean curvature integral. J. Steiner, 1840; R. Schneider, Convex Bodies: The
Brunn-Minkowski Theory (from memory). Volumes and areas by trimesh and scipy.
"""

import math

import numpy as np
import pytest
import trimesh
from scipy.spatial import KDTree

from pourwright.lining import region_of


def test_a_sphere_of_half_a_metre_takes_the_foam_of_its_closed_form(shell_of):
    skin, cavity = shell_of(trimesh.creation.icosphere(5, 0.5), 0.005, 0.01)
    region, _ = region_of(skin, cavity, 0.05)
    assert 4 / 3 * math.pi * (0.495**3 - 0.445**3) == pytest.approx(0.13893, abs=5e-6)
    assert region.foam_m3 == pytest.approx(0.13893, rel=0.003)
    assert region.foam_m3 + region.hollow_m3 == pytest.approx(cavity.volume_m3, rel=1e-9)


def test_a_cylinder_keeps_the_hollow_of_its_closed_form(shell_of):
    skin, cavity = shell_of(trimesh.creation.cylinder(0.3, 0.8, sections=256), 0.005, 0.01)
    region, solids = region_of(skin, cavity, 0.05)
    assert region.hollow_m3 == pytest.approx(math.pi * 0.245**2 * 0.69, rel=0.003)
    assert len(solids.chambers) == 1
    assert not solids.places


def test_the_lining_of_a_rounded_box_is_the_parallel_body_of_steiner(shell_of):
    a, b, c, r = 0.3, 0.24, 0.2, 0.15  # a box with a ball of r rolled round it
    ball = trimesh.creation.icosphere(5, r).vertices
    corners = np.array([[x, y, z] for x in (0, a) for y in (0, b) for z in (0, c)])
    mesh = trimesh.convex.convex_hull((corners[:, None] + ball[None]).reshape(-1, 3))
    skin, cavity = shell_of(mesh, 0.01, 0.008)
    region, _ = region_of(skin, cavity, 0.05)

    def steiner(d):
        area, curve = 2 * (a * b + b * c + a * c), math.pi * (a + b + c)
        return a * b * c + area * d + curve * d**2 + 4 / 3 * math.pi * d**3

    assert region.hollow_m3 == pytest.approx(steiner(r - 0.06), rel=0.004)
    assert region.foam_m3 == pytest.approx(steiner(r - 0.01) - steiner(r - 0.06), rel=0.004)


def test_the_lining_of_an_ellipsoid_is_that_of_points_far_enough_from_its_face(shell_of):
    axes = np.array([0.45, 0.3, 0.25])
    mesh = trimesh.creation.icosphere(5, 1.0)
    mesh.vertices = mesh.vertices * axes
    skin, cavity = shell_of(mesh, 0.01, 0.01)
    region, _ = region_of(skin, cavity, 0.06)
    grid = np.stack(np.meshgrid(*(np.linspace(-s, s, 46) for s in axes), indexing="ij"), axis=-1).reshape(-1, 3)
    inside = grid[((grid / axes) ** 2).sum(axis=1) < 1]
    face = trimesh.creation.icosphere(6, 1.0).vertices * axes
    far = KDTree(face).query(inside)[0]
    cell = np.prod(2 * axes / 45)
    assert region.hollow_m3 == pytest.approx((far > 0.07).sum() * cell, rel=0.01)
