import math

from hypothesis import given
from hypothesis import strategies as st

from pourwright.errors import PourwrightError
from pourwright.foam import (
    Conditions,
    at_conditions,
    grade_from_sheet,
    grade_names,
    load_grade,
    parts_for,
    sheet_fields,
)
from pourwright.physics import gas, heat

kelvin = st.floats(275.0, 330.0)
anything = st.floats(allow_nan=True, allow_infinity=True) | st.integers(-5, 10**6) | st.booleans()


@given(st.sampled_from(grade_names()), kelvin, st.floats(60e3, 105e3), st.floats(1.0, 2.0), st.floats(0.0, 500.0))
def test_a_shop_is_consistent_at_any_temperature(name, parts_k, pressure, packing, kg):
    foam = at_conditions(load_grade(name), Conditions(295.0, parts_k, 295.0, pressure), packing=packing)
    for r in (foam.free_rise_density_kg_m3, foam.open_density_kg_m3, foam.closed_density_kg_m3, foam.expansion):
        assert 0 < r.low <= r.nominal <= r.high
    assert foam.expansion.nominal * foam.free_rise_density_kg_m3.nominal == foam.liquid_density_kg_m3 or math.isclose(
        foam.expansion.nominal * foam.free_rise_density_kg_m3.nominal, foam.liquid_density_kg_m3, rel_tol=1e-12
    )
    assert foam.cream_s < foam.gel_s < foam.tack_free_s
    parts = parts_for(foam, kg)
    assert math.isclose(parts.total_kg, kg, rel_tol=1e-12, abs_tol=1e-300)


@given(st.dictionaries(st.sampled_from(sorted(sheet_fields())), anything, min_size=1, max_size=4))
def test_any_sheet_gives_a_grade_within_range_or_a_clean_refusal(values):
    refusal = ""
    try:
        grade = grade_from_sheet(load_grade("rigid-6"), values, "S")
    except PourwrightError as error:
        refusal = str(error)
    if refusal:
        assert "\n" not in refusal
        return
    for name, value in values.items():
        assert getattr(grade, name) == value
    assert grade.cream_s < grade.gel_s < grade.tack_free_s


@given(st.floats(1.0, 2.0), st.floats(15.0, 300.0), st.floats(1.0, 1.2))
def test_packed_pressure_is_not_negative_and_grows(packing, density, ratio):
    p = gas.packed_gauge_pressure(packing, density, ratio)
    assert p >= -1e-6
    assert gas.packed_gauge_pressure(packing + 0.01, density, ratio) > p


@given(st.floats(15.0, 300.0), st.floats(1.0, 2.0))
def test_pressure_and_density_are_each_others_inverse(density, packing):
    """Foam held to a packing has the absolute pressure at which free foam would be that dense."""
    ratio = 1 + gas.packed_gauge_pressure(packing, density) / 101325.0
    assert math.isclose(gas.density_at_pressure(density, ratio), packing * density, rel_tol=1e-9)


@given(st.floats(1e-4, 2.0), st.floats(0.0, 1.0))
def test_slab_shares_stay_between_nothing_and_all(fourier, position):
    share = heat.slab_share(fourier, position)
    assert -1e-12 <= share <= 1 + 1e-12
    assert math.isclose(share, heat.slab_share(fourier, 1 - position), abs_tol=1e-9)
    assert heat.slab_share(fourier * 1.1, position) <= share + 1e-12
