"""Inch-pound units by what defines them, so that a command that only shows values need not load the registry.

International yard and pound agreement of 1959, the US gallon of 231 cubic inches, standard gravity (NIST Special
Publication 811, appendix B). What is not here is asked of pint, which a test holds all of it to.
"""

from __future__ import annotations

_IN = 0.0254
_FT = 0.3048
_LB = 0.45359237
_LBF = _LB * 9.80665
_PSI = _LBF / _IN**2
_GAL = 231 * _IN**3
_BTU = 1055.056  # of ISO 31-4: the International Table Btu, rounded; what pint calls Btu
_F = 1 / 1.8  # one degree Fahrenheit of difference [K]

SIZE = {
    ("meter", "inch"): _IN,
    ("meter", "foot"): _FT,
    ("millimeter", "inch"): _IN * 1e3,
    ("micrometer", "thou"): _IN * 1e3,
    ("meter", "thou"): _IN / 1e3,
    ("meter**2", "inch**2"): _IN**2,
    ("meter**2", "foot**2"): _FT**2,
    ("centimeter**2", "inch**2"): _IN**2 * 1e4,
    ("meter**3", "foot**3"): _FT**3,
    ("meter**3", "US_fluid_ounce"): _GAL / 128,
    ("meter**3", "US_liquid_gallon"): _GAL,
    ("liter", "US_liquid_gallon"): _GAL * 1e3,
    ("milliliter", "US_fluid_ounce"): _GAL / 128 * 1e6,
    ("meter**3/second", "US_liquid_gallon/minute"): _GAL / 60,
    ("kilogram", "ounce"): _LB / 16,
    ("kilogram", "pound"): _LB,
    ("gram", "ounce"): _LB / 16 * 1e3,
    ("kilogram/second", "pound/minute"): _LB / 60,
    ("kilogram/meter**2", "pound/foot**2"): _LB / _FT**2,
    ("kilogram/meter**3", "pound/foot**3"): _LB / _FT**3,
    ("kilogram*meter**2", "pound*foot**2"): _LB * _FT**2,
    ("newton", "pound_force"): _LBF,
    ("kilonewton", "pound_force"): _LBF / 1e3,
    ("newton*meter", "pound_force*foot"): _LBF * _FT,
    ("pascal", "psi"): _PSI,
    ("kilopascal", "psi"): _PSI / 1e3,
    ("megapascal", "psi"): _PSI / 1e6,
    ("joule/kilogram", "Btu/pound"): _BTU / _LB,
    ("joule/kilogram/kelvin", "Btu/pound/delta_degree_Fahrenheit"): _BTU / _LB / _F,
    ("watt/meter/kelvin", "Btu*inch/hour/foot**2/delta_degree_Fahrenheit"): _BTU * _IN / 3600 / _FT**2 / _F,
}
"""How many of the first unit one of the second is, both spelled as pint does."""

ABOVE = {
    ("kelvin", "degree_Celsius"): (1.0, 273.15),
    ("kelvin", "degree_Fahrenheit"): (_F, 459.67),
    ("degree_Celsius", "degree_Fahrenheit"): (_F, -32.0),
}
"""Size of one degree of the second scale in those of the first, and how many of its own it counts less."""


def converted(value: float, given: str, wanted: str) -> float:
    """``value`` of the unit ``given`` in the unit ``wanted``, both spelled as pint does, without blanks.

    >>> converted(0.3048, "meter", "foot"), converted(293.15, "kelvin", "degree_Celsius")
    (1.0, 20.0)
    >>> converted(8.0, "US_fluid_ounce", "US_pint")
    0.5
    """
    pair = given, wanted
    if pair in SIZE:
        return value / SIZE[pair]
    if pair in ABOVE:
        size, less = ABOVE[pair]
        return value / size - less
    from pourwright.units.registry import ureg  # only for what is not above

    return float(ureg.Quantity(value, given).to(wanted).magnitude)
