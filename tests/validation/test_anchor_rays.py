"""Anchors traced through the skin: against trimesh's rays and sections, and bodies whose depths are known by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import trimesh

from pourwright.errors import AnchorError
from pourwright.hanging import hang
from pourwright.hanging.traced import misses_m, solid_of, trace
from pourwright.outcome import Anchor, Hang, Insert, Site, Spot, Surface
from pourwright.shell import WallBand

OUT, UP = (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)


def solid(mesh, wall=None):
    surface = Surface(np.asarray(mesh.vertices), np.asarray(mesh.faces), np.zeros(len(mesh.faces), bool))
    bands = () if wall is None else (WallBand("all", -math.inf, math.inf, wall),)
    return solid_of(surface, bands, surface.vertices_m)


def lumpy(seed):
    rng = np.random.default_rng(seed)
    ball = trimesh.creation.icosphere(4, 0.5)
    waves = sum(np.cos(ball.vertices @ rng.normal(size=3) * 9 + rng.uniform(0, 6)) for _ in range(5))
    ball.vertices *= (1 + 0.05 * waves)[:, None]
    ball.vertices[:, 2] += 1.2
    return ball


@pytest.mark.parametrize("seed", range(4))
def test_gap_and_depth_are_those_of_rays_by_trimesh(seed):
    mesh = lumpy(seed)
    made = solid(mesh)
    for x, y in np.random.default_rng(seed).uniform(-0.35, 0.35, (25, 2)):
        hits = mesh.ray.intersects_location([[x, y, -1.0]], [[0.0, 0.0, 1.0]])[0][:, 2]
        hits = np.unique(hits.round(9))
        found = trace(made, x, y)
        assert found.gap_m == pytest.approx(hits[0], abs=1e-6)
        assert found.foam_depth_m == pytest.approx(hits[1] - hits[0], abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_the_edge_beside_is_that_of_a_section_by_trimesh(seed):
    mesh = lumpy(seed)
    for x, y in np.random.default_rng(seed).uniform(-0.25, 0.25, (6, 2)):
        found = trace(solid(mesh), x, y, 0.1)
        middle = found.arm_m + 0.05
        section = mesh.section(plane_origin=[0, 0, middle], plane_normal=[0, 0, 1])
        points = np.vstack([
            np.linspace(a, b, 40) for line in section.discrete for a, b in pairwise(line)
        ])  # fmt: skip
        assert found.edge_m == pytest.approx(np.linalg.norm(points[:, :2] - [x, y], axis=1).min(), abs=1e-3)


def test_what_is_beside_an_insert_is_told_where_it_ends_too():
    """A pyramid's sides lean in by half its base over its height: from its middle they are 0.5 - z / 2 away."""
    corners = [(-0.5, -0.5, 0), (0.5, -0.5, 0), (0.5, 0.5, 0), (-0.5, 0.5, 0), (0, 0, 1)]
    found = trace(solid(trimesh.convex.convex_hull(np.array(corners, float))), 0.01, 0.02, 0.6)
    assert found.edge_m == pytest.approx(0.5 - 0.15 - 0.02, abs=1e-9)
    assert found.inner_edge_m == pytest.approx(0.5 - 0.3 - 0.02, abs=1e-9)
    assert found.narrowest_m == found.inner_edge_m


def test_the_skin_of_a_ball_along_a_rod_is_as_thick_as_between_two_balls():
    """Off the middle by a, from sqrt(R^2 - a^2) to sqrt(r^2 - a^2); flat skin is meant."""
    made = solid(trimesh.creation.icosphere(6, 0.5), 0.005)
    for aside in (0.0, 0.1, 0.2, 0.3):
        found = trace(made, aside, 0.0)
        true = math.sqrt(0.5**2 - aside**2) - math.sqrt(0.495**2 - aside**2)
        assert found.arm_m - found.gap_m == pytest.approx(true, rel=0.03)
        assert found.foam_depth_m == pytest.approx(2 * math.sqrt(0.495**2 - aside**2), abs=5e-4)


def test_how_far_a_rod_misses_a_ball():
    made = solid(trimesh.creation.icosphere(6, 0.5))
    assert misses_m(made, 0.4, 0.0) == 0.0
    assert misses_m(made, 0.6, 0.8) == pytest.approx(0.5, abs=1e-3)


def test_anchors_off_the_piece_and_inserts_too_long_are_refused_with_numbers(made, lump):
    """The box is 1 m wide, 0.5 m deep, 1 m high; 269 mm beside it, and 1900 mm of insert in 500 mm."""
    anchors = (
        Anchor("A1", Spot(from_left_m=-0.269, from_base_m=0.5)),
        Anchor("A2", Spot(from_left_m=0.5, from_base_m=0.5), insert=Insert(0.04, 1.9)),
        Anchor("A3", Spot(from_left_m=0.5, from_base_m=0.7), insert=Insert(0.04, 0.2)),
    )
    with pytest.raises(AnchorError) as caught:
        hang(*made([lump(10.0, (0, 0, 0))], Site(anchors=anchors, hang=Hang(OUT, UP))))
    assert "A1 misses the piece by 269 mm" in str(caught.value)
    assert "A2: insert 1900 mm" in str(caught.value)
    assert "in 500 mm" in str(caught.value)
    assert "A3" not in str(caught.value)
    assert caught.value.exit_code == 1


def test_gap_depth_and_edge_of_a_box_that_stands_off_its_wall(made, lump):
    anchors = tuple(
        Anchor(f"A{k}", Spot(from_left_m=x, from_base_m=z), insert=Insert(0.04, 0.2))
        for k, (x, z) in enumerate(((0.2, 0.5), (0.5, 0.9), (0.7, 0.2)))
    )
    result = hang(*made([lump(10.0, (0, 0, 0))], Site(anchors=anchors, hang=Hang(OUT, UP, standoff_m=0.06))))
    for load, edge in zip(result.anchors, (0.2, 0.1, 0.2), strict=True):
        assert (load.gap_m, load.foam_depth_m, load.edge_m) == pytest.approx((0.06, 0.5, edge))
    # The shear stands 60 mm off the foam: (4 + 6 e / L) V / (d L).
    checks = {check.name: check for check in result.anchors[0].checks}
    shear = result.anchors[0].shear_n.high
    assert checks["A0: foam bearing round the insert"].value == pytest.approx(
        (4 + 6 * 0.06 / 0.2) * shear / (0.04 * 0.2)
    )


def test_a_mesh_with_both_faces_has_its_foam_between_the_inside_faces():
    outer, inner = trimesh.creation.box((1, 1, 0.6)), trimesh.creation.box((0.9, 0.9, 0.46))
    vertices = np.vstack([outer.vertices, inner.vertices])
    faces = np.asarray(outer.faces)
    hollow = np.asarray(inner.faces)[:, ::-1] + len(outer.vertices)
    surface = Surface(vertices, faces, np.zeros(len(faces), bool), hollow)
    found = trace(solid_of(surface, (), vertices + np.array([0, 0, 0.4])), 0.13, 0.07)
    assert (found.gap_m, found.arm_m, found.foam_depth_m) == pytest.approx((0.1, 0.17, 0.46))


@pytest.mark.parametrize("degrees", [0.0, 15.0, 45.0])
def test_slanted_skin_is_as_thick_as_it_is(degrees):
    """A box turned about its width: longer along the rod, 4 mm square to it, by its wall and by its inside."""
    turn = trimesh.transformations.rotation_matrix(math.radians(degrees), [1, 0, 0])
    outer, inner = trimesh.creation.box((1, 1, 1)), trimesh.creation.box((0.992,) * 3)
    both = np.vstack([outer.vertices, inner.vertices])
    vertices = trimesh.transform_points(both, turn)
    faces, hollow = np.asarray(outer.faces), np.asarray(inner.faces)[:, ::-1] + len(outer.vertices)
    surface = Surface(vertices, faces, np.zeros(len(faces), bool), hollow)
    for made in (solid_of(surface, (), vertices), solid(outer.copy().apply_transform(turn), 0.004)):
        found = trace(made, 0.13, 0.07)
        assert found.skin_m == pytest.approx(0.004, rel=1e-6)
        assert found.arm_m - found.gap_m == pytest.approx(0.004 / math.cos(math.radians(degrees)), rel=1e-6)
        assert found.slant_rad == pytest.approx(math.radians(degrees), abs=1e-6)
