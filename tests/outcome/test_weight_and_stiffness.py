"""Weight, balance and stiffness against closed forms; each expected value is worked in the test."""

from dataclasses import replace

import pytest
import trimesh
import weighed
from weighed import planned

from pourwright.outcome import cavity_moments, skin_mass


@pytest.fixture(scope="module")
def ball(tmp_path_factory):
    return weighed.ball(tmp_path_factory.mktemp("ball"))


def test_foam_is_volume_times_density_in_place(ball):
    _, cavity, _, foam, lifts, outcome = ball
    by_pour = 0.0
    for lift in lifts.lifts:
        for pour in lift.pours:
            density = foam.closed_density_kg_m3 if pour.closes else foam.open_density_kg_m3
            by_pour += pour.volume_m3 * density.nominal
    assert outcome.foam_kg.nominal == pytest.approx(by_pour, rel=1e-9)
    assert sum(lift.volume_m3 for lift in lifts.lifts) == pytest.approx(cavity.volume_m3, rel=1e-6)
    assert outcome.foam_kg.low < outcome.foam_kg.nominal < outcome.foam_kg.high


def test_total_and_balance(ball):
    *_, lifts, outcome = ball
    assert outcome.total_kg.nominal == pytest.approx(outcome.foam_kg.nominal + outcome.skin_kg.nominal, rel=1e-12)
    # Thick wall and much foam exclude each other: the joint range is narrower than the sum of the two.
    assert outcome.total_kg.high < outcome.foam_kg.high + outcome.skin_kg.high
    assert outcome.total_kg.low > outcome.foam_kg.low + outcome.skin_kg.low
    # Half-filled, the centre lies low; filled, a closing lift packed a little denser pulls it up a little.
    assert outcome.after_lift_centre_m[0][2] < -0.005
    assert abs(outcome.centre_of_mass_m[2]) < 0.01
    assert len(outcome.after_lift_kg) == len(lifts.lifts)
    assert outcome.after_lift_kg[-1].nominal == pytest.approx(outcome.total_kg.nominal, rel=1e-12)


def test_liquids_to_buy_cover_the_high_end_and_the_loss(ball):
    *_, foam, _, outcome = ball
    bought = outcome.liquids_a_kg + outcome.liquids_b_kg
    assert bought == pytest.approx(outcome.foam_kg.high / 0.9, rel=1e-12)
    assert outcome.liquids_a_m3 == pytest.approx(outcome.liquids_b_m3, rel=1e-12)  # one to one by volume
    grade = foam.grade
    assert outcome.liquids_a_kg / outcome.liquids_b_kg == pytest.approx(
        grade.part_a_density_kg_m3 / grade.part_b_density_kg_m3, rel=1e-12
    )


def test_polyethylene_counts_no_gain_and_says_why(tmp_path):
    mesh = trimesh.creation.box((0.6, 0.4, 0.3))
    *_, outcome = planned(tmp_path, mesh, 0.006, 0.006, material="polyethylene")
    for gain in outcome.stiffness:
        assert gain.counted == 1.0
        assert gain.bonded >= gain.unbonded >= 1.0
    pushed = next(g for g in outcome.stiffness if "pushed in" in g.name)
    assert pushed.bonded > 5
    assert "does not stick" in pushed.words


def test_a_bond_in_the_job_overrules_the_material(tmp_path):
    mesh = trimesh.creation.box((0.6, 0.4, 0.3))
    *_, treated = planned(tmp_path, mesh, 0.006, 0.006, material="polyethylene", bond=1.0)
    assert all(gain.counted == gain.bonded for gain in treated.stiffness)


def test_a_denser_skin_moves_range_and_total(ball):
    skin, cavity, graph, *_ = ball
    heavy = replace(skin, material=replace(skin.material, density_kg_m3=2 * skin.material.density_kg_m3))
    moments = cavity_moments(cavity, graph)
    assert skin_mass(heavy, cavity, moments).kg.nominal == pytest.approx(
        2 * skin_mass(skin, cavity, moments).kg.nominal
    )


@pytest.mark.parametrize("material", ["grp", "polyethylene"])
def test_a_panel_says_up_to_where_its_ratio_holds(tmp_path, material):
    """Small deflections of plates end at half the thickness (Roark's Formulas, section 11.2)."""
    mesh = trimesh.creation.box((0.6, 0.4, 0.3))
    *_, outcome = planned(tmp_path, mesh, 0.006, 0.006, material=material)
    of_panels = [gain for gain in outcome.stiffness if "panel" in gain.name]
    assert of_panels
    assert all("less than half its wall" in gain.words for gain in of_panels)
