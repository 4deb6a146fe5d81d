import math
from dataclasses import fields
from itertools import pairwise

import pytest

from pourwright.errors import JobError, UsageError
from pourwright.foam import (
    DENSITIES_KG_M3,
    FoamGrade,
    grade_from_sheet,
    grade_names,
    grade_of_density,
    load_grade,
    rise_of,
    sheet_fields,
)
from pourwright.physics import conductivity, foam_strength
from pourwright.sources import Standing

NUMBERS = [f.name for f in fields(FoamGrade) if f.type == "float"]


@pytest.mark.parametrize("name", grade_names())
def test_every_number_of_a_grade_says_where_it_comes_from(name):
    grade = load_grade(name)
    assert grade.name == name
    assert set(grade.cited) == set(NUMBERS)
    for field in NUMBERS:
        cited = grade.cited[field]
        assert getattr(grade, field) == cited.value
        assert cited.standing in Standing
        if field == "rise_sd_k":  # follows from the four before it
            assert (cited.unit, cited.standing) == ("K", Standing.COMPUTED)
            continue
        low, high, unit = sheet_fields()[field]
        assert low <= cited.value <= high
        assert cited.unit == unit


@pytest.mark.parametrize("name", grade_names())
def test_derived_numbers_follow_their_laws(name):
    grade = load_grade(name)
    rho = grade.free_rise_density_kg_m3
    assert grade.compressive_strength_pa == pytest.approx(foam_strength.collapse_stress(rho), rel=0.005)
    assert grade.compressive_modulus_pa == pytest.approx(foam_strength.random_field_modulus(rho), rel=0.005)
    fresh = conductivity.foam_conductivity(rho, 296.15, conductivity.CO2_AT_296_K)
    assert grade.conductivity_w_mk == pytest.approx(fresh, rel=0.005)
    if rho < 130:
        assert grade.shear_strength_pa == pytest.approx(foam_strength.shear_strength(rho), rel=0.005)


@pytest.mark.parametrize("name", grade_names())
def test_the_lift_cap_is_called_a_judgement_and_keeps_mass_per_area(name):
    grade = load_grade(name)
    assert grade.max_lift_is_judgement
    assert grade.cited["max_lift_m"].standing is Standing.JUDGEMENT
    assert 0.995 * 9.6 < grade.max_lift_m * grade.free_rise_density_kg_m3 <= 9.6


def test_denser_grades_are_stronger_and_poured_thinner():
    grades = [load_grade(n) for n in grade_names()]
    for light, dense in pairwise(grades):
        assert light.free_rise_density_kg_m3 < dense.free_rise_density_kg_m3
        assert light.compressive_strength_pa < dense.compressive_strength_pa
        assert light.max_lift_m > dense.max_lift_m


def test_unknown_grade_lists_those_there_are():
    with pytest.raises(UsageError, match=r"rigid-5.*rigid-2, rigid-3, rigid-6.*foam\.density"):
        load_grade("rigid-5")


def test_sheet_values_replace_and_are_cited(rigid_3):
    got = grade_from_sheet(rigid_3, {"gel_s": 150.0, "max_lift_m": 0.15}, "Sheet of May")
    assert (got.gel_s, got.max_lift_m, got.max_lift_is_judgement) == (150.0, 0.15, False)
    assert got.cited["gel_s"].standing is Standing.DATA_SHEET
    assert got.cited["gel_s"].source == "Sheet of May"
    assert got.cited["cream_s"] == rigid_3.cited["cream_s"]
    assert rigid_3.gel_s == 130.0


def test_another_density_moves_what_follows_from_it(rigid_3):
    got = grade_from_sheet(rigid_3, {"free_rise_density_kg_m3": 96.11}, "S")
    six = load_grade("rigid-6")
    assert got.compressive_strength_pa == pytest.approx(six.compressive_strength_pa, rel=0.005)
    assert got.compressive_modulus_pa == pytest.approx(six.compressive_modulus_pa, rel=0.005)
    assert got.max_lift_m == pytest.approx(six.max_lift_m, rel=0.005)
    assert got.max_lift_is_judgement
    assert "moved" in got.cited["compressive_strength_pa"].note
    kept = grade_from_sheet(rigid_3, {"free_rise_density_kg_m3": 96.11, "compressive_strength_pa": 5e5}, "S")
    assert kept.compressive_strength_pa == 5e5


def test_a_sheet_on_a_sheet_keeps_what_the_first_measured(rigid_3):
    first = grade_from_sheet(rigid_3, {"compressive_strength_pa": 2.5e5}, "first")
    second = grade_from_sheet(first, {"free_rise_density_kg_m3": 60.0}, "second")
    assert second.compressive_strength_pa == 2.5e5


def test_a_heat_of_the_sheet_has_a_narrower_spread_than_no_knowledge(rigid_3):
    got = grade_from_sheet(rigid_3, {"heat_j_kg": 240e3, "specific_heat_j_kgk": 1700.0}, "S")
    assert rise_of(got).nominal == pytest.approx(240e3 / 1700.0)
    assert got.rise_sd_k < rigid_3.rise_sd_k
    assert got.heat_sd_j_kg == pytest.approx(0.05 * 240e3)


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({"gel_s": 30.0}, "foam.sheet.gel_s"),  # before the generic cream
        ({"tack_free_s": 100.0}, "foam.sheet.tack_free_s"),  # before the generic gel
        ({"cream_s": 200.0}, "foam.sheet.cream_s"),
        ({"cream_s": 60.0, "gel_s": 50.0}, "foam.sheet.cream_s"),
        ({"rise_end_s": 100.0}, "foam.sheet.rise_end_s"),
        ({"free_rise_density_kg_m3": -48.0}, "foam.sheet.free_rise_density_kg_m3"),
        ({"free_rise_density_kg_m3": 3.0}, "foam.sheet.free_rise_density_kg_m3"),  # lb/ft3 taken for kg/m3
        ({"gel_s": math.nan}, "foam.sheet.gel_s"),
        ({"gel_s": True}, "foam.sheet.gel_s"),
        ({"packing": 2.5}, "foam.sheet.packing"),
        ({"mix_a_by_volume": 0.0}, "foam.sheet.mix_a_by_volume"),
        ({"part_a_density_kg_m3": 1.23}, "foam.sheet.part_a_density_kg_m3"),
        ({"stop_k": 400.0}, "foam.sheet.stop_k"),
        ({"heat_sd_j_kg": -1.0}, "foam.sheet.heat_sd_j_kg"),
        ({"name": 1.0}, "foam.sheet.name"),
        ({"reference_temperature_k": 22.0}, "foam.sheet.reference_temperature_k"),
    ],
)
def test_a_bad_sheet_is_refused_by_key(rigid_3, values, key):
    with pytest.raises(JobError) as error:
        grade_from_sheet(rigid_3, values, "S")
    assert error.value.key == key
    assert "\n" not in str(error.value)


def test_a_sheet_without_a_name_is_refused(rigid_3):
    with pytest.raises(JobError, match="data sheet"):
        grade_from_sheet(rigid_3, {"gel_s": 150.0}, " ")


@pytest.mark.parametrize("rho", [*DENSITIES_KG_M3, 52.0, 64.0, 128.0])
def test_a_grade_of_any_density_follows_the_published_laws_and_says_so(rho):
    grade, base = grade_of_density(rho), load_grade("rigid-3")
    old = base.free_rise_density_kg_m3
    assert grade.compressive_strength_pa / base.compressive_strength_pa == pytest.approx((rho / old) ** 1.5, rel=0.02)
    assert grade.compressive_modulus_pa / base.compressive_modulus_pa == pytest.approx((rho / old) ** 1.54, rel=0.02)
    for name in ("compressive_strength_pa", "compressive_modulus_pa", "conductivity_hot_w_mk", "shear_strength_pa"):
        assert "by its law of density" in grade.cited[name].note
    assert grade.cited["free_rise_density_kg_m3"].standing is Standing.JOB
    assert f"{rho:.3g} kg/m3" in grade.title


@pytest.mark.parametrize("name", grade_names())
def test_a_grade_of_an_examples_density_is_that_example(name):
    example = load_grade(name)
    made = grade_of_density(example.free_rise_density_kg_m3)
    for field in NUMBERS:
        rel = 0.03 if field.startswith("conductivity") else 0.005  # the judged hot values are rounded
        assert getattr(made, field) == pytest.approx(getattr(example, field), rel=rel), field


@pytest.mark.parametrize("rho", [29.9, 321.0, math.nan, -48.0])
def test_a_density_no_pour_foam_has_is_refused(rho):
    with pytest.raises(JobError, match="30 and 320"):
        grade_of_density(rho)
