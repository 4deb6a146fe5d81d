"""Quantities as people write them: strictly by dimension, never evaluated; and shown so that they read back."""

import math
import re
import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourwright import units
from pourwright.units import QuantityError, inch_pound, read, registry
from pourwright.units.showing import _SPELLED

READ = [
    ("5 mm", units.LENGTH, 0.005),
    ("0.2 in", units.LENGTH, 0.00508),
    ("3/16 in", units.LENGTH, 0.0047625),
    ("1 1/2 in", units.LENGTH, 0.0381),
    ("5 ft 6 in", units.LENGTH, 1.6764),
    ("5ft 6in", units.LENGTH, 1.6764),
    ("60 mil", units.LENGTH, 0.001524),
    ("1e-3 m", units.LENGTH, 0.001),
    ("4 L", units.VOLUME, 0.004),
    ("1 gal", units.VOLUME, 3.785411784e-3),
    ("8 fl oz", units.VOLUME, 8 * 29.5735295625e-6),
    ("2 US gal", units.VOLUME, 2 * 3.785411784e-3),
    ("20 cm³", units.VOLUME, 20e-6),
    ("3 lb/ft^3", units.DENSITY, 48.055390),
    ("3 lb/ft³", units.DENSITY, 48.055390),
    ("3 lb/ft3", units.DENSITY, 48.055390),
    ("3 pcf", units.DENSITY, 48.055390),
    ("48 kg/m**3", units.DENSITY, 48.0),
    ("1 h 20 min", units.TIME, 4800.0),
    ("90 s", units.TIME, 90.0),
    ("1 psi", units.PRESSURE, 6894.757293),
    ("4 gal/min", units.FLOW, 4 * 3.785411784e-3 / 60),
    ("72 degF", units.TEMPERATURE, 295.372222),
    ("72 °F", units.TEMPERATURE, 295.372222),
    ("22C", units.TEMPERATURE, 295.15),
    ("-5 deg C", units.TEMPERATURE, 268.15),
    ("295 K", units.TEMPERATURE, 295.0),
    ("18 delta_degF", units.DIFFERENCE, 10.0),
    ("10 K", units.DIFFERENCE, 10.0),
    ("18 °F of difference", units.DIFFERENCE, 10.0),
    ("1800 J/(kg K)", units.SPECIFIC_HEAT, 1800.0),
    ("0.023 W/(m·K)", units.CONDUCTIVITY, 0.023),
    ("210 kJ/kg", units.HEAT, 210e3),
    ("40 kJ/mol", units.ACTIVATION, 40e3),
    ("2 lb 4 oz", units.MASS, 2.25 * 0.45359237),
]


@pytest.mark.parametrize(("text", "kind", "si"), READ)
def test_reads(text, kind, si):
    """Exact factors: international yard and pound (0.3048 m, 0.45359237 kg), US gallon 231 cubic inches."""
    assert read(text, kind) == pytest.approx(si, rel=1e-7)


REFUSED = [
    (5, units.LENGTH, "bare number"),
    (5.0, units.LENGTH, "bare number"),
    (True, units.LENGTH, "as text"),
    (None, units.LENGTH, "as text"),
    (["5 mm"], units.LENGTH, "as text"),
    ("5", units.LENGTH, "unit is missing"),
    ("", units.LENGTH, "nothing is given"),
    ("mm", units.LENGTH, "not a number with a unit"),
    ("5 kg", units.LENGTH, "not a unit of length"),
    ("5 cfm", units.LENGTH, "not known here"),
    ("5 mm mm", units.LENGTH, "not a unit of length"),
    ("5,5 mm", units.LENGTH, "a point for the decimal mark"),
    ("1,000 mm", units.LENGTH, "no thousands mark"),
    ("9**9**9 m", units.LENGTH, "not a unit"),
    ("5 m**9**9**9", units.LENGTH, "not a unit"),
    ("5 mm^99999999", units.LENGTH, "not a unit"),
    ("((((5)))) m", units.LENGTH, "not a number"),
    ("5 __import__('os')", units.LENGTH, "not known here"),
    ("inf m", units.LENGTH, "not a number"),
    ("nan mm", units.LENGTH, "not a number"),
    ("1/0 in", units.LENGTH, "fraction"),
    ("5 mm" + " " * 100, units.LENGTH, "no quantity is longer"),
    ("5 ft -6 in", units.LENGTH, "larger part first"),
    ("6 in 5 ft", units.LENGTH, "larger part first"),
    ("5 psi 3 Pa", units.PRESSURE, "one number and one unit"),
    ("8 oz", units.VOLUME, "fl oz"),
    ("22 m", units.TEMPERATURE, "not a degree scale"),
    ("22 delta_degC", units.TEMPERATURE, "not a degree scale"),
    ("-1 K", units.TEMPERATURE, "absolute zero"),
    ("10 degC", units.DIFFERENCE, "no difference"),
    ("0.023 W/m K", units.CONDUCTIVITY, "not a unit"),
    ("5 kg//m3", units.DENSITY, "not a unit"),
    ("5 (kg/m3", units.DENSITY, "not a unit"),
    ("5 kg/m3)", units.DENSITY, "not a unit"),
]


@pytest.mark.parametrize(("text", "kind", "words"), REFUSED)
def test_refuses_with_what_may_be_written(text, kind, words):
    with pytest.raises(QuantityError, match=re.escape(words)):
        read(text, kind)


KINDS = [value for value in vars(units).values() if isinstance(value, units.Kind)]


def read_or_zero(text, kind):
    try:
        return read(text, kind)
    except QuantityError:
        return 0.0


@given(st.text(max_size=80), st.sampled_from(KINDS))
def test_any_text_is_read_or_refused(text, kind):
    assert math.isfinite(read_or_zero(text, kind))


@given(st.text(alphabet="0123456789.eE+-*/^() mkinftlbgLPsadC°³_", max_size=40), st.sampled_from(KINDS))
def test_any_text_that_looks_like_a_quantity_is_read_or_refused(text, kind):
    assert math.isfinite(read_or_zero(text, kind))


@given(st.integers(1, 10**6), st.integers(0, 3), st.sampled_from([("L", 3), ("mL", 6), ("cm^3", 6), ("dL", 4)]))
def test_a_typed_volume_is_the_float_nearest_to_it(number, decimals, unit):
    """Decimal fractions of SI written as Python reads them are the reference."""
    name, power = unit
    assert read(f"{number / 10**decimals:.{decimals}f} {name}", units.VOLUME) == float(f"{number}e-{decimals + power}")


@given(st.floats(1e-4, 1e4), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_a_length_survives_pint_there_and_back(value, unit):
    """pint itself, called with the same number and unit, is the reference."""
    expected = units.ureg.Quantity(value, unit).to("m").magnitude
    assert read(f"{value:.12f} {unit}", units.LENGTH) == pytest.approx(expected, rel=1e-6)


SHOWN = [
    (units.length, units.LENGTH, 1e-3, 50.0, 0.02),
    (units.mass, units.MASS, 0.03, 1e4, 0.01),
    (units.liquid, units.VOLUME, 3e-5, 1.0, 0.01),
    (units.pressure, units.PRESSURE, 10.0, 1e10, 0.01),
    (units.density, units.DENSITY, 10.0, 2000.0, 0.01),
    (units.temperature, units.TEMPERATURE, 230.0, 600.0, 0.01),
]


@pytest.mark.parametrize(("show", "kind", "low", "high", "tolerance"), SHOWN)
@given(share=st.floats(0.0, 1.0))
def test_what_is_shown_reads_back_in_both_systems(show, kind, low, high, tolerance, share):
    """Both halves of "200 mm (7.9 in)" say the same length, within the digits shown."""
    value = low * (high / low) ** share
    metric, other = re.fullmatch(r"(.*) \((.*)\)", show(value)).groups()
    assert read(metric, kind) == pytest.approx(value, rel=0.006)
    assert read(other, kind) == pytest.approx(value, rel=tolerance)


@given(st.floats(0.0, 3.0))
def test_a_tape_measure_is_within_a_thirty_second_of_an_inch(value):
    metric, other = re.fullmatch(r"(.*) \((.*)\)", units.tape(value)).groups()
    assert abs(read(metric, units.LENGTH) - value) <= 0.00050001
    assert abs(read(other, units.LENGTH) - value) <= 0.0254 / 32 + 1e-9


@given(st.floats(1.0, 1e6))
def test_a_time_reads_back(value):
    assert read(units.time(value), units.TIME) == pytest.approx(value, rel=0.06)


def test_what_is_not_known_is_never_a_number():
    for show in (units.length, units.tape, units.mass, units.pressure, units.temperature, units.time, units.volume):
        for value in (math.nan, math.inf, -math.inf):
            assert show(value) == "unknown"
    assert units.by_unit(math.nan, "W/m**2") == "unknown"


@given(st.floats(allow_nan=True, allow_infinity=True))
def test_any_number_is_shown(value):
    for show in (units.length, units.mass, units.liquid, units.volume, units.pressure, units.time, units.share):
        assert show(value)


def test_memory_and_shares():
    assert units.read_memory("1.5 GB") == 1_500_000_000
    assert units.read_memory("800 MiB") == 800 * 2**20
    assert units.read_share("7.5 %") == 0.075
    for bad in ("1.5", "x GB", 5, "1e9 GB", "-1 GB", None):
        with pytest.raises(QuantityError):
            units.read_memory(bad)
    for bad in ("8", "x %", math.nan, math.inf, True, None, [0.1]):
        with pytest.raises(QuantityError):
            units.read_share(bad)


@pytest.mark.parametrize(("given", "wanted"), [*inch_pound.SIZE, *inch_pound.ABOVE])
def test_sizes_of_inch_pound_units_are_those_of_pint(given, wanted):
    for value in (1.0, -40.0, 293.15, 12345.678):
        expected = units.ureg.Quantity(value, given).to(wanted).magnitude
        assert inch_pound.converted(value, given, wanted) == pytest.approx(expected, rel=1e-13, abs=1e-10)


def test_units_of_checks_and_grades_are_shown_without_the_registry():
    shown = "from pourwright import units as u; import sys; print(" + ", ".join(
        [*(f"u.by_unit(3.0, {unit!r})" for unit in _SPELLED), "u.in_both('2 mm'), 'pint' in sys.modules)"]
    )
    told = subprocess.run([sys.executable, "-c", shown], capture_output=True, text=True, check=True).stdout
    assert told.endswith("2 mm (0.079 in) False\n")
    for unit, show in _SPELLED.items():
        assert units.ureg.Quantity(1.0, unit).to_base_units().magnitude == 1.0
        assert show(3.0) in told


EXACT: pint.UnitRegistry = pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize(("unit", "si"), sorted(registry.PLAIN))
@given(number=st.fractions(min_value=-1000, max_value=1000))
def test_units_that_most_jobs_are_written_in_are_those_of_an_exact_registry(unit, si, number):
    assert registry.exact_si(number, unit, si) == EXACT.Quantity(number, unit).to(si).magnitude
