"""MacNeal & Harder, Finite Elem. Anal. Des. 1 (1985) 3-20, and the obstacle course of Belytschko et al. (1985).

References through secondary copies and from memory; thin-plate values recomputed from series. The bounds are those that
meshes of this size of a good thin-shell triangle keep, not what this element happens to give.
"""

from __future__ import annotations

import numpy as np
import pytest
import shell_problems as verification

from pourwright.fem import Factor, ShellModel, skin_stress

DIAGONALS = ("one way", "other way", "crossed")


def monotone(ratios):
    steps = np.diff(ratios)
    return (steps > -1e-6).all() or (steps < 1e-6).all()


@pytest.mark.parametrize("diagonal", DIAGONALS)
def test_scordelis_lo_roof(diagonal):
    ratios = [verification.scordelis_lo_roof(n, diagonal) for n in (8, 16, 32)]
    assert ratios[-1] == pytest.approx(1.0, abs=0.02)
    assert monotone(ratios)


def order(values):
    """Order of convergence from meshes each twice as fine, without any reference: log2 of how the steps shrink."""
    steps = np.abs(np.diff(values))
    return np.log2(steps[:-1] / steps[1:])


def test_roof_converges_at_second_order():
    assert (order([verification.scordelis_lo_roof(n, "crossed") for n in (8, 16, 32, 64)]) > 1.7).all()


@pytest.mark.parametrize("diagonal", DIAGONALS)
def test_pinched_cylinder(diagonal):
    assert verification.pinched_cylinder(32, diagonal) == pytest.approx(1.0, abs=0.05)


@pytest.mark.slow
def test_pinched_cylinder_monotone():
    ratios = [verification.pinched_cylinder(n) for n in (16, 32, 64)]
    assert monotone(ratios)
    assert ratios[-1] == pytest.approx(1.0, abs=0.02)


def test_hemispheres():
    holed = [verification.hemisphere(n) for n in (8, 16, 32)]
    whole = [verification.hemisphere(n, 0.5, 0.0924) for n in (8, 16, 32)]
    assert monotone(holed)
    assert monotone(whole)
    assert (holed[-1], whole[-1]) == pytest.approx((1.0, 1.0), abs=0.015)


@pytest.mark.slow
def test_hemispheres_fine():
    assert verification.hemisphere(64) == pytest.approx(1.0, abs=0.02)
    assert verification.hemisphere(64, 0.5, 0.0924) == pytest.approx(1.0, abs=0.015)


def test_twisted_beam():
    runs = np.array([verification.twisted_beam(n) for n in (12, 24, 48)])
    assert monotone(runs[:, 0])
    assert monotone(runs[:, 1])
    assert 0.99 <= runs[-1, 0] <= 1.0
    assert 0.96 <= runs[-1, 1] <= 1.0


def test_thin_twisted_beam():
    """A hundred times thinner: coarse flat triangles are stiff here; 96 x 16 must be within 2 %."""
    runs = np.array([verification.twisted_beam(n, thin=True) for n in (24, 48, 96)])
    assert monotone(runs[:, 0])
    assert runs[-1] == pytest.approx([1.0, 1.0], abs=0.02)


@pytest.mark.parametrize("form", ["regular", "trapezoid", "parallelogram"])
def test_straight_beam(form):
    """Twist is thin-plate theory's: G b t^3 / 3 where the bar (2 : 1) has 0.229 G b t^3, so 0.687 plus end effects."""
    coarse, fine = verification.straight_beam(form), verification.straight_beam(form, 4)
    assert coarse["extension"] == pytest.approx(1.0, abs=0.01)
    assert coarse["out of plane"] == pytest.approx(1.0, abs=0.03)
    assert fine["in plane"] == pytest.approx(1.0, abs=0.03)
    thin_plate = 6.0 / (1e7 / 2.6 * 0.2 * 0.1**3 / 3) / 0.03208
    assert fine["twist"] == pytest.approx(thin_plate, rel=0.02)


def test_curved_beam():
    """Out of plane by hand with the thin plate's torsion: P R^3 ((pi/4) / EI + (3 pi/4 - 2) / GJ)."""
    fine = verification.curved_beam(4)
    assert fine["in plane"] == pytest.approx(1.0, abs=0.015)
    ei, gj = 1e7 * 0.2 * 0.1**3 / 12, 1e7 / 2.5 * 0.2 * 0.1**3 / 3
    thin_plate = 4.22**3 * (np.pi / 4 / ei + (0.75 * np.pi - 2) / gj) / 0.5022
    assert fine["out of plane"] == pytest.approx(thin_plate, rel=0.02)


@pytest.mark.parametrize("edges", ["supported", "clamped"])
@pytest.mark.parametrize(("ratio", "bound"), [(1, 0.006), (5, 0.012)])
@pytest.mark.parametrize("point", [False, True])
def test_thin_plates(edges, ratio, bound, point):
    """Clamped 5:1 under even pressure is 2.604 by thin-plate theory; the often-copied 2.56 should not be met."""
    got = verification.thin_plate(16, edges, ratio, point)
    assert got == pytest.approx(1.0, abs=bound)


@pytest.mark.parametrize("edges", ["supported", "clamped"])
def test_thin_plates_converge_at_second_order(edges):
    errors = [abs(verification.thin_plate(n, edges, 1, diagonal="crossed") - 1) for n in (4, 8, 16)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (orders > 1.7).all()


PATCH = np.array([[0, 0], [0.24, 0], [0.24, 0.12], [0, 0.12], [0.04, 0.02], [0.18, 0.03], [0.16, 0.08], [0.08, 0.08]])
PATCH_QUADS = [(0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7), (4, 5, 6, 7)]


def patch(flip, turn):
    """The patch cut into triangles by either diagonal and turned in space."""
    faces = [t for a, b, c, d in PATCH_QUADS for t in (((a, b, d), (b, c, d)) if flip else ((a, b, c), (a, c, d)))]
    model = ShellModel(np.c_[PATCH, np.zeros(8)] @ turn.T, faces, 0.001, 1e6, 0.25)
    held = np.zeros((8, 6), bool)
    held[:4] = True
    return model, Factor(model.assemble(), held, model.vertices_m)


TURN = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
TURN *= np.sign(np.linalg.det(TURN))


@pytest.mark.parametrize("flip", [False, True])
@pytest.mark.parametrize("turn", [np.eye(3), TURN], ids=["flat", "turned"])
def test_membrane_patch(flip, turn):
    """u = 1e-3 (x + y/2), v = 1e-3 (y + x/2) at the edges: sigma = 1333.33, tau = 400 in every triangle."""
    model, factor = patch(flip, turn)
    x, y = PATCH.T
    values = np.zeros((8, 6))
    values[:, :3] = 1e-3 * np.c_[x + y / 2, y + x / 2, 0 * x] @ turn.T
    u = factor.solve(np.zeros(model.size), values.ravel())
    assert u.reshape(8, 6) == pytest.approx(values, rel=1e-6, abs=1e-12)
    stress = skin_stress(model, u)
    principal = np.array([1333.333333 + 400, 1333.333333 - 400])
    assert stress.peak_pa == pytest.approx(principal[0], rel=1e-6)
    assert stress.membrane_pa[:, 0] + stress.membrane_pa[:, 1] == pytest.approx(principal.sum(), rel=1e-6)
    assert np.abs(stress.bending_pa).max() < 1e-6 * 1333


@pytest.mark.parametrize("flip", [False, True])
@pytest.mark.parametrize("turn", [np.eye(3), TURN], ids=["flat", "turned"])
def test_bending_patch(flip, turn):
    """w = 1e-3 (x^2 + x y + y^2) / 2 and its slopes: surface stress 0.6667 both ways and 0.2 in shear, everywhere."""
    model, factor = patch(flip, turn)
    x, y = PATCH.T
    values = np.zeros((8, 6))
    values[:, :3] = np.c_[0 * x, 0 * x, 1e-3 * (x**2 + x * y + y**2) / 2] @ turn.T
    values[:, 3:] = np.c_[1e-3 * (x / 2 + y), -1e-3 * (x + y / 2), 0 * x] @ turn.T
    u = factor.solve(np.zeros(model.size), values.ravel())
    assert u.reshape(8, 6) == pytest.approx(values, rel=1e-6, abs=1e-12)
    stress = skin_stress(model, u)
    assert stress.peak_pa == pytest.approx(0.6666667 + 0.2, rel=1e-6)
    assert np.abs(stress.bending_pa[:, :2].sum(axis=1)) == pytest.approx(2 * 0.6666667, rel=1e-6)
    assert np.abs(stress.membrane_pa).max() < 1e-9
