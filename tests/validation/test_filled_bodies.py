"""Skin and solid foam together against sandwich theory, plates on an elastic half-space and transformed sections.

Allen, Analysis and Design of Structural Sandwich Panels, 1969 (from memory); Timoshenko & Woinowsky-Krieger, Theory of
Plates and Shells, 2nd ed. 1959, ch. 8 (from memory, the integral evaluated here); solid cubes beside scikit-fem; beams
on one-sided springs from their own differential equation, solved here.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import j1
from shell_problems import grid, held_at

from pourwright.cavity import Grid
from pourwright.fem import Contact, Factor, ShellModel, equilibrium
from pourwright.physics.elastic import foundation, plates
from pourwright.structure import Filled, foam_block, join
from pourwright.structure.solve import COARSE_1_M

SPAN, WIDE, CORE, WALL, SKIN_PA, CORE_PA, SHEAR_PA = 0.8, 0.02, 0.04, 0.002, 7e9, 8e6, 8e6 / 2.6


def solid(shape, cell, youngs=CORE_PA, origin=(0.0, 0.0, 0.0)):
    return foam_block(
        Grid(np.array(origin), cell, shape), np.ones(shape), np.full(shape[2], youngs), np.full(shape[2], 50.0), 0.3
    )


def sheet(nx, ny, long, wide, height):
    """Triangles of a level rectangle, normals up."""
    x, y, faces = grid(nx, ny, "crossed")
    return np.c_[long * x, wide * y, np.full(len(x), height)], faces


# -- sandwich beam ---------------------------------------------------------------------------------------------------


def sandwich(cell):
    """Two skins on a core along x, the middles of the skins half a wall outside the core."""
    shape = (round(SPAN / cell), round(WIDE / cell), round(CORE / cell))
    low, faces = sheet(*shape[:2], SPAN, WIDE, -WALL / 2)
    high = low + np.array([0, 0, CORE + WALL])
    model = ShellModel(np.vstack([low, high]), np.vstack([faces[:, ::-1], faces + len(low)]), WALL, SKIN_PA, 0.0)
    return model, solid(shape, cell)


def middle_sag(cell, way):
    """Simply supported under 1 N spread evenly, half on each skin: how far the middle goes down."""
    model, foam = sandwich(cell)
    p = model.vertices_m
    held = np.zeros((len(p), 6), bool)
    held[(p[:, 0] < 1e-9) | (p[:, 0] > SPAN - 1e-9), 2] = True
    held[np.abs(p[:, 0] - SPAN / 2) < 1e-9, 0] = True  # by symmetry
    held[:, 1] = True
    load = np.zeros((len(p), 6))
    load[:, 2] = -model.vertex_area_m2 / model.vertex_area_m2.sum()
    body = Filled(model, np.full(len(p), WALL), foam, held)
    moved = body.skin(way(body, body.padded(load.ravel())))
    return -float(moved[(p[:, 2] < 0) & (np.abs(p[:, 0] - SPAN / 2) < 1e-9), 2].mean())


def allens_sag():
    """w = 5 P L^3 / (384 D) + P L / (8 S), D = E b (t d^2 / 2 + t^3 / 6) + E_c b c^3 / 12, S = G_c b d^2 / c."""
    d = CORE + WALL
    rigidity = SKIN_PA * WIDE * (WALL * d**2 / 2 + WALL**3 / 6) + CORE_PA * WIDE * CORE**3 / 12
    return 5 * SPAN**3 / (384 * rigidity) + SPAN / (8 * SHEAR_PA * WIDE * d**2 / CORE)


def alone_sag():
    """Each skin and the core for itself, all with the same bulge: w = 5 P L^3 / (384 sum of E I)."""
    rigidity = SKIN_PA * WIDE * WALL**3 / 6 + CORE_PA * WIDE * CORE**3 / 12
    return 5 * SPAN**3 / (384 * rigidity) + SPAN / (8 * 5 / 6 * SHEAR_PA * WIDE * CORE)


def test_bonded_sandwich_beam_is_allens():
    """Span 0.8 m, core 40 mm, skins 2 mm; three meshes settle within 3 % of the formula."""
    ratios = np.array([middle_sag(cell, Filled.bonded) for cell in (0.02, 0.01, 0.005)]) / allens_sag()
    steps = np.abs(np.diff(ratios))
    assert ratios == pytest.approx(np.ones(3), abs=0.03)
    assert steps[1] < 0.5 * steps[0]


def test_without_bond_the_skins_work_alone():
    assert middle_sag(0.01, Filled.sliding) / alone_sag() == pytest.approx(1.0, abs=0.03)
    assert middle_sag(0.01, Filled.sliding) > 20 * middle_sag(0.01, Filled.bonded)


@pytest.mark.parametrize("low", [0.1, 0.4])
def test_patchy_bond_lies_between_and_grows_with_its_share(low):
    """Compliance falls with every patch that is glued, from the skins alone to Allen's beam."""
    sags = [middle_sag(0.02, lambda body, load, b=b: body.bonded(load, b)) for b in (low, 0.5 * (1 + low), 1.0)]
    alone = middle_sag(0.02, Filled.sliding)
    assert alone > sags[0] > sags[1] > sags[2]


# -- plate on deep foam ----------------------------------------------------------------------------------------------


def dent_under_a_palm(rigidity, palm, interface, deep):
    """Force over the mean movement under an evenly pushed disc, wide plate on a layer on smooth ground: Hankel."""

    def each(a):
        patch = 2 * j1(a * palm) / (a * palm)
        return a * patch**2 / (rigidity * a**4 + foundation.foundation(a, CORE_PA, 0.3, deep, interface))

    return 2 * np.pi / quad(each, 1e-6, 3000, limit=2000)[0]


def pushed_plate(cell, side, wall, youngs, poisson, bond, palm=0.04, wide=0.6, deep=0.15):
    """Quarter of a plate on a block of foam that stands on smooth ground, pushed in its middle: N/m, and the palm."""
    nx, nz = round(wide / 2 / cell), round(deep / cell)
    foam = solid((nx, nx, nz), cell)
    places, faces = sheet(round(wide / 2 / side), round(wide / 2 / side), wide / 2, wide / 2, deep + wall / 2)
    model = ShellModel(places, faces, wall, youngs, poisson)
    joint = join(model, foam, np.full(len(places), wall))
    x, y = places[:, :2].T
    held = held_at(len(places), (x == 0, (0, 4, 5)), (y == 0, (1, 3, 5))).ravel()
    ground = np.zeros((len(foam.nodes_m), 3), bool)
    ground[foam.nodes_m[:, 0] < 1e-9, 0] = ground[foam.nodes_m[:, 1] < 1e-9, 1] = ground[
        foam.nodes_m[:, 2] < 1e-9, 2
    ] = 1
    if not bond:  # nothing but symmetry holds the plate along its own plane
        held = held | held_at(len(places), (np.ones(len(places), bool), (5,))).ravel()
    weight = np.where(np.hypot(x, y) <= palm, model.vertex_area_m2, 0.0)
    load = np.zeros((len(places), 6))
    load[:, 2] = -0.25 * weight / weight.sum()
    on = np.ones(len(joint.vertex))
    stiff = sp.block_diag([model.assemble(), foam.assemble()], format="csr") + joint.assemble(on * bond, on)
    node = np.r_[np.arange(model.size) // 6, len(places) + np.repeat(np.arange(len(foam.nodes_m)), 3)]
    factor = Factor(sp.csr_array(stiff), np.r_[held, ground.ravel()], np.vstack([places, foam.nodes_m]), node)
    whole = np.r_[load.ravel(), np.zeros(foam.size)]
    return 1 / float(4 * whole @ factor.solve(whole)), float(np.sqrt(4 * weight.sum() / np.pi))


@pytest.mark.parametrize(("bond", "interface"), [(False, "frictionless"), (True, "bonded")])
@pytest.mark.parametrize(("wall", "youngs", "poisson"), [(0.004, 7e9, 0.33), (0.006, 0.65e9, 0.42)])
def test_hand_push_on_deep_foam(bond, interface, wall, youngs, poisson):
    """GRP and polyethylene. Fine foam comes near; cells as coarse as those of a whole piece (50 mm) are too stiff."""
    ratios = []
    for cell in (0.0125, 0.05):
        got, palm = pushed_plate(cell, 0.0125, wall, youngs, poisson, bond)
        exact = dent_under_a_palm(plates.flexural_rigidity(youngs, poisson, wall), palm, interface, 0.15)
        ratios.append(got / exact)
    print(ratios)
    assert ratios[0] == pytest.approx(1.0, abs=0.05)
    assert ratios[0] < ratios[1] < 1 + COARSE_1_M * 0.05


# -- whole bodies ----------------------------------------------------------------------------------------------------


def tube_gain(radius, wall, youngs, poisson, length, around, along, cell):
    """Bending stiffness that foam adds to a tube held at one end and bent by a moment at the other."""
    x, z, faces = grid(around, along)
    seam = np.where(x == 1, 0, np.arange(len(x)) % (around + 1)) + (around + 1) * (np.arange(len(x)) // (around + 1))
    used, index = np.unique(seam[faces], return_inverse=True)
    turn = 2 * np.pi * x[used]
    places = np.c_[radius * np.cos(turn), radius * np.sin(turn), length * z[used]]
    model = ShellModel(places, index.reshape(-1, 3), wall, youngs, poisson)
    inside = radius - wall / 2
    n, tall, fine = int(np.ceil(2 * inside / cell)), round(length / cell), 8
    middle = (np.arange(n * fine) + 0.5) * cell / fine - n * cell / 2
    filled = (np.add.outer(middle**2, middle**2) <= inside**2).reshape(n, fine, n, fine).mean(axis=(1, 3))
    corner = np.array([-n * cell / 2, -n * cell / 2, 0.0])
    foam = foam_block(
        Grid(corner, cell, (n, n, tall)),
        np.repeat(filled[:, :, None], tall, axis=2),
        np.full(tall, CORE_PA),
        np.full(tall, 50.0),
        0.3,
    )
    held = np.repeat((places[:, 2] == 0)[:, None], 6, axis=1)
    body = Filled(model, np.full(len(places), wall), foam, held)
    load = np.zeros((len(places), 6))
    tip = places[:, 2] == length
    load[tip, 2] = places[tip, 0] / (places[tip, 0] ** 2).sum()
    bare, whole = load.ravel(), body.padded(load.ravel())
    skin_only = float(bare @ body.before(bare))
    assert skin_only == pytest.approx(length / (youngs * np.pi * radius**3 * wall), rel=0.01)
    return skin_only / float(whole @ body.bonded(whole)) - 1


@pytest.mark.parametrize(
    ("tube", "gain", "bound"),
    [
        ((0.15, 0.003, 7e9, 0.3, 1.5, 60, 100, 0.03), 0.01372, 0.0015),
        ((0.2, 0.006, 0.65e9, 0.42, 1.6, 48, 64, 0.04), 0.0965, 0.006),
    ],
    ids=["GRP", "polyethylene"],
)
def test_whole_tube_gains_what_its_section_does(tube, gain, bound):
    """Transformed section: E_c I_foam over E I_skin, 1.372 % for GRP and 9.65 % for polyethylene; exact algebra."""
    radius, wall, youngs = tube[:3]
    added = CORE_PA * np.pi / 4 * (radius - wall / 2) ** 4 / (youngs * np.pi * radius**3 * wall)
    assert added == pytest.approx(gain, rel=0.003)
    assert tube_gain(*tube) == pytest.approx(gain, abs=bound)


# -- foam alone, and springs that only push --------------------------------------------------------------------------


def test_block_bends_as_quadratic_cubes_of_a_library_do():
    """Cantilever 0.5 x 0.1 x 0.1 m, its end pushed down, beside scikit-fem's 27-node cubes twice as fine."""
    import skfem
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    def ours(cell):
        foam = solid((round(0.5 / cell), round(0.1 / cell), round(0.1 / cell)), cell)
        at_end = foam.nodes_m[:, 0] > 0.5 - 1e-9
        load = np.zeros_like(foam.nodes_m)
        edge = ((np.abs(foam.nodes_m[:, 1:] - 0.05) > 0.049).sum(axis=1))[at_end]  # an even shear on the end face
        load[at_end, 2] = -100.0 * (0.5**edge) / (0.5**edge).sum()
        held = np.repeat(foam.nodes_m[:, 0] < 1e-9, 3)
        factor = Factor(foam.assemble(), held, foam.nodes_m, np.repeat(np.arange(len(foam.nodes_m)), 3))
        return factor.solve(load.ravel()) @ load.ravel() / -100.0

    mesh = skfem.MeshHex.init_tensor(np.linspace(0, 0.5, 21), np.linspace(0, 0.1, 5), np.linspace(0, 0.1, 5))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=4)
    stiff = linear_elasticity(*lame_parameters(CORE_PA, 0.3)).assemble(basis)
    face = basis.boundary(mesh.facets_satisfying(lambda x: np.isclose(x[0], 0.5)))

    @skfem.LinearForm
    def push(v, w):
        return -100.0 / 0.01 * v[2]

    x = skfem.solve(*skfem.condense(stiff, push.assemble(face), D=basis.get_dofs(lambda x: np.isclose(x[0], 0.0))))
    theirs = push.assemble(face) @ x / -100.0
    coarse, fine = ours(0.05) / theirs, ours(0.025) / theirs
    assert coarse == pytest.approx(1.0, abs=0.02)
    assert fine == pytest.approx(1.0, abs=0.006)


def lifting_beam():
    """Half a long weightless beam on springs that only push, EI = k = 1, pushed by 1 in its middle.

    EI w'''' + k w = 0 where it touches, 0 <= x <= l, with w' = 0 and EI w''' = P/2 in the middle and w = w'' = w''' = 0
    where it parts; beyond, it is straight. Returns l and w(0).
    """
    b = 0.25**0.25

    def shapes(x, order):
        # e^(b x (+-1 +- i)): real and imaginary parts, differentiated ``order`` times
        each = [complex(s, t) * b for s in (1, -1) for t in (1,)]
        values = [r**order * np.exp(r * x) for r in each]
        return np.array([part(v) for v in values for part in (np.real, np.imag)])

    def constants(length):
        rows = [shapes(0.0, 1), shapes(0.0, 3), shapes(length, 2), shapes(length, 3)]
        return np.linalg.solve(np.array(rows), np.array([0.0, 0.5, 0.0, 0.0]))

    length = brentq(lambda s: shapes(s, 0) @ constants(s), 0.5, 3.0)
    return length, float(shapes(0.0, 0) @ constants(length))


def test_beam_lifts_off_springs_that_only_push():
    """Contact ends where the beam's own equation says, at pi / 2 over (k / 4 EI)^(1/4)."""
    length, sunk = lifting_beam()
    assert length == pytest.approx(np.pi / 2 * 4**0.25, rel=1e-6)
    long, wide, thick = 8.0, 0.2, 0.1
    places, faces = sheet(160, 4, long, wide, 0.0)
    x, y = places[:, :2].T
    model = ShellModel(places, faces, thick, 12 / (wide * thick**3), 0.0)  # EI = 1
    held = held_at(len(x), (x == 0, (0, 4, 5)), (y < 1e-9, (1,)))
    foam = Contact(model.vertex_area_m2 / wide, np.tile([0.0, 0, 1], (len(x), 1)))  # k = 1 along the beam
    load = np.zeros((len(x), 6))
    load[x == 0, 2] = -0.5 / (x == 0).sum()
    rest = equilibrium(model, load.ravel(), held, contact=foam)
    w = rest.movement.reshape(-1, 6)[:, 2]
    assert w[x == 0].mean() == pytest.approx(-abs(sunk), rel=0.01)
    assert x[rest.push_n > 0].max() == pytest.approx(length, abs=1.5 * long / 160)
    assert rest.push_n.sum() == pytest.approx(0.5, rel=1e-6)
