"""Volume of a lining against closed forms, Steiner's formula for parallel bodies and sampled ellipsoids.

Steiner's formula: the body within a distance d outside a convex body K has volume V + S d + M d^2 + 4 pi d^3 / 3, with
V, S and M of K its volume, area and mean curvature integral. J. Steiner, 1840; R. Schneider, Convex Bodies: The
Brunn-Minkowski Theory (from memory). Volumes and areas by trimesh and scipy.
"""

import math

import numpy as np
import pytest
import trimesh
from scipy.integrate import quad
from scipy.spatial import KDTree

from pourwright.cavity import Space, build_levels
from pourwright.lining import PartRules, Rules, parts_of, region_of


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


def by_parts(skin, cavity, thickness, *parts):
    space = Space(skin, cavity, build_levels(cavity), ())
    found = parts_of(Rules("lining", thickness, parts=parts), space, None)
    return region_of(skin, cavity, thickness, parts=found)


def test_a_cylinder_that_is_lined_thicker_below_keeps_the_hollow_of_its_closed_form(shell_of):
    """Above the border the thick part's skin still counts by its distance: a ring of its edge is rounded off."""
    skin, cavity = shell_of(trimesh.creation.cylinder(0.3, 0.8, sections=256), 0.005, 0.01)
    region, solids = by_parts(skin, cavity, 0.03, PartRules("foot", 0.06, 0.0, 0.4))

    def area(z):
        from_thick = 0.065 if z <= 0.4 else math.sqrt(max(0.065**2 - (z - 0.4) ** 2, 0.0))
        return math.pi * (0.3 - max(0.035, from_thick)) ** 2

    expected = quad(area, 0.065, 0.765, points=[0.4, 0.4 + math.sqrt(0.065**2 - 0.035**2)])[0]
    assert region.hollow_m3 == pytest.approx(expected, rel=0.002)
    assert not solids.places


def test_a_ball_with_two_thicknesses_keeps_what_is_far_enough_from_both_halves(shell_of):
    skin, cavity = shell_of(trimesh.creation.icosphere(5, 0.4), 0.005, 0.01)
    region, _ = by_parts(skin, cavity, 0.03, PartRules("lower half", 0.08, 0.0, 0.4))
    thin, thick = 0.4 - 0.035, 0.4 - 0.085

    def upper(z):
        rho = math.sqrt(thin**2 - z**2)
        if z < 0.085:  # to the circle in which the thick half ends
            rho = min(rho, 0.4 - math.sqrt(0.085**2 - z**2))
        return math.pi * rho**2

    expected = 2 / 3 * math.pi * thick**3 + quad(upper, 0.0, thin, points=[0.085])[0]
    assert region.hollow_m3 == pytest.approx(expected, rel=0.003)


def test_a_part_that_is_solid_takes_its_band_and_a_coat_lies_on_it(shell_of):
    skin, cavity = shell_of(trimesh.creation.cylinder(0.3, 0.8, sections=256), 0.005, 0.01)
    region, solids = by_parts(skin, cavity, 0.03, PartRules("foot", None, 0.0, 0.403))
    assert region.hollow_m3 == pytest.approx(math.pi * 0.265**2 * (0.765 - 0.433), rel=0.002)
    (place,) = solids.places
    assert place.asked
    assert place.volume_m3 == pytest.approx(math.pi * 0.295**2 * 0.398, rel=0.002)


def test_parts_as_thick_as_the_rest_change_nothing(shell_of):
    skin, cavity = shell_of(trimesh.creation.icosphere(4, 0.4), 0.005, 0.01)
    region, _ = by_parts(skin, cavity, 0.05, PartRules("belt", 0.05, 0.3, 0.5))
    assert region.hollow_m3 == pytest.approx(region_of(skin, cavity, 0.05)[0].hollow_m3, rel=1e-3)
