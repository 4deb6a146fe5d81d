import pytest

from pourwright.sources import printed_units, to_si
from pourwright.units import ureg

# How pint spells what the data files print; pint is an independent library of unit definitions.
SPELT = {
    "-": "",
    "%": "percent",
    "lb/ft3": "lb/ft^3",
    "kg/m3": "kg/m^3",
    "g/cm3": "g/cm^3",
    "kg/m2": "kg/m^2",
    "lbf": "force_pound",
    "degC": "degC",
    "degF": "degF",
    "W/(m2 K)": "W/(m^2 K)",
    "BTU in/(h ft2 degF)": "Btu_it inch/(hour ft^2 delta_degF)",
    "%/K": "percent/K",
    "m3": "m^3",
    "gal": "US_liquid_gallon",
    "in": "inch",
}


@pytest.mark.parametrize("unit", printed_units())
def test_factors_agree_with_pint(unit):
    value, si = to_si(3.7, unit)
    expected = ureg.Quantity(3.7, SPELT.get(unit, unit)).to(SPELT.get(si, si))
    assert value == pytest.approx(expected.magnitude, rel=1e-9)


def test_unknown_unit_is_refused():
    with pytest.raises(KeyError):
        to_si(1.0, "stone")
