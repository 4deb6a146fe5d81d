"""Floating bodies against closed forms and against trimesh's own cut."""

import math

import numpy as np
import pytest
import trimesh

from pourwright.water import float_body, hull_of, submerged

UP = np.array([0.0, 0, 1])


def test_half_sphere_under_water():
    # V = 2/3 pi R^3, centre of a half ball 3R/8 under the plane, waterplane pi R^2, I = pi R^4 / 4.
    ball = trimesh.creation.icosphere(subdivisions=6, radius=0.5)
    s = submerged(ball.vertices, ball.faces, UP, 0.0)
    assert s.volume_m3 == pytest.approx(2 / 3 * math.pi * 0.125, rel=1e-3)
    assert s.centre_m == pytest.approx([0, 0, -3 * 0.5 / 8], abs=1e-4)
    assert s.waterplane_m2 == pytest.approx(math.pi * 0.25, rel=1e-3)
    assert np.diag(s.waterplane_m4) == pytest.approx([math.pi * 0.0625 / 4] * 2, rel=2e-3)


@pytest.mark.parametrize("level", [-0.31, -0.07, 0.12, 0.29])
@pytest.mark.parametrize("normal", [(0, 0, 1), (0.3, -0.2, 0.9), (1, 1, 1)])
def test_volume_and_centre_agree_with_a_capped_cut(level, normal):
    body = trimesh.creation.torus(0.4, 0.15, major_sections=48, minor_sections=24)
    n = np.array(normal, float) / np.linalg.norm(normal)
    s = submerged(body.vertices, body.faces, n, level)
    cut = trimesh.intersections.slice_mesh_plane(body, -n, n * level, cap=True)
    if cut.volume == 0 or len(cut.faces) == 0:
        assert s.volume_m3 == pytest.approx(0, abs=1e-12)
        return
    assert s.volume_m3 == pytest.approx(cut.volume, rel=1e-6)
    assert s.centre_m == pytest.approx(cut.center_mass, abs=1e-6)


def test_box_barge_afloat():
    # T = m / (rho L B), KB = T/2, BM = B^2 / (12 T), GM = KB + BM - KG.
    box = trimesh.creation.box((4, 1.2, 0.5))
    f = float_body(hull_of(box.vertices, box.faces), 1200.0, np.array([0, 0, 0.05]), 1000.0, UP)
    draft = 1.2 / 4.8
    assert f.level_m + 0.25 == pytest.approx(draft, abs=1e-9)
    assert f.metacentric_m[0] == pytest.approx(draft / 2 + 1.44 / (12 * draft) - 0.30, rel=1e-6)
    assert f.metacentric_m[1] == pytest.approx(draft / 2 + 16 / (12 * draft) - 0.30, rel=1e-6)


def test_a_weight_off_centre_trims_the_box_to_the_wedge_formula():
    # Trim of a box: tan(a) L^2 / (12 T) (1 + tan(a)^2 / 2) + (KB - KG) tan(a) = x_G  for x_B - x_G square to the water.
    box = trimesh.creation.box((4, 1.2, 0.5))
    shift = 0.1
    f = float_body(hull_of(box.vertices, box.faces), 1200.0, np.array([shift, 0, 0.0]), 1000.0, UP)
    slope = f.normal[0] / f.normal[2]  # the waterline falls or rises by this per metre
    draft = 0.25
    x_b = -slope * 16 / (12 * draft)
    z_b = -0.25 + draft / 2 + slope**2 * 16 / (24 * draft)
    # B straight under or over G along the normal.
    assert (x_b - shift) * f.normal[2] - z_b * f.normal[0] == pytest.approx(0, abs=1e-8)
    assert f.residual_m < 1e-8


def test_sphere_has_no_preferred_side_and_metacentre_at_its_middle():
    # Every buoyancy force on a ball passes through its middle: GM = height of the middle over G.
    ball = trimesh.creation.icosphere(subdivisions=6, radius=0.5)
    f = float_body(hull_of(ball.vertices, ball.faces), 100.0, np.array([0, 0, -0.1]), 1000.0, UP)
    assert f.metacentric_m == pytest.approx((0.1, 0.1), abs=2e-4)


def test_too_heavy_sinks():
    box = trimesh.creation.box()
    assert float_body(hull_of(box.vertices, box.faces), 1001.0, np.zeros(3), 1000.0, UP) is None


def test_a_dry_cockpit_carries_until_the_water_reaches_its_edge():
    # A box 2 x 1 x 0.5 with a well 1.6 x 0.6, its floor 0.1 m up; water 0.3 m up the outside.
    hull = trimesh.boolean.difference(
        [
            trimesh.creation.box((2, 1, 0.5)),
            trimesh.creation.box((1.6, 0.6, 0.4), transform=trimesh.transformations.translation_matrix([0, 0, 0.1])),
        ]
    )
    level = 0.05
    dry = submerged(hull.vertices, hull.faces, UP, level, bail=True)
    wet = submerged(hull.vertices, hull.faces, UP, level)
    # 1e-6: the boolean library keeps single-precision corners.
    assert dry.volume_m3 == pytest.approx(2 * 1 * 0.30, rel=1e-9)
    assert dry.waterplane_m2 == pytest.approx(2.0, rel=1e-9)
    assert dry.dry_bowls == 1
    assert wet.volume_m3 == pytest.approx(0.6 - 1.6 * 0.6 * 0.15, rel=1e-6)
    assert wet.waterplane_m2 == pytest.approx(2.0 - 1.6 * 0.6, rel=1e-6)
    over = submerged(hull.vertices, hull.faces, UP, 0.2500001, bail=True)
    assert over.volume_m3 == pytest.approx(hull.volume, rel=1e-6)
    assert over.dry_bowls == 0
