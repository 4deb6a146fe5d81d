from dataclasses import replace

import numpy as np
import pytest

from pourwright.errors import UsageError
from pourwright.foam import fit_reaction, grade_names, grade_of_density, load_grade, simulate_cup

TIMES = ("cream_s", "gel_s", "tack_free_s", "rise_end_s")


@pytest.mark.parametrize("name", grade_names())
def test_an_adiabatic_cup_shows_the_grades_times_density_and_rise(name, shop):
    grade = load_grade(name)
    curve = simulate_cup(fit_reaction(grade), shop(grade.reference_temperature_k))
    for field in TIMES:
        assert getattr(curve.times, field) == pytest.approx(getattr(grade, field), rel=0.01), field
    assert curve.final_density_kg_m3 == pytest.approx(grade.free_rise_density_kg_m3, rel=0.005)
    rise = grade.heat_j_kg / grade.specific_heat_j_kgk
    late = simulate_cup(fit_reaction(grade), shop(grade.reference_temperature_k), end_s=3000.0)
    assert late.peak_k - grade.reference_temperature_k == pytest.approx(rise, rel=0.003)


@pytest.mark.parametrize(
    ("cream", "gel", "tack", "end", "density", "heat"),
    [
        (12, 40, 45, 60, 20.0, 150e3),  # a fast froth
        (40, 400, 1200, 520, 250.0, 320e3),  # blowing far ahead of gelling
        (280, 400, 1200, 440, 48.0, 210e3),  # a long sleep, then all at once
        (30, 100, 130, 100, 60.0, 210e3),  # the rise ends as it gels
        (45, 150, 500, 600, 48.0, 210e3),  # creeps on long after
    ],
)
def test_odd_sheets_are_met_too(rigid_3, shop, cream, gel, tack, end, density, heat):
    grade = replace(
        rigid_3,
        cream_s=cream,
        gel_s=gel,
        tack_free_s=tack,
        rise_end_s=end,
        free_rise_density_kg_m3=density,
        heat_j_kg=heat,
    )
    curve = simulate_cup(fit_reaction(grade), shop(grade.reference_temperature_k))
    for field in TIMES:
        assert getattr(curve.times, field) == pytest.approx(getattr(grade, field), rel=0.01), field
    assert curve.final_density_kg_m3 == pytest.approx(density, rel=0.01)


def test_times_no_reaction_can_show_are_refused(rigid_3):
    with pytest.raises(UsageError, match="cream and gel times"):
        fit_reaction(replace(rigid_3, cream_s=0.01))


def test_the_fit_is_the_same_every_time(rigid_3):
    from pourwright.foam.fit import _fit

    first = fit_reaction(rigid_3)
    _fit.cache_clear()
    assert fit_reaction(rigid_3) == first


def test_the_heats_add_up_and_more_gas_makes_lighter_foam():
    light, dense = (fit_reaction(grade_of_density(rho)) for rho in (32.0, 256.0))
    for reaction in (light, dense):
        assert reaction.heat_j_kg == pytest.approx(255e3)
    assert light.gas_kg_kg > 5 * dense.gas_kg_kg
    assert light.blow_heat_j_kg > dense.blow_heat_j_kg


def test_slower_grade_is_the_same_course_stretched(rigid_3):
    twice = replace(rigid_3, **{field: 2 * getattr(rigid_3, field) for field in TIMES})
    one, two = fit_reaction(rigid_3), fit_reaction(twice)
    assert one.gel_rate_per_s / two.gel_rate_per_s == pytest.approx(2.0, rel=1e-3)
    assert two.induction_s / one.induction_s == pytest.approx(2.0, rel=1e-3)
    assert np.isclose(two.lag_s / one.lag_s, 2.0, rtol=0.02)


def test_a_higher_rise_keeps_the_times_and_gets_hotter(rigid_3, shop):
    conditions = shop(rigid_3.reference_temperature_k)
    curve = simulate_cup(fit_reaction(rigid_3, rise_k=177.0), conditions)
    for field in TIMES:
        assert getattr(curve.times, field) == pytest.approx(getattr(rigid_3, field), rel=0.01), field
    late = simulate_cup(fit_reaction(rigid_3, rise_k=177.0), conditions, end_s=3000.0)
    assert late.peak_k - conditions.parts_k == pytest.approx(177.0, rel=0.003)
