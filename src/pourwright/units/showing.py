"""Showing SI values in both systems, with the digits a person can use at the bench."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextvars import ContextVar

from pourwright import figures as telling
from pourwright.units.inch_pound import converted as _to

UNKNOWN = "unknown"
"""What a value that could not be computed is called; never a number."""


_more: ContextVar[int] = ContextVar("digits beyond the usual ones", default=0)


def apart(show: Callable[[float], str], value: float, limit: float) -> tuple[str, str]:
    """Both values as ``show`` writes them, with as many more digits as it takes to tell them apart.

    >>> apart(length, 0.20004, 0.2)
    ('200.04 mm (7.876 in)', '200.00 mm (7.874 in)')
    >>> apart(temperature, 333.2, 333.15), apart(mass, 2.0, 2.0)
    (('60.1 °C (140.1 °F)', '60.0 °C (140.0 °F)'), ('2.00 kg (4.41 lb)', '2.00 kg (4.41 lb)'))
    """

    def shown(one: float, more: int) -> str:
        token = _more.set(more)
        try:
            return show(one)
        finally:
            _more.reset(token)

    return telling.apart(value, limit, shown)


def _fixed(value: float, decimals: int) -> str:
    return f"{value:.{decimals + _more.get()}f}"


def digits(value: float, figures: int = 3, most_decimals: int = 3) -> str:
    """``value`` with about ``figures`` figures, whole numbers kept whole, no exponent.

    >>> digits(7.874), digits(1234.4), digits(0.35), digits(0.0149), digits(99.96)
    ('7.87', '1234', '0.35', '0.015', '100')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else UNKNOWN
    figures, most_decimals = figures + _more.get(), most_decimals + _more.get()
    size = math.floor(math.log10(abs(value)))
    decimals = min(max(figures - 1 - size, 0), most_decimals)
    rounded = round(value, decimals)
    if rounded and math.floor(math.log10(abs(rounded))) > size:
        decimals = max(decimals - 1, 0)
    text = f"{rounded:.{decimals}f}"
    return "0" if float(text) == 0 else _trim(text)


def _trim(text: str) -> str:
    """0.350 -> 0.35, but 2.50 and 10.0 keep what a reader expects: only zeros behind a leading 0 go."""
    return text.rstrip("0") if text.lstrip("-").startswith("0.") else text


def _whole(text: str) -> str:
    """5.00 -> 5 and 12.50 -> 12.5: drills and walls come in whole millimetres."""
    return text.rstrip("0").rstrip(".") if "." in text else text


def _ounces(value: float) -> str:
    """Three figures, two below one ounce."""
    return digits(value, 3, 2) if abs(value) >= 1.0 else digits(value, 2, 7)


def _pair(metric: str, other: str) -> str:
    return f"{metric} ({other})"


def _known(show: Callable[[float], str]) -> Callable[[float], str]:
    """NaN and infinity are said to be unknown, whatever the quantity."""

    def shown(value: float) -> str:
        return show(value) if math.isfinite(value) else UNKNOWN

    shown.__doc__, shown.__name__, shown.__qualname__ = show.__doc__, show.__name__, show.__qualname__
    shown.__module__ = show.__module__
    return shown


@_known
def length(value_m: float) -> str:
    """A length in mm or m, and inches or feet.

    >>> length(0.2), length(0.005), length(2.2)
    ('200 mm (7.9 in)', '5 mm (0.197 in)', '2.20 m (7.22 ft)')
    """
    inches = _to(value_m, "meter", "inch")
    if abs(value_m) >= 0.9995:
        return _pair(f"{digits(value_m)} m", f"{digits(inches / 12.0)} ft")
    if abs(value_m) >= 0.0995:
        return _pair(f"{_fixed(value_m * 1e3, 0)} mm", f"{_fixed(inches, 1)} in")
    return _pair(f"{_whole(digits(value_m * 1e3))} mm", f"{digits(inches)} in")


@_known
def tape(value_m: float) -> str:
    """A length as read off a tape: whole millimetres, and inches to the sixteenth.

    >>> tape(1.234), tape(0.0064), tape(0.3048)
    ('1234 mm (48 9/16 in)', '6 mm (1/4 in)', '305 mm (12 in)')
    """
    sixteenths = round(abs(_to(value_m, "meter", "inch")) * 16)
    whole, part = divmod(sixteenths, 16)
    inches = str(whole)
    if part:
        shrink = math.gcd(part, 16)
        fraction = f"{part // shrink}/{16 // shrink}"
        inches = f"{whole} {fraction}" if whole else fraction
    minus = "-" if value_m < 0 else ""
    return _pair(
        f"{minus if round(value_m * 1e3) else ''}{abs(value_m) * 1e3:.0f} mm",
        f"{minus if sixteenths else ''}{inches} in",
    )


@_known
def area(value_m2: float) -> str:
    """An area in cm² or m², and square inches or feet.

    >>> area(2.5), area(0.0079)
    ('2.50 m² (26.9 ft²)', '79.0 cm² (12.2 in²)')
    """
    if abs(value_m2) < 0.02:
        return _pair(f"{digits(value_m2 * 1e4)} cm²", f"{digits(_to(value_m2, 'meter**2', 'inch**2'))} in²")
    return _pair(f"{digits(value_m2)} m²", f"{digits(_to(value_m2, 'meter**2', 'foot**2'))} ft²")


@_known
def mass(value_kg: float) -> str:
    """A weight in g or kg, and oz or lb.

    >>> mass(12.34), mass(0.25)
    ('12.3 kg (27.2 lb)', '250 g (8.82 oz)')
    """
    if abs(value_kg) < 0.9995:
        return _pair(f"{digits(value_kg * 1e3)} g", f"{_ounces(_to(value_kg, 'kilogram', 'ounce'))} oz")
    return _pair(f"{digits(value_kg)} kg", f"{digits(_to(value_kg, 'kilogram', 'pound'))} lb")


@_known
def liquid(value_m3: float) -> str:
    """A volume of liquid in mL or L, and US fluid ounces or gallons.

    >>> liquid(0.00025), liquid(0.004), liquid(2e-6)
    ('250 mL (8.45 US fl oz)', '4.00 L (1.06 US gal)', '2.00 mL (0.068 US fl oz)')
    """
    if abs(value_m3) < 0.9995e-3:
        ounces = _to(value_m3, "meter**3", "US_fluid_ounce")
        return _pair(f"{digits(value_m3 * 1e6)} mL", f"{_ounces(ounces)} US fl oz")
    return _pair(f"{digits(value_m3 * 1e3)} L", f"{digits(_to(value_m3, 'meter**3', 'US_liquid_gallon'))} US gal")


@_known
def volume(value_m3: float) -> str:
    """A space to fill in L or m³, and cubic feet.

    >>> volume(0.508), volume(1.25)
    ('508 L (17.9 ft³)', '1.25 m³ (44.1 ft³)')
    """
    feet = f"{digits(_to(value_m3, 'meter**3', 'foot**3'))} ft³"
    if abs(value_m3) < 0.9995:
        return _pair(f"{digits(value_m3 * 1e3)} L", feet)
    return _pair(f"{digits(value_m3)} m³", feet)


@_known
def density(value_kg_m3: float) -> str:
    """A density.

    >>> density(48.0554)
    '48.1 kg/m³ (3.00 lb/ft³)'
    """
    return _pair(
        f"{digits(value_kg_m3)} kg/m³", f"{digits(_to(value_kg_m3, 'kilogram/meter**3', 'pound/foot**3'))} lb/ft³"
    )


@_known
def temperature(value_k: float) -> str:
    """A temperature on the two scales people read.

    >>> temperature(295.372)
    '22 °C (72 °F)'
    """
    celsius = round(_to(value_k, "kelvin", "degree_Celsius"), _more.get()) + 0.0
    fahrenheit = round(_to(value_k, "kelvin", "degree_Fahrenheit"), _more.get()) + 0.0
    return _pair(f"{_fixed(celsius, 0)} °C", f"{_fixed(fahrenheit, 0)} °F")


@_known
def difference(value_k: float) -> str:
    """A difference of two temperatures.

    >>> difference(117.0)
    '117 K (211 °F of difference)'
    """
    return _pair(f"{digits(value_k)} K", f"{digits(value_k * 1.8)} °F of difference")


@_known
def degrees(value_k: float) -> str:
    """How many degrees one temperature is from another, as thermometers count them.

    >>> degrees(18.0), degrees(1.24), degrees(0.04)
    ('18 °C (32 °F)', '1.2 °C (2.2 °F)', '0.04 °C (0.07 °F)')
    """
    shown = (f"{value:.0f}" if abs(value) >= 9.95 else digits(value, 2, 2) for value in (value_k, value_k * 1.8))
    return "{} °C ({} °F)".format(*shown)


@_known
def pressure(value_pa: float) -> str:
    """A pressure or stiffness in Pa to GPa, and always in psi: a column is read down in one unit.

    >>> pressure(10700.0), pressure(100.0), pressure(6.5e9)
    ('10.7 kPa (1.55 psi)', '100 Pa (0.0145 psi)', '6.50 GPa (943000 psi)')
    """
    pounds = _to(value_pa, "pascal", "psi")
    psi = f"{digits(pounds if abs(pounds) < 1e5 else round(pounds, -3), 3, 7)} psi"
    if abs(value_pa) < 999.5:
        return _pair(f"{digits(value_pa)} Pa", psi)
    if abs(value_pa) < 999.5e3:
        return _pair(f"{digits(value_pa / 1e3)} kPa", psi)
    if abs(value_pa) < 999.5e6:
        return _pair(f"{digits(value_pa / 1e6)} MPa", psi)
    return _pair(f"{digits(value_pa / 1e9)} GPa", psi)


@_known
def flow(value_m3_s: float) -> str:
    """A flow of air or liquid.

    >>> flow(2.5e-4)
    '0.25 L/s (3.96 US gal/min)'
    """
    return _pair(
        f"{digits(value_m3_s * 1e3)} L/s",
        f"{digits(_to(value_m3_s, 'meter**3/second', 'US_liquid_gallon/minute'))} US gal/min",
    )


@_known
def output(value_kg_s: float) -> str:
    """Liquid by weight and time.

    >>> output(0.5)
    '0.5 kg/s (66.1 lb/min)'
    """
    return _pair(f"{digits(value_kg_s)} kg/s", f"{digits(_to(value_kg_s, 'kilogram/second', 'pound/minute'))} lb/min")


@_known
def time(value_s: float) -> str:
    """A time in the two units that matter.

    >>> time(45.0), time(150.0), time(4800.0), time(28800.0)
    ('45 s', '2 min 30 s', '1 h 20 min', '8 h')
    """
    seconds = abs(value_s)
    minus = "-" if value_s < 0 else ""
    if seconds < 9.95:
        return f"{minus}{digits(seconds, 2)} s"
    if seconds < 89.5:
        return f"{minus}{seconds:.0f} s"
    if seconds < 599.5:
        whole, rest = divmod(round(seconds), 60)
        return f"{minus}{whole} min {rest} s" if rest else f"{minus}{whole} min"
    minutes = round(seconds / 60.0)
    if minutes < 60:
        return f"{minus}{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{minus}{hours} h {rest} min" if rest and hours < 24 else f"{minus}{round(minutes / 60.0)} h"


@_known
def specific_heat(value_j_kgk: float) -> str:
    """A specific heat.

    >>> specific_heat(1800.0)
    '1800 J/(kg K) (0.43 Btu/(lb °F))'
    """
    other = _to(value_j_kgk, "joule/kilogram/kelvin", "Btu/pound/delta_degree_Fahrenheit")
    return _pair(f"{digits(value_j_kgk)} J/(kg K)", f"{digits(other)} Btu/(lb °F)")


@_known
def conductivity(value_w_mk: float) -> str:
    """A heat conductivity.

    >>> conductivity(0.023)
    '0.023 W/(m K) (0.159 Btu in/(h ft² °F))'
    """
    other = _to(value_w_mk, "watt/meter/kelvin", "Btu*inch/hour/foot**2/delta_degree_Fahrenheit")
    return _pair(f"{digits(value_w_mk)} W/(m K)", f"{digits(other)} Btu in/(h ft² °F)")


@_known
def heat(value_j_kg: float) -> str:
    """A heat of reaction by weight.

    >>> heat(210e3)
    '210 kJ/kg (90.3 Btu/lb)'
    """
    return _pair(
        f"{digits(value_j_kg / 1e3)} kJ/kg", f"{digits(_to(value_j_kg, 'joule/kilogram', 'Btu/pound'))} Btu/lb"
    )


@_known
def share(value: float) -> str:
    """A share in per cent.

    >>> share(0.0794), share(0.08)
    ('7.94 %', '8 %')
    """
    return f"{_whole(digits(value * 100.0))} %"


@_known
def plain(value: float) -> str:
    """A number without unit.

    >>> plain(1.333)
    '1.33'
    """
    return digits(value)


_BY_DIMENSION: dict[str, Callable[[float], str]] = {
    "meter": length,
    "meter**2": area,
    "meter**3": liquid,
    "kilogram": mass,
    "kelvin": temperature,
    "pascal": pressure,
    "second": time,
    "kilogram/meter**3": density,
    "meter**3/second": flow,
    "dimensionless": plain,
}

_SPELLED: dict[str, Callable[[float], str]] = {
    "m": length,
    "kg": mass,
    "K": temperature,
    "Pa": pressure,
    "s": time,
    "kg/m^3": density,
    "": plain,
}
"""The same for units as checks and grades spell them."""


def by_unit(value: float, unit: str) -> str:
    """A value in the SI unit that ``unit`` spells, shown by its dimension; a volume is taken for liquid.

    >>> by_unit(0.2, "m"), by_unit(10700.0, "Pa"), by_unit(3.0, "")
    ('200 mm (7.9 in)', '10.7 kPa (1.55 psi)', '3.00')
    """
    if unit in _SPELLED:
        return _SPELLED[unit](value)
    from pourwright.units.registry import ureg  # only for units spelled otherwise

    quantity = ureg.Quantity(value, unit)
    for si, show in _BY_DIMENSION.items():
        if quantity.is_compatible_with(si):
            return show(float(quantity.to(si).magnitude))
    return f"{digits(value)} {unit}" if math.isfinite(value) else UNKNOWN
