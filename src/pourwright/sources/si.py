"""Exact factors from the units that tables are printed in to SI.

Every factor follows from the definitions in NIST Special Publication 811 (2008), Appendix B: 1 ft = 0.3048 m,
1 lb = 0.453 592 37 kg, standard gravity 9.806 65 m/s2, 1 Btu(IT) = 1055.055 852 62 J, 0 °C = 273.15 K,
1 US gallon = 231 cubic inches. This small table serves the data files; people's units are read elsewhere.
"""

from __future__ import annotations

_INCH = 0.0254
_FOOT = 0.3048
_POUND = 0.45359237
_GRAVITY = 9.80665
_BTU = 1055.05585262
_RANKINE = 1 / 1.8

# printed unit: (factor, offset, SI unit); SI = printed * factor + offset
_TABLE: dict[str, tuple[float, float, str]] = {
    "-": (1.0, 0.0, "-"),
    "%": (0.01, 0.0, "-"),
    "m": (1.0, 0.0, "m"),
    "mm": (1e-3, 0.0, "m"),
    "in": (_INCH, 0.0, "m"),
    "ft": (_FOOT, 0.0, "m"),
    "s": (1.0, 0.0, "s"),
    "min": (60.0, 0.0, "s"),
    "h": (3600.0, 0.0, "s"),
    "kg": (1.0, 0.0, "kg"),
    "lb": (_POUND, 0.0, "kg"),
    "N": (1.0, 0.0, "N"),
    "kN": (1e3, 0.0, "N"),
    "lbf": (_POUND * _GRAVITY, 0.0, "N"),
    "kg/m3": (1.0, 0.0, "kg/m3"),
    "g/cm3": (1e3, 0.0, "kg/m3"),
    "lb/ft3": (_POUND / _FOOT**3, 0.0, "kg/m3"),
    "kg/m2": (1.0, 0.0, "kg/m2"),
    "Pa": (1.0, 0.0, "Pa"),
    "kPa": (1e3, 0.0, "Pa"),
    "MPa": (1e6, 0.0, "Pa"),
    "GPa": (1e9, 0.0, "Pa"),
    "psi": (_POUND * _GRAVITY / _INCH**2, 0.0, "Pa"),
    "K": (1.0, 0.0, "K"),
    "degC": (1.0, 273.15, "K"),
    "degF": (_RANKINE, 459.67 * _RANKINE, "K"),
    "J/kg": (1.0, 0.0, "J/kg"),
    "kJ/kg": (1e3, 0.0, "J/kg"),
    "J/mol": (1.0, 0.0, "J/mol"),
    "kJ/mol": (1e3, 0.0, "J/mol"),
    "J/(kg K)": (1.0, 0.0, "J/(kg K)"),
    "W/(m K)": (1.0, 0.0, "W/(m K)"),
    "W/(m2 K)": (1.0, 0.0, "W/(m2 K)"),
    "BTU in/(h ft2 degF)": (_BTU * _INCH / (3600 * _FOOT**2 * _RANKINE), 0.0, "W/(m K)"),
    "1/K": (1.0, 0.0, "1/K"),
    "%/K": (0.01, 0.0, "1/K"),
    "m3": (1.0, 0.0, "m3"),
    "L": (1e-3, 0.0, "m3"),
    "gal": (231 * _INCH**3, 0.0, "m3"),
}


def printed_units() -> tuple[str, ...]:
    """Units a data file may use."""
    return tuple(_TABLE)


def to_si(value: float, unit: str) -> tuple[float, str]:
    """The value in SI and the name of its SI unit.

    Raises ``KeyError`` for a unit the table does not hold.

    >>> value, unit = to_si(3.0, "lb/ft3")
    >>> round(value, 3), unit
    (48.055, 'kg/m3')
    >>> to_si(40.0, "psi")[0] == to_si(1.0, "psi")[0] * 40
    True
    """
    factor, offset, name = _TABLE[unit]
    return value * factor + offset, name
