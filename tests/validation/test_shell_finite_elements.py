"""The shell elements against Timoshenko, Reissner 1946, Hertz and large-deflection tables."""

from __future__ import annotations

import numpy as np
import pytest
import shell_problems as verification
import trimesh

from pourwright.fem import Contact, Factor, ShellModel, equilibrium, skin_stress, springs
from pourwright.physics.elastic import plates


def cap(n, radius, half_angle, power=1.6):
    """Quarter of a spherical cap about z, finer towards its top: places, triangles, x and y of a unit square."""
    x, y, faces = verification.grid(n, n, "crossed")
    size = np.maximum(x, y)
    length = np.hypot(x, y)
    way = np.c_[x, y] / np.where(length > 0, length, 1.0)[:, None]
    angle = half_angle * size**power
    places = radius * np.c_[np.sin(angle)[:, None] * way, np.cos(angle)]
    return places, faces, size, x, y


def cap_supports(size, x, y):
    return verification.held_at(len(x), (size == 1, tuple(range(6))), (x == 0, (0, 4, 5)), (y == 0, (1, 3, 5)))


@pytest.mark.parametrize(("edges", "load"), [(e, q) for e in ("supported", "clamped") for q in verification.LARGE])
def test_levy_held_square_at_large_deflection(edges, load):
    coarse, fine = (verification.large_square(n, edges, load) for n in (8, 16))
    assert fine == pytest.approx(1.0, abs=0.006)
    assert abs(fine - 1) < 0.35 * abs(coarse - 1) or abs(fine - 1) < 5e-4


@pytest.mark.parametrize(("edges", "load"), [("supported", 100.0), ("clamped", 100.0)])
def test_large_deflection_converges_at_second_order(edges, load):
    errors = [abs(verification.large_square(n, edges, load) - 1) for n in (4, 8, 16)]
    assert (np.log2(np.array(errors[:-1]) / errors[1:]) > 1.7).all()


def test_plate_on_springs_converges_at_second_order():
    errors = [abs(verification.plate_on_springs(n) - 1) for n in (16, 32, 64)]
    assert (np.log2(np.array(errors[:-1]) / errors[1:]) > 1.7).all()


@pytest.mark.parametrize(("edges", "w", "stress"), [("supported", 2.765e-3, 61.0e6), ("clamped", 0.6915e-3, 49.7e6)])
def test_timoshenko_plate_of_two_to_one(edges, w, stress):
    """b = 0.5 m, a = 1 m, t = 5 mm, 200 GPa, 10 kPa: table 8 and 35 (Roark table 11.4, cases 1a and 8a)."""
    errors = []
    for n in (16, 32):
        shape, held, centre = verification.quarter_plate(n, edges, 0.5, 1.0, 0.005)
        model = ShellModel(shape.vertices_m, shape.triangles, 0.005, 200e9, 0.3)
        u = Factor(model.assemble(), held, model.vertices_m).solve(model.pressure_load(10e3))
        peak = skin_stress(model, u).peak_pa
        if edges == "supported":
            peak = peak[(model.triangles == centre).any(axis=1)]
        errors.append(peak.max() / stress - 1)
    assert u.reshape(-1, 6)[centre, 2] == pytest.approx(w, rel=0.005)
    # at a clamped edge the stress runs ahead, on the safe side, and comes down as the triangles shrink
    assert errors[0] > errors[1] > -0.002
    assert errors[1] < 0.035
    assert errors[1] < 0.65 * errors[0]


@pytest.mark.parametrize(("edges", "w", "bound"), [("clamped", 5.3320e-3, 0.01), ("supported", 21.738e-3, 0.01)])
def test_timoshenko_circle(edges, w, bound):
    """Article 16: a = 0.5 m, t = 10 mm, 200 GPa, 0.1 MPa; small deflection."""
    x, y, faces = verification.grid(32, 32, "crossed")
    size, length = np.maximum(x, y), np.hypot(x, y)
    places = 0.5 * np.c_[x, y, 0 * x] * np.where(length > 0, size / np.maximum(length, 1e-12), 1.0)[:, None]
    model = ShellModel(places, faces, 0.01, 200e9, 0.3)
    rim = (0, 1, 2, 3, 4, 5) if edges == "clamped" else (0, 1, 2)
    held = verification.held_at(len(x), (size == 1, rim), (x == 0, (0, 4, 5)), (y == 0, (1, 3, 5)))
    u = Factor(model.assemble(), held, places).solve(model.pressure_load(1e5)).reshape(-1, 6)
    assert u[size == 0, 2][0] == pytest.approx(w, rel=bound)


@pytest.mark.parametrize(
    ("edges", "load", "peak"), [("supported", 100.0, 11.94), ("clamped", 100.0, 26.84), ("clamped", 400.0, 77.3)]
)
def test_stress_of_the_held_square(edges, load, peak):
    """Greatest stress sigma b^2/(E t^2), at the centre (supported) or the middle of the edge (clamped)."""
    model, held, centre = verification.quarter_plate(16, edges)
    rest = equilibrium(model, model.pressure_load(load * 1e-12), held, large=True)
    got = skin_stress(model, rest.movement, large=True).peak_pa * 1e6
    if edges == "supported":
        got = got[(model.triangles == centre).any(axis=1)]
    assert got.max() == pytest.approx(peak, rel=0.04)


@pytest.mark.parametrize(
    ("rise", "ky", "load", "w"),
    [(3, 1, 300, 0.272509), (3, 0, 300, 0.564282), (3, 0, -30, -0.083267), (8, 0, 300, 0.107924)],
)
def test_curved_panel_at_large_deflection(rise, ky, load, w):
    """Clamped square, curved across (and along, ``ky``) with b^2/(8 R t) = ``rise``; greatest w/t for q b^4/(E t^4).

    Values of the Ritz solution of Marguerre's equations in test_von_karman_panels (n = 9), a different method.
    """
    t = 1e-3
    curvature = 8 * rise * t
    x, y, faces = verification.grid(16, 16, "crossed")
    across, along = (x - 1) / 2, (y - 1) / 2
    model = ShellModel(np.c_[across, along, -curvature * (across**2 + ky * along**2) / 2], faces, t, 1.0, 0.3)
    edge = (x == 0) | (y == 0)
    held = verification.held_at(len(x), (edge, tuple(range(6))), (x == 1, (0, 4, 5)), (y == 1, (1, 3, 5)))
    rest = equilibrium(model, model.traction_load([0, 0, load * t**4]), held, large=True)
    bulge = rest.movement.reshape(-1, 6)[:, 2] / t
    assert bulge[np.argmax(np.abs(bulge))] == pytest.approx(w, rel=0.005)


def test_large_deflection_is_small_at_small_load():
    model, held, _ = verification.quarter_plate(8, "clamped")
    load = model.pressure_load(1e-3 * 1e-12)
    large = equilibrium(model, load, held, large=True).movement
    assert large == pytest.approx(Factor(model.assemble(), held, model.vertices_m).solve(load), rel=1e-5, abs=1e-14)


def test_flat_glass_fibre_panel_and_the_closed_form():
    """300 x 300 x 4 mm at 30 kPa: 4.59 mm and 42.1 MPa at the edge; the closed form of ``plates`` alike."""
    model, held, centre = verification.quarter_plate(16, "clamped", 0.3, 0.3, 0.004)
    model = ShellModel(model.vertices_m, model.triangles, 0.004, 6.5e9, 0.33)
    rest = equilibrium(model, model.pressure_load(30e3), held, large=True)
    w = rest.movement.reshape(-1, 6)[centre, 2]
    peak = skin_stress(model, rest.movement, large=True).peak_pa.max()
    assert w == pytest.approx(4.59e-3, rel=0.01)
    assert peak == pytest.approx(42.1e6, rel=0.04)
    closed_w, closed_s, _ = plates.panel_deflection_and_stress(0.3, 0.3, 0.004, 6.5e9, 0.33, 30e3)
    assert (w, peak) == pytest.approx((closed_w, closed_s), rel=0.03)


def test_sphere_grows_as_a_membrane():
    """Whole sphere held at three vertices: stress p R / 2t = 1.875 MPa, growth p R^2 (1 - nu) / (2 E t)."""
    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.5)
    model = ShellModel(ball.vertices, ball.faces, 0.004, 6.5e9, 0.33)
    held = np.zeros((len(ball.vertices), 6), bool)
    a = int(np.argmax(ball.vertices[:, 2]))
    b, c = (int(np.argmax(ball.vertices @ np.array(d))) for d in ([1.0, 0, 0], [0, 1.0, 0]))
    held[a, :3], held[b, 1:3], held[c, 2] = True, True, True
    u = Factor(model.assemble(), held, model.vertices_m).solve(model.pressure_load(30e3)).reshape(-1, 6)
    stress, growth = 1.875e6, 0.09663e-3
    moved = ball.vertices + u[:, :3]
    centre = np.linalg.lstsq(np.c_[2 * moved, np.ones(len(moved))], (moved**2).sum(axis=1), rcond=None)[0][:3]
    size = np.linalg.norm(moved - centre, axis=1) - 0.5
    assert size.mean() == pytest.approx(growth, rel=0.002)
    # the twelve vertices where five triangles meet are off by a tenth on this mesh, all others by little
    assert np.percentile(np.abs(size / growth - 1), 95) < 0.03
    assert np.median(skin_stress(model, u).von_mises_pa) == pytest.approx(stress, rel=0.03)


def test_cylinder_with_a_clamped_rim():
    """Open cylinder: growth p R^2 / (E t) away from the rim, bending 1.816 p R / t (nu = 0.3) at it."""
    x, y, faces = verification.grid(24, 120, "crossed")
    angle = np.pi / 2 * x
    places = np.c_[0.5 * np.cos(angle), 0.5 * np.sin(angle), 0.3 * y**1.2]
    model = ShellModel(places, faces, 0.004, 6.5e9, 0.3)
    held = verification.held_at(
        len(x), (x == 0, (1, 3, 5)), (x == 1, (0, 4, 5)), (y == 0, tuple(range(6))), (y == 1, (3, 4))
    )
    u = Factor(model.assemble(), held, places).solve(model.pressure_load(30e3)).reshape(-1, 6)
    growth = 30e3 * 0.5**2 / (6.5e9 * 0.004)
    assert np.hypot(u[y == 1, 0], u[y == 1, 1]) == pytest.approx(growth, rel=0.01)
    rim = skin_stress(model, u).peak_pa[(y[model.triangles] == 0).any(axis=1)].max()
    assert rim == pytest.approx(1.816 * 30e3 * 0.5 / 0.004, rel=0.05)


@pytest.mark.parametrize(("foam_pa_m", "bound"), [(0.0, 0.02), (2e8, 0.02)])
def test_reissner_dent_of_a_sphere(foam_pa_m, bound):
    """S = 8 sqrt(D (E t / R^2 + k)), E 8 GPa, nu 0.33, t 4 mm, R 0.5 m: 626.29 kN/m bare."""
    places, faces, size, x, y = cap(28, 0.5, 0.75)
    model = ShellModel(places, faces, 0.004, 8e9, 0.33)
    k = model.assemble()
    if foam_pa_m:
        k = k + springs(model, np.arange(len(x)), model.vertex_normals, foam_pa_m * model.vertex_area_m2)
    top = np.flatnonzero(size == 0)
    u = Factor(k, cap_supports(size, x, y), places).solve(model.nodal_load(top, [0, 0, -0.25])).reshape(-1, 6)
    d = 8e9 * 0.004**3 / (12 * (1 - 0.33**2))
    exact = 8 * np.sqrt(d * (8e9 * 0.004 / 0.5**2 + foam_pa_m))
    assert -1 / u[top[0], 2] == pytest.approx(exact, rel=bound)
    if not foam_pa_m:
        assert exact == pytest.approx(626.29e3, rel=1e-4)


def test_hertz_plate_on_springs():
    assert verification.plate_on_springs(32) == pytest.approx(1.0, abs=0.005)


def test_pressed_plate_on_pushing_springs_is_winkler():
    """Even pressure into the springs: everything touches, Navier's series with foundation."""
    model, held, centre = verification.quarter_plate(16, "supported", 0.3, 0.3, 0.004)
    youngs = 38.9032 * 12 * (1 - 0.09) / 0.004**3
    model = ShellModel(model.vertices_m, model.triangles, 0.004, youngs, 0.3)
    foam = Contact(1e7 * model.vertex_area_m2, np.tile([0.0, 0, 1], (len(model.vertices_m), 1)))
    rest = equilibrium(model, model.pressure_load(-1e3), held, contact=foam)
    assert -rest.movement.reshape(-1, 6)[centre, 2] == pytest.approx(0.120034e-3, rel=0.005)
    away = equilibrium(model, model.pressure_load(1e3), held, contact=foam)
    assert away.movement.reshape(-1, 6)[centre, 2] == pytest.approx(0.84582e-3, rel=0.005)
    assert away.push_n.max() == 0.0
