"""Cavity volume against closed forms.

Inward offset of a smooth or rounded convex body by t: V - A t + M t^2 - 4/3 pi t^3, with area A and integral of mean
curvature M, exact while no point folds: J. Steiner, Ueber parallele Flaechen, Monatsber. Preuss. Akad. Wiss. (1840)
114-118, the formula from memory; each body's V, A and M are written out below. Torus and ellipsoid: classical volumes.

Facets would hide the error of the cells, so the meshes are fine and scaled to the volume of the body they stand for.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import trimesh

from pourwright.cavity import build_cavity
from pourwright.shell import SkinKind


def scaled(mesh, volume):
    mesh.apply_scale((volume / mesh.volume) ** (1 / 3))
    return mesh


def steiner(volume, area, mean, wall):
    return volume - area * wall + mean * wall**2 - 4 / 3 * math.pi * wall**3


def ball(radius=0.5, subdivisions=6):
    return scaled(trimesh.creation.icosphere(subdivisions, radius), 4 / 3 * math.pi * radius**3)


def torus(big=0.4, small=0.15):
    mesh = trimesh.creation.torus(big, small, major_sections=240, minor_sections=120)
    return scaled(mesh, 2 * math.pi**2 * big * small**2)


def capsule(length=0.6, radius=0.2):
    mesh = trimesh.creation.capsule(height=length, radius=radius, count=[120, 120])
    return scaled(mesh, math.pi * radius**2 * length + 4 / 3 * math.pi * radius**3)


def rounded_box(sides=(0.5, 0.4, 0.3), radius=0.1):
    """Hull of eight balls at the corners of a box; the hull of inscribed balls is short of it by 1e-4 or so."""
    corners = np.array(list(itertools.product((-0.5, 0.5), repeat=3))) * sides
    points = np.asarray(ball(radius, 5).vertices)
    return trimesh.Trimesh((corners[:, None] + points[None]).reshape(-1, 3)).convex_hull


def cavity_of(skin_of, stand, mesh, wall, up=(0.0, 0.0, 1.0), **options):
    skin = skin_of(mesh, wall, spread=0.0)
    return build_cavity(skin, stand(skin, up), **options)


def test_sphere_of_half_a_metre_at_the_default_resolution(skin_of, stand):
    exact = 4 / 3 * math.pi * 0.495**3
    assert exact == pytest.approx(0.508047, abs=5e-7)
    cavity = cavity_of(skin_of, stand, ball(), 0.005)
    assert cavity.volume_m3 == pytest.approx(exact, rel=2e-4)
    assert cavity.volume_low_m3 < exact < cavity.volume_high_m3


def test_sphere_with_a_wall_of_a_fifth_of_a_cell(skin_of, stand):
    exact = 4 / 3 * math.pi * 0.498**3
    cavity = cavity_of(skin_of, stand, ball(), 0.002, cell_m=0.01)
    assert cavity.volume_m3 == pytest.approx(exact, rel=2e-4)


@pytest.mark.parametrize(
    ("body", "wall", "exact"),
    [
        ("torus", 0.02, 2 * math.pi**2 * 0.4 * 0.13**2),
        ("capsule", 0.015, math.pi * 0.185**2 * 0.6 + 4 / 3 * math.pi * 0.185**3),
        (
            "rounded box",
            0.03,
            steiner(
                0.06 + 2 * 0.47 * 0.1 + math.pi * 1.2 * 0.01 + 4 / 3 * math.pi * 0.001,
                2 * 0.47 + 2 * math.pi * 1.2 * 0.1 + 4 * math.pi * 0.01,
                math.pi * 1.2 + 4 * math.pi * 0.1,
                0.03,
            ),
        ),
    ],
)
def test_offset_of_body(skin_of, stand, body, wall, exact):
    mesh = {"torus": torus, "capsule": capsule, "rounded box": rounded_box}[body]()
    cavity = cavity_of(skin_of, stand, mesh, wall, up=(0.2, -0.3, 0.9), cell_m=0.008)
    assert cavity.volume_m3 == pytest.approx(exact, rel=1e-3)
    assert cavity.volume_low_m3 < exact < cavity.volume_high_m3


def test_ellipsoid_without_a_wall_to_speak_of(skin_of, stand):
    mesh = ball()
    mesh.vertices = np.asarray(mesh.vertices) * [1.0, 0.7, 0.5]
    exact = 4 / 3 * math.pi * 0.5**3 * 0.35
    wall = 1e-7
    cavity = cavity_of(skin_of, stand, mesh, wall, up=(0.3, 0.2, 0.9), cell_m=0.01)
    assert cavity.volume_m3 == pytest.approx(exact, rel=1e-3)


def test_double_walled_sphere(skin_of, stand):
    outer, inner = ball(0.5, 5), ball(0.47, 5)
    inner.invert()
    both = trimesh.util.concatenate([outer, inner])
    skin = skin_of(both, kind=SkinKind.BOTH_FACES, void=np.arange(len(both.faces)) >= len(outer.faces))
    cavity = build_cavity(skin, stand(skin), cell_m=0.01)
    assert cavity.volume_m3 == pytest.approx(4 / 3 * math.pi * 0.47**3, rel=5e-4)


def test_open_bowl_fills_to_the_rim(skin_of, stand):
    """Half a ball, open upwards: the cap takes nothing from the cavity."""
    whole = ball()
    bowl = trimesh.intersections.slice_mesh_plane(whole, [0, 0, -1], [0, 0, 0], cap=True)
    cap = np.abs(bowl.triangles[:, :, 2]).max(axis=1) < 1e-9
    assert cap.any()
    skin = skin_of(bowl, 0.02, kind=SkinKind.OPEN, cap=cap, spread=0.0)
    cavity = build_cavity(skin, stand(skin), cell_m=0.0083)
    # the offset of a half sphere's skin is the half ball of radius 0.48 cut by the cap, whatever the rim does
    assert cavity.volume_m3 == pytest.approx(2 / 3 * math.pi * 0.48**3, rel=1e-3)


@pytest.mark.parametrize("body", ["sphere", "torus"])
def test_error_falls_with_the_square_of_the_cell(skin_of, stand, body):
    """Observed order from four cell sizes, each the rms of five grids that sit differently."""
    if body == "sphere":
        mesh, wall, exact = ball(), 0.02, 4 / 3 * math.pi * 0.48**3
    else:
        mesh, wall, exact = torus(), 0.02, 2 * math.pi**2 * 0.4 * 0.13**2
    cells = 1.0 / np.array([16, 32, 64])
    errors = []
    for cell in cells:
        found = [
            cavity_of(skin_of, stand, mesh, wall, up=(0.3, 0.2, 0.9), cell_m=cell / q).volume_m3 / exact - 1
            for q in (1.0, 1.07, 1.13, 1.19, 1.27)
        ]
        errors.append(math.sqrt(np.mean(np.square(found))))
    order = np.polyfit(np.log(cells), np.log(errors), 1)[0]
    assert 1.8 < order < 2.3
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.15)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.15)
