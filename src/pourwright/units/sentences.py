"""Sentences of stages that know no units: their SI figures said in the other system too."""

from __future__ import annotations

import re

from pourwright.units.inch_pound import converted
from pourwright.units.showing import digits

_OTHER = {
    "°C": ("degree_Celsius", "degree_Fahrenheit", "°F"),
    "µm": ("micrometer", "thou", "thou"),
    "mm": ("millimeter", "inch", "in"),
    "m": ("meter", "foot", "ft"),
    "cm²": ("centimeter**2", "inch**2", "in²"),
    "m²": ("meter**2", "foot**2", "ft²"),
    "m³": ("meter**3", "foot**3", "ft³"),
    "Pa": ("pascal", "psi", "psi"),
    "kPa": ("kilopascal", "psi", "psi"),
    "MPa": ("megapascal", "psi", "psi"),
    "N": ("newton", "pound_force", "lbf"),
    "kN": ("kilonewton", "pound_force", "lbf"),
    "kg": ("kilogram", "pound", "lb"),
    "g": ("gram", "ounce", "oz"),
    "kg/m³": ("kilogram/meter**3", "pound/foot**3", "lb/ft³"),
    "L": ("liter", "US_liquid_gallon", "US gal"),
    "mL": ("milliliter", "US_fluid_ounce", "US fl oz"),
}
_POINT = re.compile(r"x (-?\d+(?:\.\d+)?), y (-?\d+(?:\.\d+)?), z (-?\d+(?:\.\d+)?) m(?![\w²³/])(?! \()")
_FIGURE = re.compile(
    r"(?<![\w.,(/-])(-?\d+(?:\.\d+)?) (°C|µm|mm|cm²|m²|m³|m|kPa|MPa|Pa|kN|N|kg/m³|kg|g|mL|L)(?![\w²³/^*·'])(?! [(m])"
)


def in_both(sentence: str) -> str:
    """The sentence with each metric figure followed by the other system's, where it is not yet; quotations stay.

    >>> in_both("the core would reach 222 °C, over the stop at 170 °C")
    'the core would reach 222 °C (432 °F), over the stop at 170 °C (338 °F)'
    >>> in_both("800 g in 10 L would be foam of 80 kg/m³")
    '800 g (28.2 oz) in 10 L (2.64 US gal) would be foam of 80 kg/m³ (4.99 lb/ft³)'
    >>> in_both("closed near x 0.3, y -0.15, z 1.2 m, 0.5 m² of it")
    'closed near x 0.3, y -0.15, z 1.2 m (x 0.984, y -0.492, z 3.94 ft), 0.5 m² (5.38 ft²) of it'
    >>> in_both("a hole of 6 mm (0.236 in), 0.15 m up, 3 W/(m² K), 2 min, 1.5 N m, 5 m/s")
    'a hole of 6 mm (0.236 in), 0.15 m (0.492 ft) up, 3 W/(m² K), 2 min, 1.5 N m, 5 m/s'
    """

    def other(found: re.Match[str]) -> str:
        si, unit, shown = _OTHER[found[2]]
        value = converted(float(found[1]), si, unit)
        text = f"{value:.0f}" if shown == "°F" else digits(value)
        return f"{found[0]} ({text} {shown})"

    def in_feet(found: re.Match[str]) -> str:
        feet = (digits(converted(float(metres), "meter", "foot")) for metres in found.groups())
        return "{} (x {}, y {}, z {} ft)".format(found[0], *feet)

    return _FIGURE.sub(other, _POINT.sub(in_feet, sentence))
