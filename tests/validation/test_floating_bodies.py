"""Floating bodies in closed form: Archimedes' draft, KB + BM - KG (naval architecture), and mesh sections.

Sections of the mesh at the waterline come from trimesh and shapely, which know nothing of the water.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import trimesh
from scipy.optimize import brentq

from pourwright.outcome import second_moment
from pourwright.physics.triangle_cut import share_below
from pourwright.water import float_body, hull_of, submerged

UP = np.array([0.0, 0, 1])


def test_a_box_afloat():
    """T = m / (rho L B), GM = T/2 + B^2 / (12 T) - KG."""
    box = trimesh.creation.box((3.0, 1.0, 0.6))
    at = float_body(hull_of(box.vertices, box.faces), 900.0, np.array([0, 0, -0.1]), 1000.0, UP)
    draft = 0.3
    assert at.level_m + 0.3 == pytest.approx(draft, rel=1e-9)
    assert at.metacentric_m[0] == pytest.approx(draft / 2 + 1 / (12 * draft) - 0.2, rel=1e-9)
    assert at.metacentric_m[1] == pytest.approx(draft / 2 + 9 / (12 * draft) - 0.2, rel=1e-9)


def test_a_sphere_afloat():
    """V = pi T^2 (3 R - T) / 3; the metacentre of a sphere is its middle."""
    ball = trimesh.creation.icosphere(subdivisions=6, radius=0.4)
    mass = 0.3 * 1000 * ball.volume
    draft = brentq(
        lambda t: math.pi * t**2 * (1.2 - t) / 3 - mass / 1000 * (4 / 3 * math.pi * 0.064) / ball.volume, 0, 0.8
    )
    at = float_body(hull_of(ball.vertices, ball.faces), mass, np.array([0, 0, -0.05]), 1000.0, UP)
    assert at.level_m + 0.4 == pytest.approx(draft, rel=1e-3)
    assert at.metacentric_m == pytest.approx((0.05, 0.05), abs=3e-4)


def test_a_lying_cylinder_afloat():
    """Half under: KB = R - 4 R / (3 pi), BM = L (2R)^3 / 12 / (pi R^2 L / 2): the metacentre is the axis."""
    log = trimesh.creation.cylinder(radius=0.25, height=4.0, sections=720)
    log.apply_transform(trimesh.transformations.rotation_matrix(math.pi / 2, (0, 1, 0)))
    at = float_body(hull_of(log.vertices, log.faces), 0.5 * log.volume * 1000, np.array([0, 0, -0.02]), 1000.0, UP)
    assert at.level_m == pytest.approx(0.0, abs=1e-5)
    assert at.under.centre_m[2] == pytest.approx(-4 * 0.25 / (3 * math.pi), rel=1e-4)
    assert at.metacentric_m[0] == pytest.approx(0.02, abs=1e-4)


def test_an_upright_cylinder_afloat():
    """T = m / (rho pi R^2), BM = R^2 / (4 T)."""
    drum = trimesh.creation.cylinder(radius=0.5, height=0.4, sections=720)
    at = float_body(hull_of(drum.vertices, drum.faces), 0.25 * drum.volume * 1000, np.zeros(3), 1000.0, UP)
    assert at.level_m + 0.2 == pytest.approx(0.1, rel=1e-9)
    assert at.metacentric_m[0] == pytest.approx(0.05 + 0.25 / (4 * 0.1) - 0.2, rel=1e-4)


def test_a_hull_in_many_patches_is_cut_as_trimesh_cuts_it():
    """Volume and centre of what trimesh cuts off and closes with a cap."""
    ring = trimesh.creation.torus(0.4, 0.15, major_sections=96, minor_sections=48)
    ring.apply_translation((3.0, -2.0, 1.0))
    hull = hull_of(ring.vertices, ring.faces)
    assert hull.volume_m3 == pytest.approx(ring.volume, rel=1e-12)
    rng = np.random.default_rng(5)
    for n in rng.normal(size=(12, 3)):
        n = n / np.linalg.norm(n)
        along = ring.vertices @ n
        level = rng.uniform(along.min(), along.max())
        cut = trimesh.intersections.slice_mesh_plane(ring, -n, n * level, cap=True)
        s = hull.under(n, level)
        assert s.volume_m3 == pytest.approx(cut.volume, rel=1e-6, abs=1e-12)
        assert s.centre_m == pytest.approx(cut.center_mass, abs=1e-6)


@pytest.mark.parametrize("level", [-0.12, 0.0, 0.2])
@pytest.mark.parametrize("normal", [(0, 0, 1), (0.2, 0.1, 0.9)])
def test_waterplane_of_a_mesh_is_its_section(level, normal):
    """Area and second moments of the section that trimesh cuts and shapely measures."""
    body = trimesh.creation.torus(0.5, 0.2, major_sections=60, minor_sections=30)
    body.apply_scale((1.6, 1.0, 1.2))
    n = np.array(normal, float) / np.linalg.norm(normal)
    s = submerged(body.vertices, body.faces, n, level)
    loops = body.section(plane_origin=n * level, plane_normal=n).discrete
    rings = [shapely.Polygon(np.asarray(loop) @ s.across.T) for loop in loops]
    plane = rings[0]
    for ring in rings[1:]:
        plane = plane.symmetric_difference(ring)
    middle = np.array(plane.centroid.coords[0])
    about = second_moment(plane) - plane.area * np.outer(middle, middle)
    assert s.waterplane_m2 == pytest.approx(plane.area, rel=1e-7)
    assert s.waterplane_m4 == pytest.approx(about, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_share_of_a_triangle_under_water(seed):
    """Triangles at random in an upright plane, cut along the water by shapely."""
    rng = np.random.default_rng(seed)
    corners = rng.uniform(-1, 1, (3, 2))  # across, up
    triangle = shapely.Polygon(corners)
    for level in (-0.8, -0.2, 0.1, 0.5, 0.9):
        under = triangle.intersection(shapely.box(-2, -2, 2, level)).area / triangle.area
        assert share_below(*corners[:, 1], level) == pytest.approx(under, abs=1e-12)
