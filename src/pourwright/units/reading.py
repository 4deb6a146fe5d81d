"""Reading quantities as people write them.

Reading is strict. A quantity is a number and a unit ("5 mm", "3/16 in", "5 ft 6 in", "72 degF"); the unit is looked up
in a list of shop units, converted by pint and checked against the dimension due. Numbers are fractions until the
last step, so "50 L" is the float nearest to 0.05 m3 and not one beside it. Nothing is evaluated: the number
and the unit are taken apart by a grammar of a few lines, so a hostile string costs no more than an honest one.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from pourwright.units.registry import exact_si, ureg

LONGEST_QUANTITY = 60
"""Characters a quantity may have."""

# The words a shop writes, and how pint spells them. Anything else is refused: pint alone would read "5 cfm" as
# centifermi and "60 mil" as an angle.
_WORDS = {
    **dict.fromkeys(["um", "micron", "microns"], "micrometer"),
    **dict.fromkeys(["mm", "millimeter", "millimeters", "millimetre", "millimetres"], "millimeter"),
    **dict.fromkeys(["cm", "centimeter", "centimeters", "centimetre", "centimetres"], "centimeter"),
    **dict.fromkeys(["m", "meter", "meters", "metre", "metres"], "meter"),
    **dict.fromkeys(["in", "inch", "inches"], "inch"),
    **dict.fromkeys(["ft", "foot", "feet"], "foot"),
    **dict.fromkeys(["yd", "yard", "yards"], "yard"),
    **dict.fromkeys(["thou", "mil", "mils"], "thou"),
    **dict.fromkeys(["mL", "ml", "milliliter", "milliliters", "millilitre", "millilitres", "cc"], "milliliter"),
    **dict.fromkeys(["dL", "dl", "deciliter", "decilitre"], "deciliter"),
    **dict.fromkeys(["L", "l", "liter", "liters", "litre", "litres"], "liter"),
    **dict.fromkeys(["gal", "gallon", "gallons"], "US_liquid_gallon"),
    **dict.fromkeys(["qt", "quart", "quarts"], "US_liquid_quart"),
    **dict.fromkeys(["floz"], "US_fluid_ounce"),
    **dict.fromkeys(["mg"], "milligram"),
    **dict.fromkeys(["g", "gram", "grams"], "gram"),
    **dict.fromkeys(["kg", "kilogram", "kilograms", "kilo", "kilos"], "kilogram"),
    **dict.fromkeys(["lb", "lbs", "pound", "pounds"], "pound"),
    **dict.fromkeys(["oz", "ounce", "ounces"], "ounce"),
    **dict.fromkeys(["s", "sec", "secs", "second", "seconds"], "second"),
    **dict.fromkeys(["min", "mins", "minute", "minutes"], "minute"),
    **dict.fromkeys(["h", "hr", "hrs", "hour", "hours"], "hour"),
    **dict.fromkeys(["d", "day", "days"], "day"),
    **dict.fromkeys(["Pa", "pascal"], "pascal"),
    "hPa": "hectopascal",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    **dict.fromkeys(["bar"], "bar"),
    "mbar": "millibar",
    "psi": "psi",
    "ksi": "kpsi",
    "pcf": "pound/foot**3",
    **dict.fromkeys(["N", "newton", "newtons"], "newton"),
    "kN": "kilonewton",
    "lbf": "pound_force",
    "J": "joule",
    "kJ": "kilojoule",
    "MJ": "megajoule",
    "cal": "calorie",
    "kcal": "kilocalorie",
    **dict.fromkeys(["BTU", "Btu"], "Btu"),
    "W": "watt",
    "kW": "kilowatt",
    "mW": "milliwatt",
    "mol": "mole",
    **dict.fromkeys(["K", "kelvin", "delta_degC"], "kelvin"),
    **dict.fromkeys(["delta_degF", "degR", "R"], "delta_degree_Fahrenheit"),
}
_NUMBER = (
    r"[+-]?(?:\d{1,6} \d{1,4}/\d{1,4}|\d{1,6}/\d{1,4}|(?:\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})(?:[eE][+-]?\d{1,2})?)"
)
_TERM = re.compile(rf"({_NUMBER})\s*([^\d\s+.-].*?)?\s*(?=\s[+-]?[\d.]|$)")
_UNIT_PIECE = re.compile(r"\s*(?:([A-Za-z_]{1,20})(?:(?:\^|\*\*)?(-?[1-4])(?!\d))?|([*/()]))")
_TEMPERATURE = re.compile(r"(?:deg(?:rees?)?\.? ?)?(celsius|fahrenheit|kelvin|[CFK])", re.IGNORECASE)
_SYSTEM = {"c": "degree_Celsius", "f": "degree_Fahrenheit", "k": "kelvin"}
_PLAIN = str.maketrans({"²": "^2", "³": "^3", "·": "*", "×": "*", "º": "°", "−": "-", "\u00a0": " ", "\u202f": " "})


class QuantityError(ValueError):
    """A text that is not the quantity that is due; reads as what is allowed and what to do."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: what it is called, its SI unit as pint spells it, and how one is written."""

    name: str
    si: str
    example: str
    sums: bool = False  # "5 ft 6 in" may be written


LENGTH = Kind("a length", "meter", '"5 mm" or "3/16 in"', sums=True)
AREA = Kind("an area", "meter**2", '"0.5 m^2" or "5 ft^2"')
VOLUME = Kind("a volume", "meter**3", '"4 L", "1 gal" or "20 cm^3"')
MASS = Kind("a weight", "kilogram", '"2 kg" or "4 lb"', sums=True)
DENSITY = Kind("a density", "kilogram/meter**3", '"48 kg/m^3" or "3 lb/ft^3"')
TIME = Kind("a time", "second", '"45 s", "5 min" or "1 h 20 min"', sums=True)
PRESSURE = Kind("a pressure", "pascal", '"100 Pa" or "0.5 psi"')
FORCE = Kind("a force", "newton", '"5 kN" or "1100 lbf"')
MASS_FLOW = Kind("an output by weight", "kilogram/second", '"0.5 kg/s" or "1.1 lb/s"')
FLOW = Kind("a flow", "meter**3/second", '"0.25 L/s" or "4 gal/min"')
TEMPERATURE = Kind("a temperature", "kelvin", '"22 degC" or "72 degF"')
DIFFERENCE = Kind("a temperature difference", "kelvin", '"10 K", "10 delta_degC" or "18 delta_degF"')
HEAT = Kind("a heat of reaction", "joule/kilogram", '"210 kJ/kg" or "90 Btu/lb"')
SPECIFIC_HEAT = Kind("a specific heat", "joule/kilogram/kelvin", '"1800 J/(kg K)"')
CONDUCTIVITY = Kind("a conductivity", "watt/meter/kelvin", '"0.023 W/(m K)"')
ACTIVATION = Kind("an activation energy", "joule/mole", '"40 kJ/mol"')
_MEMORY = {"MB": 10**6, "GB": 10**9, "MiB": 2**20, "GiB": 2**30}


def read(text: object, kind: Kind) -> float:
    """SI value of a quantity written as text.

    Parameters
    ----------
    text : object
        What the file or the command line says; anything but a short string with a unit is refused.
    kind : Kind
        What is due.

    Returns
    -------
    float
        Finite value in the SI unit of ``kind``.

    Raises
    ------
    QuantityError
        With a sentence that says what may be written.

    Examples
    --------
    >>> read("5 mm", LENGTH), read("1/2 in", LENGTH), read("1 h 20 min", TIME)
    (0.005, 0.0127, 4800.0)
    >>> round(read("72 degF", TEMPERATURE), 3), round(read("3 lb/ft^3", DENSITY), 4)
    (295.372, 48.0554)
    """
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise QuantityError(f"write {kind.name} as text with a unit, like {kind.example}")
    if not isinstance(text, str):
        raise QuantityError(f"a bare number has no unit; write {kind.name} with its unit, like {kind.example}")
    return _read_text(text, kind)


@lru_cache(maxsize=1024)
def _read_text(text: str, kind: Kind) -> float:
    if len(text) > LONGEST_QUANTITY:
        raise QuantityError(
            f"no quantity is longer than {LONGEST_QUANTITY} characters; write {kind.name} like {kind.example}"
        )
    plain = " ".join(text.translate(_PLAIN).split())
    if re.search(r"\d,\d", plain):
        raise QuantityError(f"write a point for the decimal mark and no thousands mark, like {kind.example}")
    terms = _terms(plain, kind)
    if len(terms) > 1 and not kind.sums:
        raise QuantityError(f"write one number and one unit, like {kind.example}")
    if kind in (TEMPERATURE, DIFFERENCE):
        value = _degrees(*terms[0], kind)
    else:
        parts = [_convert(number, unit, kind) for number, unit in terms]
        if any(later < 0 or abs(later) >= abs(first) for first, later in pairwise(parts)):
            raise QuantityError(f"write the larger part first and no sign inside, like {kind.example}")
        value = _nearest(sum((abs(part) for part in parts), Fraction(0))) * (-1 if terms[0][0] < 0 else 1)
    if not math.isfinite(value):
        raise QuantityError(f"that is no finite number; write {kind.name} like {kind.example}")
    return value


def _nearest(number: Fraction) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _terms(plain: str, kind: Kind) -> list[tuple[Fraction, str]]:
    """Numbers and their units, in order; the whole text must be used up."""
    terms, at = [], 0
    while at < len(plain):
        found = _TERM.match(plain, at)
        if not found:
            raise QuantityError(f"that is not a number with a unit; write {kind.name} like {kind.example}")
        if not found[2]:
            raise QuantityError(f"a unit is missing; write {kind.name} like {kind.example}")
        terms.append((_number(found[1]), found[2]))
        at = found.end()
        while at < len(plain) and plain[at] == " ":
            at += 1
    if not terms:
        raise QuantityError(f"nothing is given; write {kind.name} like {kind.example}")
    return terms


def _number(text: str) -> Fraction:
    sign = -1 if text.startswith("-") else 1
    try:
        return sign * sum((Fraction(part) for part in text.lstrip("+-").split()), Fraction(0))
    except ZeroDivisionError:
        raise QuantityError("a fraction cannot have 0 below its line") from None


def _convert(number: Fraction, unit: str, kind: Kind) -> Fraction:
    spelled = _unit(unit, kind)
    if not ureg.Quantity(1.0, spelled).is_compatible_with(kind.si):
        hint = "; for ounces of liquid write fl oz" if "oz" in unit and kind is VOLUME else ""
        raise QuantityError(
            f"{unit!r} is not a unit of {kind.name.split(' ', 1)[1]}; write it like {kind.example}{hint}"
        )
    return exact_si(number, spelled, kind.si)


def _unit(text: str, kind: Kind) -> str:
    """The unit as pint spells it, from the list of shop units only."""
    text = re.sub(r"(?:US )?fl\.? ?oz\b\.?|fluid ounces?", "floz", text).replace("US gal", "gal")
    text = text.replace("°F", "degR").replace("°C", "K")  # in a product, as in Btu/(lb °F), a degree is a step
    spelled: list[str] = []
    at = depth = 0
    while at < len(text):
        piece = _UNIT_PIECE.match(text, at)
        if not piece:
            raise QuantityError(f"{text!r} is not a unit; write {kind.name} like {kind.example}")
        word, power, mark = piece.groups()
        if word:
            if spelled and spelled[-1] not in "*/(":
                spelled.append("*")
            spelled.append(f"({_word(word, kind)})**({power or 1})")
        else:
            depth += {"(": 1, ")": -1}.get(mark, 0)
            dangling = mark != "(" and (not spelled or spelled[-1] in "*/(")
            if depth not in (0, 1) or dangling:
                raise QuantityError(f"{text!r} is not a unit; write {kind.name} like {kind.example}")
            spelled.append(mark)
        at = piece.end()
    try:
        return str(ureg.parse_units("".join(spelled)))
    except Exception:  # pint's errors for a malformed product ("kg//m") have no common root
        raise QuantityError(f"{text!r} is not a unit; write {kind.name} like {kind.example}") from None


def _word(word: str, kind: Kind) -> str:
    if word in _WORDS:
        return _WORDS[word]
    if word.lower() in _WORDS and word.lower() not in ("mpa", "mw", "n", "k", "w", "j"):
        return _WORDS[word.lower()]
    near = difflib.get_close_matches(word, _WORDS, n=1)
    hint = f" (did you mean {near[0]!r}?)" if near else ""
    raise QuantityError(f"the unit {word!r} is not known here{hint}; write {kind.name} like {kind.example}")


def _degrees(number: Fraction, unit: str, kind: Kind) -> float:
    named = _TEMPERATURE.fullmatch(unit.replace("°", "deg").replace("deg deg", "deg").strip())
    if kind is DIFFERENCE:
        apart = re.fullmatch(r"(.+?) of difference", unit)  # as this program says it
        named_apart = apart and _TEMPERATURE.fullmatch(apart[1].replace("°", "deg").strip())
        if named_apart:
            unit = "delta_degF" if named_apart[1][0].lower() == "f" else "kelvin"
            return _nearest(_convert(number, unit, kind))
        if named and named[1][0].lower() in "cf":
            raise QuantityError(f"a degree scale is no difference; write {kind.name} like {kind.example}")
        return _nearest(_convert(number, unit, kind))
    if not named:
        raise QuantityError(f"{unit!r} is not a degree scale; write {kind.name} like {kind.example}")
    kelvin = exact_si(number, _SYSTEM[named[1][0].lower()], "kelvin")
    if kelvin < 0:
        raise QuantityError(f"that is below absolute zero; write {kind.name} like {kind.example}")
    return _nearest(kelvin)


def read_memory(text: object) -> int:
    """Bytes from "1.5 GB" or "800 MiB".

    >>> read_memory("1.5 GB")
    1500000000
    """
    found = isinstance(text, str) and re.fullmatch(r"\s*(\d{1,6}(?:\.\d{1,6})?)\s*(MB|GB|MiB|GiB)\s*", text)
    if not found:
        raise QuantityError('write an amount of memory like "1.5 GB" or "800 MB"')
    return round(float(found[1]) * _MEMORY[found[2]])


def read_share(text: object) -> float:
    """A share between numbers: a bare number, or text in per cent.

    >>> read_share("8 %"), read_share(0.08)
    (0.08, 0.08)
    """
    if isinstance(text, str):
        found = re.fullmatch(r"\s*([+-]?\d{1,6}(?:\.\d{1,9})?)\s*(?:%|percent|per cent)\s*", text)
        if found:
            return float(Fraction(found[1]) / 100)
    elif isinstance(text, (int, float)) and not isinstance(text, bool) and math.isfinite(text):
        return float(text)
    raise QuantityError('write a share like 0.08 or "8 %"')
