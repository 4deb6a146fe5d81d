"""Weight, centre, inertia and bending of boxes, balls and tubes by closed forms, each worked beside its check."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import trimesh
import weighed
from weighed import BOX, ROOM, WALL, planned

from pourwright.cavity import build_cavity, build_levels
from pourwright.foam import at_conditions, load_grade
from pourwright.outcome import cavity_moments, second_moment, skin_mass, weigh
from pourwright.outcome.stiffness import cooling_gap


@pytest.fixture(scope="module")
def boxed(skin_of, stand):
    return weighed.boxed(skin_of, stand)


def test_the_cavity_of_a_box_has_the_second_moments_of_a_box(boxed):
    # Inside a x b x c: integral of x^2 about its middle is V a^2 / 12.
    _, cavity, graph, *_ = boxed
    inner = BOX - 2 * WALL
    found = cavity_moments(cavity, graph)
    volume, middle = found.volume_m3.sum(), found.middle_m()
    spread = found.second_m5.sum(axis=0) / volume - np.outer(middle, middle)
    assert volume == pytest.approx(inner.prod(), rel=1e-6)
    assert middle == pytest.approx(BOX / 2, abs=1e-9)
    assert spread == pytest.approx(np.diag(inner**2 / 12), rel=1e-6, abs=1e-9)


def test_a_slanted_box_that_fits_no_cells_has_them_too(skin_of, stand):
    turn = trimesh.transformations.rotation_matrix(0.7, (1.0, 2.0, 0.5))
    mesh = trimesh.creation.box(BOX, transform=turn)
    skin = skin_of(mesh, WALL)
    cavity = build_cavity(skin, stand(skin), cell_m=0.013)
    found = cavity_moments(cavity, build_levels(cavity))
    inner = BOX - 2 * WALL
    volume, middle = found.volume_m3.sum(), found.middle_m()
    spread = found.second_m5.sum(axis=0) / volume - np.outer(middle, middle)
    axes = turn[:3, :3]  # the frame stands upright: its axes are the shell's
    assert axes.T @ spread @ axes == pytest.approx(np.diag(inner**2 / 12), rel=2e-3, abs=2e-6)
    assert cavity.frame.to_shell(middle) == pytest.approx(np.zeros(3), abs=2e-5)


def test_the_wall_of_a_box_turns_like_one_box_less_another(boxed):
    skin, *_, outcome = boxed
    part = outcome.parts[0]
    inner = BOX - 2 * WALL
    outside, inside = BOX.prod(), inner.prod()
    spread = (outside * BOX**2 - inside * inner**2) / 12 / (outside - inside)
    assert part.kg.nominal == pytest.approx((outside - inside) * skin.material.density_kg_m3, rel=5e-3)
    assert np.diag(part.spread_m2) == pytest.approx(spread, rel=5e-3)
    assert part.centre_m == pytest.approx([0, 0, 0], abs=1e-6)


def test_the_filled_box_turns_like_a_box(boxed):
    # Skin and foam as two boxes: I_x = sum m (b^2 + c^2) / 12, the skin as a large box less a small one.
    skin, _, _, _, outcome = boxed
    inner, density = BOX - 2 * WALL, skin.material.density_kg_m3
    foam = outcome.foam_kg.nominal

    def turn(mass, size):
        return mass * (size @ size - size**2) / 12

    expected = turn(density * BOX.prod(), BOX) - turn(density * inner.prod(), inner) + turn(foam, inner)
    assert np.diag(weigh(outcome.parts).stages[-1].inertia_kgm2) == pytest.approx(expected, rel=6e-3)


def test_a_sphere_of_two_masses_on_a_rod(lump):
    # Two points of 2 kg, 0.5 m either side of their middle: I = 2 * 2 * 0.25 across, 0 along.
    record = weigh((lump(2.0, (0.5, 0, 0), "skin"), lump(2.0, (-0.5, 0, 0))))
    assert np.diag(record.stages[0].inertia_kgm2) == pytest.approx([0.0, 1.0, 1.0])


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    return weighed.ball(tmp_path_factory.mktemp("ball"))


def test_skin_of_a_sphere_weighs_its_closed_form(ball):
    skin, cavity, graph, *_ = ball
    mass = skin_mass(skin, cavity, cavity_moments(cavity, graph))
    density = skin.material.density_kg_m3
    wall = 4 / 3 * math.pi * (0.3**3 - 0.294**3)  # m3
    assert mass.kg.nominal == pytest.approx(wall * density, rel=0.006)  # facets of the icosphere: 0.3 % of the volume
    assert mass.centre_m == pytest.approx([0, 0, 0], abs=1e-4)
    # A wall 10 % thinner weighs at least 10 % less before the density's own spread.
    assert mass.kg.low < 0.92 * mass.kg.nominal
    assert mass.kg.high > 1.08 * mass.kg.nominal


def test_whole_body_gain_of_a_tube_is_the_transformed_section(tmp_path):
    # EI of a ring and of the disc inside it, plane sections: the gain is 1 + E_c r_i^4 / (E (r_o^4 - r_i^4)).
    mesh = trimesh.creation.cylinder(radius=0.15, height=0.8, sections=256)
    skin, _, _, foam, _, outcome = planned(tmp_path, mesh, 0.004, 0.004)
    inner, outer = 0.146, 0.15
    core, face = foam.grade.compressive_modulus_pa, skin.material.youngs_pa.high
    expected = core * inner**4 / (face * (outer**4 - inner**4))
    gain = outcome.stiffness[0]
    assert gain.name.startswith("whole body")
    assert gain.bonded - 1 == pytest.approx(expected, rel=0.02)


def test_second_moment_of_a_ring_with_a_hole():
    ring = shapely.Point(0, 0).buffer(2.0, quad_segs=256) - shapely.Point(0, 0).buffer(1.0, quad_segs=256)
    moment = second_moment(ring)
    assert moment[0, 0] == pytest.approx(math.pi / 4 * (16 - 1), rel=1e-4)
    assert moment[0, 1] == pytest.approx(0, abs=1e-9)


def test_ends_of_the_weight_of_a_box_by_hand(boxed):
    """A wall of 9 to 11 mm leaves 51.924 to 50.230 L of 60 L, cells a little more; skin of 1500 kg/m3; foam by pour.

    A thin wall leaves more room for foam: the light end has both, not the thin wall with the small room.
    """
    _, cavity, _, lifts, outcome = boxed
    small, large = cavity.volume_low_m3, cavity.volume_high_m3
    assert 0.98 * 0.378 * 0.278 * 0.478 < small <= 0.378 * 0.278 * 0.478
    assert 0.382 * 0.282 * 0.482 <= large < 1.02 * 0.382 * 0.282 * 0.482
    pours = [pour for lift in lifts.lifts for pour in lift.pours]
    low, high = (sum(getattr(pour.foam_kg, end) for pour in pours) / 0.0510720 for end in ("low", "high"))
    assert (outcome.foam_kg.low, outcome.foam_kg.high) == pytest.approx((low * small, high * large), rel=1e-3)
    assert outcome.total_kg.low == pytest.approx(1500.0 * (0.06 - large) + low * large, rel=1e-3)
    assert outcome.total_kg.high == pytest.approx(1500.0 * (0.06 - small) + high * small, rel=1e-3)


def test_gap_of_cooling_foam_in_a_tube(cells):
    """6e-5 /K (the product's own figure) times 145.7 K times half of 0.30 m: 1.31 mm at the edge of a round block."""
    n = 60
    axis = np.arange(n) + 0.5 - n / 2
    mask = np.repeat((np.hypot(axis[:, None], axis[None, :]) <= n / 2)[:, :, None], 10, axis=2)
    _, graph = cells(mask, 0.005)
    foam = at_conditions(load_grade("rigid-3"), ROOM)
    assert cooling_gap(graph, foam) == pytest.approx(1.31e-3, rel=0.05)
