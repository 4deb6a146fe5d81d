"""Skin pressed by foam: membranes and plates by their formulas, forces of shores and palms by balance.

S. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, from memory; statics written out.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize_scalar

from pourwright.cavity import Grid, pour_frame
from pourwright.fem import ShellModel
from pourwright.panels import panels
from pourwright.physics.elastic.plates_small import flexural_rigidity
from pourwright.shell import WallBand, load_skin, skin_material
from pourwright.structure import PressedLift, Prop, Under, bed, even_mesh, foam_block, lift_bulge, skin_mesh
from pourwright.structure.foam import coarser
from pourwright.structure.gains import _end_loads
from pourwright.structure.pressed import PressedPart
from pourwright.structure.pushes import push_loads
from pourwright.structure.solve import foam_laws
from pourwright.structure.support import CHOCK_AT

WALL = 0.003
PACKED = 31.5e3  # [Pa] a 48 kg/m3 foam packed to 1.3


def under_of(tmp_path, material="polyethylene", wall=0.006, triangles=2500, held=False, size=(0.5, 0.4, 0.5)):
    file = tmp_path / "box.stl"
    trimesh.creation.box(size).export(file)
    skin = load_skin(
        file, unit="m", material=skin_material(material), bands=[WallBand("", -math.inf, math.inf, wall, 0.1)]
    )
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    found = panels(skin, 16)
    middles = frame.to_standing(np.array([p.point_m for p in found]))
    mesh = skin_mesh(skin, frame, triangles)
    return Under(mesh, skin.material, found, middles, 0.01, lambda h: 8e6, 0.3, 0.1, skin.material.foam_bonds, held)


def test_bulge_of_a_wide_flat_side_is_a_clamped_plates(tmp_path):
    """GRP box, small pressure over its height: its 0.4 m sides bulge between supported and clamped square plates.

    w = 0.00126 to 0.00406 q b^4 / D (Timoshenko & Woinowsky-Krieger 1959).
    """
    under = under_of(tmp_path, material="grp", wall=0.006, size=(0.4, 0.4, 0.4), triangles=2000)
    bulge = lift_bulge(under, PressedLift(1, 0.0, 0.4, 200.0, False))
    d = flexural_rigidity(under.material.youngs_pa.low, under.material.poisson, 0.006)
    assert 0.00126 < bulge.outward_m * d / (200.0 * 0.394**4) < 0.00406
    assert not bulge.large


def test_bed_gives_a_flat_skin_its_dent_on_a_half_space():
    """w = P l^2 / (3 sqrt(3) D), l^3 = 2 D (1 - nu^2) / E_c (Timoshenko & Woinowsky-Krieger 1959, ch. 8)."""
    d = flexural_rigidity(7e9, 0.3, 0.004)
    k = float(bed(np.array([d]), np.array([8e6]), 0.3, math.inf)[0])
    length = (2 * d * (1 - 0.09) / 8e6) ** (1 / 3)
    assert 1 / (8 * (k * d) ** 0.5) == pytest.approx(length**2 / (3 * 3**0.5 * d), rel=0.01)


@pytest.fixture(scope="module")
def cooler(tmp_path_factory):
    """The double-walled body of a cooler, 600 x 400 x 350 mm, in polyethylene of 3 mm."""
    file = tmp_path_factory.mktemp("cooler") / "cooler.stl"
    outside = trimesh.creation.box(bounds=[[0, 0, 0], [0.6, 0.4, 0.35]])
    inside = trimesh.creation.box(bounds=[[0.05, 0.05, 0.06], [0.55, 0.35, 0.4]])
    trimesh.boolean.difference([outside, inside]).export(file)
    bands = [WallBand("", -math.inf, math.inf, WALL, 0.1)]
    skin = load_skin(file, unit="m", material=skin_material("polyethylene"), bands=bands)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    found = panels(skin, 16)
    middles = frame.to_standing(np.array([p.point_m for p in found]))
    return Under(
        skin_mesh(skin, frame, 1200), skin.material, found, middles, 0.01, lambda h: 4e6, 0.3, 0.1, False, False
    )


def test_a_cooler_body_packed_hard_is_over_by_the_pressure_it_stands(cooler):
    """Its widest side, 0.6 x 0.35 m, is at its limit between a clamped and a supported plate that bulge as much.

    q = w D / (alpha b^4): alpha 0.00249 clamped and 0.00997 supported at a ratio of 1.7 (Timoshenko &
    Woinowsky-Krieger 1959, tables 35 and 8, from memory), and up to 1 + w^2 / t^2 as much where it stretches.
    """
    bulge = lift_bulge(cooler, PressedLift(1, 0.0, 0.35, PACKED, True), thinner=False, props=False)
    assert bulge.verdict == "over"
    assert "theory" in bulge.beyond
    assert math.isnan(bulge.outward_m)
    assert math.isnan(bulge.stress_pa)
    assert bulge.used == pytest.approx(PACKED / bulge.stands_pa)
    material = cooler.material
    rigidity = material.youngs_pa.low * WALL**3 / (12 * (1 - material.poisson**2))
    allowed = 0.01 * 0.35
    least, most = (allowed * rigidity / (alpha * 0.35**4) for alpha in (0.00997, 0.00249))
    assert least < bulge.stands_pa < most * (1 + (allowed / WALL) ** 2)


def test_at_the_pressure_it_stands_the_skin_is_at_its_limit(cooler):
    lift = PressedLift(1, 0.0, 0.35, PACKED, True)
    stands = lift_bulge(cooler, lift, thinner=False, props=False).stands_pa
    there = lift_bulge(cooler, PressedLift(1, 0.0, 0.35, stands, True), thinner=False, props=False)
    assert there.beyond == ""
    assert there.used == pytest.approx(1.0, rel=0.002)
    assert there.bulge_used == pytest.approx(1.0, rel=0.002)  # the bulge, not its stress
    assert there.stress_pa < there.stress_limit_pa


def test_an_even_beam_bends_least_on_chocks_where_ours_stand():
    """Moments of an even beam on two supports a from its ends: w a^2 / 2 there, w L^2 / 8 - w a L / 2 between."""
    best = minimize_scalar(lambda a: max(a * a / 2, abs(1 / 8 - a / 2)), bounds=(0.05, 0.45), method="bounded")
    assert pytest.approx(best.x, abs=1e-4) == CHOCK_AT


@pytest.fixture(scope="module")
def tube(tmp_path_factory):
    """A capped GRP tube of 300 mm, 900 mm tall, wall 3 mm; its middle surface has a radius of 148.5 mm."""
    file = tmp_path_factory.mktemp("tube") / "tube.stl"
    trimesh.creation.cylinder(radius=0.15, height=0.9, sections=48).export(file)
    bands = [WallBand("", -math.inf, math.inf, WALL, 0.1)]
    skin = load_skin(file, unit="m", material=skin_material("grp"), bands=bands)
    frame = pour_frame(skin.vertices_m, np.array([0, 0, 1.0]), np.array([0, -1.0, 0]))
    return Under(
        skin_mesh(skin, frame, 5000), skin.material, (), np.zeros((0, 3)), 0.01, lambda h: 8e6, 0.3, 0.1, False, False
    )


def test_tube_under_pressure_swells_and_is_stressed_as_a_membrane(tube):
    """Hoop stress p r / t, outward p r^2 / (E t), as the mean round the tube at mid-height of a long pressed band."""
    pressure, radius = 5000.0, 0.1485
    part = PressedPart(tube, PressedLift(1, 0.2, 0.7, pressure, False))
    bulge = part.solve(())
    at = np.abs(part.vertices[:, 2] - 0.45) < 0.08
    swell = pressure * radius**2 / (tube.material.youngs_pa.low * WALL)
    assert not bulge.large
    # A pull along the tube takes up to nu / 2 of it off again (closed ends).
    assert 0.85 * swell < part.outward_m[at].mean() < 1.02 * swell
    assert (part.outward_m[at] > 0).all()
    middle = np.abs(part.vertices[part.model.triangles].mean(axis=1)[:, 2] - 0.45) < 0.08
    # Over the membrane's stress lies the bending of the flat facets: the peak at a face is a little more.
    stress = part.stress_share[middle].mean() * bulge.stress_limit_pa
    assert 1.0 < stress / (pressure * radius / WALL) < 1.25


def test_a_shore_pushes_as_its_timber_gives(tmp_path):
    """50 x 50 mm of softwood, 2 m long: E A / L = 8 to 11 GPa x 2500 mm2 / 2 m, 1.0 to 1.4e7 N/m (handbook moduli).

    The force is that times what the skin still gives under the pad, and less than the pressure on the whole side.
    """
    under = under_of(tmp_path, wall=0.004, size=(0.3, 0.25, 0.3), triangles=1500)
    part = PressedPart(under, PressedLift(1, 0.0, 0.3, 4000.0, False))
    place, way = np.array([0.15, 0.0, 0.15]), np.array([0.0, -1.0, 0.0])
    bulge = part.solve((Prop(place, way, 0.0, 0.03),))
    (prop,) = bulge.props
    under_pad = part.under_pads
    area = part.model.vertex_area_m2[under_pad]
    gives = float(area @ part.outward_m[under_pad] / area.sum())
    assert 0.95e7 < prop.force_n / gives < 1.4e7
    assert 0.0 < prop.force_n < 4000.0 * 0.3 * 0.3


def test_bulge_is_judged_by_the_panel_that_it_is_on(tmp_path):
    """A box of 0.5 x 0.2 x 0.4 m: its wide side bulges most, and 1 % of that side's smaller width is allowed."""
    under = under_of(tmp_path, wall=0.006, size=(0.5, 0.2, 0.4), triangles=2000)
    bulge = lift_bulge(under, PressedLift(1, 0.0, 0.4, 2000.0, False), thinner=False, props=False)
    assert abs(bulge.point_m[1] - 0.1) == pytest.approx(0.1, abs=0.01)
    assert bulge.allowed_m == pytest.approx(0.01 * 0.4, rel=0.05)


def test_a_palm_pushes_with_a_newton_in_all_and_square_to_the_skin():
    made = trimesh.creation.box((0.6, 0.4, 0.5))
    points, faces, _ = even_mesh(made.vertices, made.faces, 2500)
    model = ShellModel(points, faces, 0.004, 7e9, 0.3)
    at = np.array([int(np.argmin(np.linalg.norm(points - p, axis=1))) for p in ([0, -0.2, 0], [0.3, 0, 0.05])])
    force = push_loads(model, at, 0.06).T.reshape(2, -1, 6)[:, :, :3].sum(axis=1)
    assert force == pytest.approx(np.array([[0, 1.0, 0], [-1.0, 0, 0]]), abs=1e-6)


def test_ends_of_a_body_are_bent_by_a_newton_and_twisted_by_a_newton_metre():
    """Sum of forces and of their moments about the axis, written out."""
    made = trimesh.creation.box((0.2, 0.3, 1.0))
    points, faces, _ = even_mesh(made.vertices, made.faces, 2000)
    model = ShellModel(points, faces, 0.004, 7e9, 0.3)
    loads = _end_loads(model, 2, points[:, 2] >= 0.46)
    for name, force, moment in (("bend 0", [1, 0, 0], 0), ("bend 1", [0, 1, 0], 0), ("twist", [0, 0, 0], 1)):
        each = loads[name].reshape(-1, 6)[:, :3]
        assert each.sum(axis=0) == pytest.approx(force, abs=1e-9)
        turn = np.cross(points, each)[:, 2].sum()
        assert turn == pytest.approx(moment, abs=0.03)


def test_foam_weighs_its_volume_and_keeps_weight_and_stiffness_on_coarser_cells():
    """4 x 2 x 4 cubes of 50 mm at 50 kg/m3: 0.2 kg, 1.961 N; eight small cubes of one modulus are one large of it."""
    shape = (4, 2, 4)
    foam = foam_block(Grid(np.zeros(3), 0.05, shape), np.ones(shape), np.full(4, 8e6), np.full(4, 50.0), 0.3)
    weight = 1.96133
    for block in (foam, coarser(foam)):
        assert block.gravity_load(np.array([0, 0, -9.80665])).sum() == pytest.approx(-weight)
        assert block.youngs_pa == pytest.approx(np.full(len(block.cells), 8e6))
        # Stretched evenly by 1 % in one direction and held in the others: constrained modulus E (1 - nu) / ...
        u = np.zeros_like(block.nodes_m)
        u[:, 2] = 0.01 * block.nodes_m[:, 2]
        energy = 0.5 * u.ravel() @ (block.assemble() @ u.ravel())
        constrained = 8e6 * 0.7 / (1.3 * 0.4)
        assert energy == pytest.approx(0.5 * constrained * 1e-4 * 0.2 * 0.1 * 0.2, rel=1e-9)


def test_modulus_of_packed_foam():
    """Roberts & Garboczi's power 1.54 (from memory): packed by 1.10 foam is 1.1^1.54 = 1.158 times as stiff."""
    lifts = (PressedLift(1, 0.0, 0.2, 4500.0, False), PressedLift(2, 0.2, 0.4, 10e3, True))
    job = SimpleNamespace(
        lifts=lifts, foam_pa=8e6, foam_density_kg_m3=48.0, open_density_kg_m3=48.0, closed_density_kg_m3=52.8
    )
    density, modulus = foam_laws(job)
    assert (density(0.1), density(0.3)) == (48.0, 52.8)
    assert (modulus(0.1), modulus(0.3)) == pytest.approx((8e6, 8e6 * 1.158), rel=1e-3)


def test_force_that_holds_a_shell_down_on_its_floor(tmp_path):
    """A box of 0.5 x 0.4 m whose floor would bulge: p times the area inside, 2 kPa x 0.488 x 0.388 m2 = 379 N."""
    under = under_of(tmp_path, wall=0.006, size=(0.5, 0.4, 0.3), triangles=2000)
    bulge = lift_bulge(under, PressedLift(1, 0.0, 0.15, 2000.0, False), thinner=False)
    assert bulge.hold_down_n == pytest.approx(379.0, rel=0.1)
