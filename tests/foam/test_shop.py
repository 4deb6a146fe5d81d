import math
from itertools import pairwise

import pytest

from pourwright.errors import JobError, UsageError
from pourwright.findings import Code
from pourwright.foam import (
    at_conditions,
    grade_from_sheet,
    grade_names,
    load_grade,
    mix_by_volume_from_weight,
    parts_for,
)
from pourwright.wording.findings import sentences


def test_at_the_reference_temperature_the_grade_is_itself(rigid_3, shop):
    foam = at_conditions(rigid_3, shop())
    assert foam.free_rise_density_kg_m3.nominal == pytest.approx(rigid_3.free_rise_density_kg_m3)
    assert (foam.cream_s, foam.gel_s, foam.rise_end_s) == pytest.approx((40, 130, 300))
    assert foam.notes == ()
    assert foam.rise_k.nominal == pytest.approx(145.71, abs=0.01)
    assert foam.rise_k.high - foam.rise_k.nominal == pytest.approx(1.96 * 15.8, abs=0.1)


def test_packing_multiplies(rigid_3, shop):
    foam = at_conditions(rigid_3, shop(), packing=1.2)
    assert foam.closed_density_kg_m3.nominal == pytest.approx(1.2 * foam.free_rise_density_kg_m3.nominal)
    default = at_conditions(rigid_3, shop())
    assert default.closed_density_kg_m3.nominal == pytest.approx(1.10 * 48.0554, rel=1e-5)
    assert default.open_density_kg_m3.nominal == pytest.approx(1.03 * 48.0554, rel=1e-5)
    assert default.open_density_kg_m3.low == default.free_rise_density_kg_m3.low


def test_cold_parts_are_slower_and_denser_hot_ones_faster_and_lighter(rigid_3, shop):
    foams = [at_conditions(rigid_3, shop(k)) for k in (283.15, 290.15, 295.37, 302.15, 310.15)]
    for cold, warm in pairwise(foams):
        assert cold.cream_s > warm.cream_s
        assert cold.gel_s > warm.gel_s
        assert cold.free_rise_density_kg_m3.nominal > warm.free_rise_density_kg_m3.nominal
        assert cold.expansion.nominal < warm.expansion.nominal
        assert cold.cream_s < cold.gel_s < cold.tack_free_s


def test_cold_density_spans_gas_law_to_twice_the_slope(rigid_3, shop):
    rho = at_conditions(rigid_3, shop(295.3722 - 10)).free_rise_density_kg_m3
    base = rigid_3.free_rise_density_kg_m3
    assert rho.nominal / base == pytest.approx(1.05, rel=1e-4)
    assert rho.high / base == pytest.approx(1.10 * 1.1, rel=1e-4)
    assert rho.low / base == pytest.approx(1.022 * 0.9, rel=1e-4)


def test_a_sheets_own_slope_is_used_as_it_stands(rigid_3, shop):
    grade = grade_from_sheet(rigid_3, {"density_per_k": -0.004}, "S")
    rho = at_conditions(grade, shop(295.3722 + 10)).free_rise_density_kg_m3
    assert rho.nominal / rigid_3.free_rise_density_kg_m3 == pytest.approx(0.96, rel=1e-4)


def test_thin_air_makes_it_lighter(rigid_3, shop):
    foam = at_conditions(rigid_3, shop(pressure_pa=80e3))
    assert foam.free_rise_density_kg_m3.nominal == pytest.approx(48.0554 * 0.79, rel=0.02)
    assert any(found.code == Code.AIR_PRESSURE for found in foam.notes)


@pytest.mark.parametrize(
    ("parts", "changes", "code", "word"),
    [
        (285.0, {}, Code.LIQUIDS_COLD, "Cold"),
        (306.5, {}, Code.LIQUIDS_HOT, "Hot"),
        (295.4, {"skin_k": 278.0}, Code.SKIN_COLD, "skin"),
        (280.0, {}, Code.LIQUIDS_UNUSUAL, "extrapolated"),
    ],
)
def test_the_notes_say_so_in_both_units(rigid_3, shop, parts, changes, code, word):
    found = at_conditions(rigid_3, shop(parts, **changes)).notes
    notes = " ".join(sentences(one for one in found if one.code == code))
    assert word in notes
    assert "°C" in notes
    assert "°F" in notes


@pytest.mark.parametrize("field", ["parts_k", "air_k", "skin_k"])
@pytest.mark.parametrize("value", [22.0, 400.0, math.nan, -5.0])
def test_absurd_temperatures_are_refused_in_one_sentence(rigid_3, shop, field, value):
    with pytest.raises(UsageError, match="give a temperature between"):
        at_conditions(rigid_3, shop(**{field: value}))


def test_absurd_pressure_and_packing_are_refused(rigid_3, shop):
    with pytest.raises(UsageError, match="kPa"):
        at_conditions(rigid_3, shop(pressure_pa=1013.0))
    for bad in (0.9, 2.1, math.nan):
        with pytest.raises(JobError, match="packing"):
            at_conditions(rigid_3, shop(), packing=bad)
        with pytest.raises(JobError, match="open_packing"):
            at_conditions(rigid_3, shop(), open_packing=bad)


@pytest.mark.parametrize("name", grade_names())
def test_parts_add_up_and_keep_the_ratio(name, shop):
    foam = at_conditions(load_grade(name), shop())
    parts = parts_for(foam, 2.5)
    assert parts.total_kg == pytest.approx(2.5, rel=1e-12)
    assert parts.a_m3 == pytest.approx(parts.b_m3, rel=1e-12)
    assert parts.a_kg / parts.b_kg == pytest.approx(1.149, abs=0.001)
    volume = 2.5 / foam.free_rise_density_kg_m3.nominal
    assert volume / parts.total_m3 == pytest.approx(foam.expansion.nominal, rel=1e-12)


def test_liquid_for_one_cubic_metre_and_one_cubic_foot(rigid_3, shop):
    """41.61 L of mixed liquid for 1 m3 of 3 lb/ft3 foam; 0.3112 US gallons for 1 ft3 (arithmetic)."""
    foam = at_conditions(rigid_3, shop())
    litres = parts_for(foam, foam.free_rise_density_kg_m3.nominal).total_m3 * 1000
    assert litres == pytest.approx(41.61, rel=0.002)
    assert litres * 0.0283168 / 3.785412 == pytest.approx(0.3112, rel=0.002)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_parts_of_a_bad_mass_are_refused(rigid_3, shop, bad):
    with pytest.raises(UsageError, match="zero or more"):
        parts_for(at_conditions(rigid_3, shop()), bad)


def test_ratio_by_weight(rigid_3, shop):
    a, b = mix_by_volume_from_weight(104, 100, 1235, 1075)
    grade = grade_from_sheet(rigid_3, {"mix_a_by_volume": a, "mix_b_by_volume": b}, "S")
    parts = parts_for(at_conditions(grade, shop()), 1.0)
    assert parts.a_kg / parts.b_kg == pytest.approx(1.04)
    with pytest.raises(JobError, match="mix_by_weight"):
        mix_by_volume_from_weight(0, 100, 1235, 1075)
