"""Bodies cut by level planes: spherical segments by their closed form, any mesh by trimesh's own slicing.

Volume of a spherical segment of two bases, pi h (3 a^2 + 3 b^2 + h^2) / 6: any handbook of mathematics (from memory of
Bronstein & Semendyayev). trimesh 4: `Trimesh.section` and `boolean.intersection` with a box.
"""

import math

import numpy as np
import pytest
import shapely
import trimesh

from pourwright.ribs import between

LOW, HIGH = 0.35, 0.62


@pytest.fixture(scope="module")
def ball():
    mesh = trimesh.creation.icosphere(5, 0.5)
    return mesh.vertices + np.array([0.0, 0.0, 0.5]), mesh.faces


def as_mesh(slab):
    return trimesh.Trimesh(slab.points_m, slab.faces, process=False)


def test_a_slab_of_a_ball_is_the_spherical_segment(ball):
    slab = between(*ball, LOW, HIGH)
    mesh = as_mesh(slab)
    a, b = (math.sqrt(0.25 - (height - 0.5) ** 2) for height in (LOW, HIGH))
    deep = HIGH - LOW
    exact = math.pi * deep * (3 * a * a + 3 * b * b + deep * deep) / 6
    assert mesh.volume == pytest.approx(exact, rel=2e-3)  # its triangles lie inside of the ball
    assert slab.upper == (False, True)
    for shape, radius in zip(slab.shapes, (a, b), strict=True):
        assert shape.area == pytest.approx(math.pi * radius**2, rel=2e-3)
    for k, up in enumerate(slab.upper):
        assert (np.sign(mesh.face_normals[slab.cut == k][:, 2]) == (1 if up else -1)).all()


def test_a_slab_is_closed_and_what_trimesh_cuts_out(two_balls):
    whole = two_balls(0.06)
    slab = between(whole.vertices - [0, 0, whole.bounds[0, 2]], whole.faces, 0.31, 0.93)
    box = trimesh.creation.box((2.0, 2.0, 0.62)).apply_translation([0, 0, 0.62 + whole.bounds[0, 2]])
    other = trimesh.boolean.intersection([whole, box])
    mesh = trimesh.Trimesh(slab.points_m, slab.faces, process=True)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(other.volume, rel=1e-6)
    assert mesh.area == pytest.approx(other.area, rel=1e-6)


def test_two_legs_have_two_cuts_and_a_tube_a_cut_with_a_hole():
    legs = trimesh.util.concatenate(
        [trimesh.creation.box((0.1, 0.2, 1.0)).apply_translation([x, 0, 0.5]) for x in (0.0, 0.4)]
    )
    slab = between(legs.vertices, legs.faces, 0.2, 1.2)
    assert slab.upper == (False, False)
    assert [shape.area for shape in slab.shapes] == pytest.approx([0.02, 0.02])
    tube = trimesh.creation.annulus(0.1, 0.3, 1.0, sections=64).apply_translation([0, 0, 0.5])
    (lower, upper) = between(tube.vertices, tube.faces, 0.2, 0.5).shapes
    assert len(lower.interiors) == len(upper.interiors) == 1
    section = tube.section(plane_origin=[0, 0, 0.3], plane_normal=[0, 0, 1])
    rings = [shapely.Polygon(ring[:, :2]).area for ring in section.discrete]
    assert lower.area == pytest.approx(max(rings) - min(rings), rel=1e-6)


def test_a_plane_through_corners_cuts_as_one_beside_them():
    box = trimesh.creation.box((0.3, 0.3, 1.0)).subdivide().apply_translation([0, 0, 0.5])  # corners at 0.5
    slab = between(box.vertices, box.faces, 0.5, 0.75)
    assert as_mesh(slab).volume == pytest.approx(0.3 * 0.3 * 0.25, rel=1e-6)
    assert as_mesh(slab).is_watertight
