"""The example grades, a grade of any density between and beside them, and a data sheet's values on top."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from pourwright.errors import JobError, UsageError
from pourwright.foam.grade import FoamGrade, Sides
from pourwright.foam.heat_of_recipe import HEAT_FIELDS, recipe_note, rise_spread, with_spreads
from pourwright.physics import conductivity, foam_strength
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.sources import Cited, Standing, read_table

DENSITIES_KG_M3 = (30.0, 320.0)
"""Free-rise densities that a grade may be made for: 2 to 20 lb/ft3, the range the laws are used in here."""
SHEAR_TO_KG_M3 = 130.0  # a little over the published range of shear strengths
_GROUPS = ("liquids", "rise", "times", "heat", "strength")
_ORDER = ("rigid-2", "rigid-3", "rigid-6")

# What a data sheet may say, by field: low, high, SI unit. Wide enough for every rigid pour foam on sale, narrow enough
# to catch a wrong unit or a slipped point.
_ALLOWED: dict[str, tuple[float, float, str]] = {
    "free_rise_density_kg_m3": (10, 400, "kg/m3"),
    "density_spread": (0, 0.5, "-"),
    "part_a_density_kg_m3": (900, 1500, "kg/m3"),
    "part_b_density_kg_m3": (900, 1500, "kg/m3"),
    "mix_a_by_volume": (0.1, 1000, "-"),
    "mix_b_by_volume": (0.1, 1000, "-"),
    "reference_temperature_k": (278.15, 318.15, "K"),
    "cream_s": (2, 1800, "s"),
    "gel_s": (5, 7200, "s"),
    "tack_free_s": (6, 14400, "s"),
    "rise_end_s": (6, 14400, "s"),
    "cream_activation_j_mol": (10e3, 120e3, "J/mol"),
    "gel_activation_j_mol": (10e3, 120e3, "J/mol"),
    "density_per_k": (-0.03, 0, "1/K"),
    "heat_j_kg": (50e3, 600e3, "J/kg"),
    "heat_sd_j_kg": (0, 200e3, "J/kg"),
    "specific_heat_j_kgk": (1000, 3000, "J/(kg K)"),
    "specific_heat_sd_j_kgk": (0, 1000, "J/(kg K)"),
    "conductivity_w_mk": (0.01, 0.1, "W/(m K)"),
    "conductivity_hot_w_mk": (0.01, 0.1, "W/(m K)"),
    "compressive_strength_pa": (10e3, 50e6, "Pa"),
    "compressive_modulus_pa": (0.2e6, 2e9, "Pa"),
    "poisson": (0, 0.49, "-"),
    "shear_strength_pa": (10e3, 50e6, "Pa"),
    "tensile_strength_pa": (10e3, 50e6, "Pa"),
    "max_lift_m": (0.005, 2, "m"),
    "packing": (1, 2, "-"),
    "open_packing": (1, 2, "-"),
    "caution_k": (320, 550, "K"),
    "stop_k": (320, 550, "K"),
    "emergency_k": (320, 550, "K"),
}

# What follows from density, and by which law (the value of the base grade is moved by the law's ratio).
_BY_DENSITY: dict[str, Callable[[float], float]] = {
    "compressive_strength_pa": foam_strength.collapse_stress,
    "compressive_modulus_pa": foam_strength.random_field_modulus,
    "shear_strength_pa": foam_strength.shear_strength,
    "tensile_strength_pa": foam_strength.collapse_stress,
    "conductivity_w_mk": lambda rho: conductivity.foam_conductivity(rho, 296.15, conductivity.CO2_AT_296_K),
    "conductivity_hot_w_mk": lambda rho: conductivity.foam_conductivity(rho, 358.15, conductivity.CO2_AT_358_K),
    "max_lift_m": lambda rho: 1.0 / rho,
}

# Pairs that must not fall out of order: the first is at most (or, for times, less than) the second.
_LESS = (("cream_s", "gel_s"), ("gel_s", "tack_free_s"), ("cream_s", "rise_end_s"))
_AT_MOST = (("gel_s", "rise_end_s"), ("caution_k", "stop_k"), ("stop_k", "emergency_k"), ("open_packing", "packing"))


def grade_names() -> tuple[str, ...]:
    """Names of the example grades, lightest first; `grade_of_density` makes any other."""
    return _ORDER


def sheet_fields() -> dict[str, tuple[float, float, str]]:
    """Fields of a grade that a data sheet may replace: lowest and highest value allowed, and their SI unit."""
    return dict(_ALLOWED)


@cache
def load_grade(name: str) -> FoamGrade:
    """A generic grade by name; ``UsageError`` for a name that is not on the list."""
    if name not in _ORDER:
        raise UsageError(
            f"foam grade {name!r} is not known; choose one of {', '.join(_ORDER)}, or give a density in the job "
            '(foam.density = "48 kg/m^3")'
        )
    data = read_table(files("pourwright.foam") / "grades" / f"{name}.toml")
    cited: dict[str, Cited] = {}
    for group in _GROUPS:
        cited.update(data[group])
    cited["rise_sd_k"] = rise_spread(*(cited[name].value for name in HEAT_FIELDS))
    return FoamGrade(
        name=data["name"],
        title=data["title"],
        max_lift_is_judgement=cited["max_lift_m"].standing is Standing.JUDGEMENT,
        cited=cited,
        sides=Sides(),
        **{key: value.value for key, value in cited.items()},
    )


def grade_of_density(density_kg_m3: float) -> FoamGrade:
    """A generic grade of any free-rise density in `DENSITIES_KG_M3`.

    Strengths, moduli and conductivities are those of the example of 48 kg/m3, moved by the published law each of them
    follows; times are interpolated between the examples and kept beyond them. Every value that was moved says so.

    Raises `JobError` (``foam.density``) for a density outside.
    """
    low, high = DENSITIES_KG_M3
    if not low <= density_kg_m3 <= high:
        raise JobError("foam.density", f"{density_kg_m3:g} kg/m3", f"must lie between {low:g} and {high:g} kg/m3")
    base = load_grade("rigid-3")
    cited = dict(base.cited)
    given = {"free_rise_density_kg_m3": float(density_kg_m3)}
    changed: dict[str, Any] = given | _moved_by_density(base, given, cited) | _times_between(density_kg_m3, cited)
    cited["free_rise_density_kg_m3"] = Cited(float(density_kg_m3), "kg/m3", Standing.JOB)
    pounds = density_kg_m3 / 16.018463
    out = replace(
        base,
        name=f"{density_kg_m3:.3g} kg/m3",
        title=f"Rigid pour foam, {density_kg_m3:.3g} kg/m3 ({pounds:.3g} lb/ft3) free rise, by laws of density",
        cited=cited,
        **changed,
    )
    if density_kg_m3 > SHEAR_TO_KG_M3:
        shear = cited["shear_strength_pa"]
        cited["shear_strength_pa"] = replace(shear, note=f"outside the range of its law: test it; {shear.note}")
    note = recipe_note(out)
    heat = replace(cited["heat_j_kg"], note=f"per kg of mixed liquids, whatever the recipe. {note}")
    return replace(out, cited={**cited, "heat_j_kg": heat})


def _times_between(density: float, cited: dict[str, Cited]) -> dict[str, float]:
    """Times of a grade between the examples, linear in density."""
    examples = [load_grade(name) for name in _ORDER]
    at = [grade.free_rise_density_kg_m3 for grade in examples]
    out = {}
    for name in ("cream_s", "gel_s", "tack_free_s", "rise_end_s"):
        values = [getattr(grade, name) for grade in examples]
        out[name] = float(np.interp(density, at, values))
        note = "between the example grades, linear in density; kept beyond them"
        cited[name] = replace(cited[name], value=out[name], note=note, printed="")
    return out


def grade_from_sheet(base: FoamGrade, values: Mapping[str, float], reference: str) -> FoamGrade:
    """``base`` with a data sheet's own values (SI, by field name of `FoamGrade`) in place of the generic ones.

    ``reference`` says which sheet, and is cited with every value. Where the sheet gives another density, the values
    of ``base`` that were derived from density (strengths, moduli, conductivities, the judged lift cap) move with it,
    except those the sheet gives too.

    Raises `JobError` with the key ``foam.sheet.<field>`` for an unknown field, a value that is not a number or out
    of range, and for values that contradict each other.
    """
    if not reference.strip():
        raise JobError("foam.sheet.reference", reference, "must name the data sheet (maker's title and date)")
    for name, value in values.items():
        _check_range(name, value)
    given = {name: float(value) for name, value in values.items()}
    changed: dict[str, Any] = dict(given)
    cited = dict(base.cited)
    if "free_rise_density_kg_m3" in given:
        changed |= _moved_by_density(base, given, cited)
    for name, value in given.items():
        cited[name] = Cited(value, _ALLOWED[name][2], Standing.DATA_SHEET, reference)
    with_spreads(base, changed, cited)
    if "max_lift_m" in given:
        changed["max_lift_is_judgement"] = False
    out = replace(base, title=f"Foam of: {reference} (rest as {base.name})", cited=cited, **changed)
    _check_order(out, given)
    return out


def _check_range(name: str, value: object) -> None:
    key = f"foam.sheet.{name}"
    if name not in _ALLOWED:
        raise JobError(key, value, f"is not a property of a foam; known are {', '.join(_ALLOWED)}")
    low, high, unit = _ALLOWED[name]
    unit = "" if unit == "-" else f" {unit}"
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise JobError(key, value, f"must be a number between {low:g} and {high:g}{unit}")
    if not low <= value <= high:
        raise JobError(key, value, f"must lie between {low:g} and {high:g}{unit}; check the value and its unit")


def _moved_by_density(base: FoamGrade, given: Mapping[str, float], cited: dict[str, Cited]) -> dict[str, float]:
    old, new = base.free_rise_density_kg_m3, given["free_rise_density_kg_m3"]
    out: dict[str, float] = {}
    for name, law in _BY_DENSITY.items():
        source = base.cited[name]
        if name in given or source.standing in (Standing.DATA_SHEET, Standing.JOB) or old == new:
            continue
        out[name] = getattr(base, name) * law(new) / law(old)
        note = f"moved from {old:.3g} to {new:.3g} kg/m3 by its law of density; {source.note}"
        cited[name] = replace(source, value=out[name], note=note, printed="")
    return out


def _said(name: str, value: float) -> str:
    """A value of a grade with its unit; temperatures in degrees Celsius."""
    unit = _ALLOWED[name][2]
    return f"{value - ZERO_CELSIUS_K:.4g} °C" if unit == "K" else f"{value:g} {unit}" if unit != "-" else f"{value:g}"


def _check_order(grade: FoamGrade, given: Mapping[str, float]) -> None:
    for lower, upper in (*_LESS, *_AT_MOST):
        low, high = getattr(grade, lower), getattr(grade, upper)
        if low < high or (low == high and (lower, upper) in _AT_MOST):
            continue
        name, other = (lower, upper) if lower in given else (upper, lower)
        if lower not in given and upper not in given:
            continue  # the base's own values; nothing of the sheet to point at
        word = "below" if name == lower else "above"
        whose = "the sheet's own" if other in given else f"the generic value of {grade.name}, give {other} as well:"
        limit = _said(other, getattr(grade, other))
        raise JobError(f"foam.sheet.{name}", given[name], f"must lie {word} {other}, {whose} {limit}")
    light = min(grade.part_a_density_kg_m3, grade.part_b_density_kg_m3) / 2
    if grade.free_rise_density_kg_m3 >= light:
        given_density = given.get("free_rise_density_kg_m3", grade.free_rise_density_kg_m3)
        allowed = f"must be below half the density of the liquids, {light:g} kg/m3"
        raise JobError("foam.sheet.free_rise_density_kg_m3", given_density, allowed)
