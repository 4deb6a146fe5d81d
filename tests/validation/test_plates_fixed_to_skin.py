"""A rigid plate bonded to a skin on foam, against closed forms: an endless thin plate on springs (Timoshenko &
Woinowsky-Krieger 1959, ch. 8: Kelvin's functions, here as scipy has them), Westergaard's slab under a patch of load
(1926, as in every text on concrete roads, from memory), Hertz's point load 1 / (8 sqrt(k D)), and
Muskhelishvili's rigid disc in an endless sheet, worked out from his potentials."""

import math

import numpy as np
import pytest
from scipy.special import kve

from pourwright.errors import ShellError
from pourwright.fem import Factor, ShellModel, skin_stress, springs
from pourwright.structure.fixing import Fixing, _bed, _disc, bending_length, fixing_stress

SKIN = {"wall_m": 0.005, "youngs_pa": 6.5e9, "poisson": 0.33, "foam_pa": 8e6, "foam_poisson": 0.3, "foam_m": 0.3}
AT = np.exp(1j * math.pi / 4)


def wave(order, x):
    """K of an order at x e^(i pi / 4): its real and imaginary part solve the plate on springs and die away."""
    z = x * AT
    return kve(order, z) * np.exp(-z)


def slopes(order, x, step=1e-4):
    """Value and first three derivatives."""
    grid = [wave(order, x + k * step) for k in (-2, -1, 0, 1, 2)]
    a, b, c, d, e = grid
    return (
        c,
        (a - 8 * b + 8 * d - e) / (12 * step),
        (-a + 16 * b - 30 * c + 16 * d - e) / (12 * step**2),
        (-a + 2 * b - 2 * d + e) / (2 * step**3),
    )


def rim_by_kelvin(fixing, order):
    """Stress at the rim of a rigid disc under a unit pull (order 0) or moment (order 1)."""
    rigidity, spring = _bed(fixing)
    length, nu = (rigidity / spring) ** 0.25, fixing.poisson
    radius = 0.5 * fixing.plate_m
    x = radius / length
    w, w1, w2, w3 = (np.array([v.real, v.imag]) for v in slopes(order, x))
    tied = w1 if order == 0 else w1 - w / x  # no slope; or turned as the plate is
    c = np.array([-tied[1], tied[0]])
    w, w1, w2, w3 = (float(v @ c) for v in (w, w1, w2, w3))
    if order == 0:
        round_rim = 2 * math.pi * x * (w3 + w2 / x - w1 / x**2)  # of the shear force, times D / l^2
        total = round_rim + math.pi * x**2 * w
        moment = w2 + nu * w1 / x
        load = total * rigidity / length**2
        return abs(6 * rigidity / length**2 * moment / fixing.wall_m**2 / load)
    # Moments of the rim about a diameter: shear with its lever, and the bending moment; the foam under the plate.
    lap = [w2 + w1 / x - w / x**2, w3 + w2 / x - w1 / x**2 - w1 / x**2 + 2 * w / x**3]
    twist = (1 - nu) * (-(w1 / x) + w / x**2)  # M_rt / (-D sin)
    dtwist = -twist / x  # 1/r dM_rt/dtheta for the Kirchhoff shear, left out where the plate is rigid
    bend = w2 + nu * (w1 / x - w / x**2)
    push = math.pi * x**2 * (lap[1]) - math.pi * x * bend + math.pi * x * twist
    _ = dtwist
    bed = math.pi * x**4 / 4 * (w / x)
    load = (push + bed) * rigidity / length
    return abs(6 * rigidity / length**2 * bend / fixing.wall_m**2 / load)


@pytest.mark.parametrize("plate_m", [0.02, 0.06, 0.15])
def test_a_pull_as_kelvins_functions_have_it(plate_m):
    fixing = Fixing(**SKIN, plate_m=plate_m, reach_m=9.0)
    assert fixing_stress(fixing).pull == pytest.approx(rim_by_kelvin(fixing, 0), rel=0.05)


@pytest.mark.parametrize("plate_m", [0.02, 0.06, 0.15])
def test_a_moment_as_kelvins_functions_have_it(plate_m):
    fixing = Fixing(**SKIN, plate_m=plate_m, reach_m=9.0)
    assert fixing_stress(fixing).moment == pytest.approx(rim_by_kelvin(fixing, 1), rel=0.05)


def test_a_small_plate_dents_the_foam_as_a_point_load():
    fixing = Fixing(**SKIN, plate_m=0.002, reach_m=9.0)
    rigidity, spring = _bed(fixing)
    assert fixing_stress(fixing).foam_pull == pytest.approx(spring / (8 * math.sqrt(spring * rigidity)), rel=0.02)


def rigid_disc_in_a_sheet(nu):
    """Greatest principal stress at its rim over X / (2 pi a t)."""
    kappa = (3 - nu) / (1 + nu)
    angle = np.linspace(0, math.pi, 2001)
    radial, round_it = np.cos(angle), -(3 - kappa) / (1 + kappa) * -np.cos(angle)
    shear = np.sin(angle)
    middle, size = (radial + round_it) / 2, np.hypot((radial - round_it) / 2, shear)
    return float(np.max(np.abs(middle) + size))


def test_a_shear_as_a_rigid_disc_in_a_sheet():
    fixing = Fixing(**SKIN, plate_m=0.03, reach_m=9.0)
    due = rigid_disc_in_a_sheet(0.33) / (2 * math.pi * 0.015 * 0.005)
    assert fixing_stress(fixing).shear == pytest.approx(due, rel=0.06)


@pytest.mark.parametrize("radius_m", [0.02, 0.03])
def test_an_even_patch_of_load_as_westergaard_has_it(radius_m):
    """The same elements with the patch as thin as the skin and nu = 0.15: his greatest stress under the middle."""
    given = {**SKIN, "wall_m": 0.01, "poisson": 0.15}
    fixing = Fixing(**given, plate_m=2 * radius_m, reach_m=9.0)
    rigidity, spring = _bed(fixing)
    length = (rigidity / spring) ** 0.25
    made, _ = _disc(fixing, radius_m, 6 * length + radius_m, length)
    model = ShellModel(made.vertices_m, made.triangles, 0.01, 6.5e9, 0.15)
    away = np.linalg.norm(model.vertices_m[:, :2], axis=1)
    on = np.linalg.norm(model.vertices_m[model.triangles].mean(axis=1), axis=1) < radius_m
    load = model.traction_load(np.where(on, 1 / (math.pi * radius_m**2), 0.0)[:, None] * np.array([0, 0, 1.0]))
    held = np.zeros((len(away), 6), bool)
    held[away > 0.999 * away.max()] = True
    area = model.vertex_area_m2
    stiffness = model.assemble() + springs(model, np.arange(len(away)), (0.0, 0.0, 1.0), spring * area)
    moved = Factor(stiffness, held.ravel(), model.vertices_m).solve(load)
    centre = np.abs(skin_stress(model, moved).bending_pa[:10]).max()
    b = math.sqrt(1.6 * radius_m**2 + 0.01**2) - 0.675 * 0.01 if radius_m < 1.724 * 0.01 else radius_m
    westergaard = 0.316 / 0.01**2 * (4 * math.log10(length / b) + 1.069)
    assert centre == pytest.approx(westergaard, rel=0.1)


def test_a_neighbour_counts_less_the_farther_it_is():
    one = fixing_stress(Fixing(**SKIN, plate_m=0.06, reach_m=9.0))
    shares = [one.of_neighbour(away, 0.06) for away in (0.07, 0.1, 0.15, 0.25)]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.3
    assert shares[-1] < 0.2


def test_skin_that_ends_beside_the_plate_is_refused():
    fixing = Fixing(**SKIN, plate_m=0.06, reach_m=0.04)
    assert bending_length(fixing) > 0.01
    with pytest.raises(ShellError, match="beside the plate"):
        fixing_stress(fixing)
