"""A grade in the shop of the day: times, density, expansion, and the parts for a mass of foam."""

from __future__ import annotations

import math
from dataclasses import replace

from pourwright.errors import JobError, UsageError
from pourwright.findings import Code, Finding, Value, finding
from pourwright.foam.grade import Conditions, FoamAtShop, FoamGrade, Parts
from pourwright.foam.heat_of_recipe import rise_of
from pourwright.physics import gas, kinetics, yields
from pourwright.physics.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS_K
from pourwright.ranges import Range
from pourwright.sources import Standing

# Gas in the cells follows the temperature of the foam at its end, which follows that of the liquids. Computed with the
# two-reaction model of a 48 kg/m3 foam (constants from memory): 49.8, 48.7, 47.6 kg/m3 for liquids at 15, 22, 32 °C.
_GAS_LAW_PER_K = -0.0022

# Liquids outside this band are outside what any grade is sold for; the numbers are then extrapolated and said to be.
_USUAL_K = (288.15, 305.15)
_TOLD_FROM_K = 2.0  # a smaller difference from the reference is not worth a note

_ALLOWED = {
    "parts_k": ("liquids", ZERO_CELSIUS_K, 333.15),
    "air_k": ("air", 243.15, 333.15),
    "skin_k": ("skin", 243.15, 353.15),
}


def at_conditions(
    grade: FoamGrade, conditions: Conditions, *, packing: float | None = None, open_packing: float | None = None
) -> FoamAtShop:
    """What ``grade`` does at ``conditions``.

    ``packing`` and ``open_packing`` (density in place over free-rise density under a closed cap and under a free
    surface, 1 to 2) replace the grade's own.

    Times shift by Arrhenius at the temperature of the liquids: an isothermal estimate that overstates the shift, as
    the mass heats itself (`fit_reaction` does better). Density shifts by the grade's slope; a generic slope is
    doubtful, so cold liquids range from the gas law alone to twice the slope, and hot ones are only promised the gas
    law. A low air pressure (height above the sea) makes the foam lighter by the gas law.

    Raises `UsageError` for temperatures or pressures no shop has, `JobError` (``foam.packing``) for a packing out
    of range.
    """
    check_conditions(conditions)
    closed = _packing("foam.packing", grade.packing if packing is None else packing)
    top = _packing("foam.open_packing", grade.open_packing if open_packing is None else open_packing)
    density = _free_rise(grade, conditions)
    liquid = yields.mixed_density(
        grade.mix_a_by_volume, grade.part_a_density_kg_m3, grade.mix_b_by_volume, grade.part_b_density_kg_m3
    )
    slow_cream = kinetics.time_factor(grade.cream_activation_j_mol, conditions.parts_k, grade.reference_temperature_k)
    slow_gel = kinetics.time_factor(grade.gel_activation_j_mol, conditions.parts_k, grade.reference_temperature_k)
    out = FoamAtShop(
        grade=grade,
        conditions=conditions,
        free_rise_density_kg_m3=density,
        # Under a free surface the dense layers at wall and top take between nothing and twice the nominal.
        open_density_kg_m3=Range(density.low, density.nominal * top, density.high * (2 * top - 1)),
        closed_density_kg_m3=density * closed,
        liquid_density_kg_m3=liquid,
        expansion=Range(*(yields.expansion_ratio(liquid, d) for d in (density.high, density.nominal, density.low))),
        cream_s=grade.cream_s * slow_cream,
        gel_s=grade.gel_s * slow_gel,
        tack_free_s=grade.tack_free_s * slow_gel,
        rise_end_s=grade.rise_end_s * slow_gel,
        rise_k=rise_of(grade),
        notes=(),
    )
    return replace(out, notes=tuple(notes_of(out)))


def parts_for(foam: FoamAtShop, foam_kg: float) -> Parts:
    """Part A and part B that make ``foam_kg`` of foam (gas lost from the surface, below 1 %, is left out).

    Raises `UsageError` for a mass that is negative or not a number.
    """
    if not (math.isfinite(foam_kg) and foam_kg >= 0):
        raise UsageError(f"cannot mix parts for {foam_kg} kg of foam; give a mass of zero or more")
    g = foam.grade
    a, b = yields.parts_of_mass(
        foam_kg, g.mix_a_by_volume, g.part_a_density_kg_m3, g.mix_b_by_volume, g.part_b_density_kg_m3
    )
    return Parts(a_kg=a, b_kg=b, a_m3=a / g.part_a_density_kg_m3, b_m3=b / g.part_b_density_kg_m3)


def mix_by_volume_from_weight(
    a_by_weight: float, b_by_weight: float, part_a_density_kg_m3: float, part_b_density_kg_m3: float
) -> tuple[float, float]:
    """Mix ratio by volume (parts of A, parts of B, the latter 1) from one by weight.

    Raises `JobError` (``foam.mix_by_weight``) unless every value is above zero.

    >>> a, b = mix_by_volume_from_weight(115, 100, 1235, 1075)
    >>> round(a, 3), b
    (1.001, 1.0)
    """
    for value in (a_by_weight, b_by_weight, part_a_density_kg_m3, part_b_density_kg_m3):
        if not (math.isfinite(value) and value > 0):
            given = f"{a_by_weight:g}:{b_by_weight:g}"
            raise JobError("foam.mix_by_weight", given, "needs parts and densities above zero, for example 115:100")
    return yields.volume_ratio(a_by_weight, part_a_density_kg_m3, b_by_weight, part_b_density_kg_m3), 1.0


def check_conditions(conditions: Conditions) -> None:
    """Refuse temperatures and pressures no shop has with `UsageError`."""
    for name, (what, low, high) in _ALLOWED.items():
        value = getattr(conditions, name)
        if not low <= value <= high:  # false for NaN too
            raise UsageError(
                f"{what} at {_both(value)} cannot be planned: give a temperature between {_both(low)} and {_both(high)}"
            )
    if not 50e3 <= conditions.pressure_pa <= 110e3:
        raise UsageError(
            f"an air pressure of {conditions.pressure_pa / 1000:g} kPa cannot be planned: give 50 to 110 kPa "
            "(101.325 at the sea, about 80 at 2000 m)"
        )


def _packing(key: str, value: float) -> float:
    if not 1.0 <= value <= 2.0:
        raise JobError(key, value, "must lie between 1.0 (free rise) and 2.0; 1.05 to 1.15 is usual for backfill")
    return float(value)


def _free_rise(grade: FoamGrade, conditions: Conditions) -> Range:
    warmer = conditions.parts_k - grade.reference_temperature_k
    slope = grade.density_per_k
    if grade.cited["density_per_k"].standing in (Standing.DATA_SHEET, Standing.JOB):
        factors = (1 + slope * warmer,) * 3
    elif warmer <= 0:
        factors = (1 + _GAS_LAW_PER_K * warmer, 1 + slope * warmer, 1 + 2 * slope * warmer)
    else:
        factors = (1 + slope * warmer, 1 + _GAS_LAW_PER_K * warmer, 1.0)
    ratio = conditions.pressure_pa / STANDARD_ATMOSPHERE
    rho = float(gas.density_at_pressure(grade.free_rise_density_kg_m3, ratio))
    low, nominal, high = sorted(factors)
    return Range(rho * low * (1 - grade.density_spread), rho * nominal, rho * high * (1 + grade.density_spread))


def notes_of(foam: FoamAtShop) -> list[Finding]:
    """What the day's temperatures and air pressure do to the foam."""
    grade, shop, rho = foam.grade, foam.conditions, foam.free_rise_density_kg_m3
    data_k, base, out = grade.reference_temperature_k, grade.free_rise_density_kg_m3, []
    warmer = shop.parts_k - data_k
    change: dict[str, Value] = {"parts_k": shop.parts_k, "data_k": data_k, "density_share": rho.nominal / base - 1}
    times: dict[str, Value] = {
        "cream_s": foam.cream_s,
        "data_cream_s": grade.cream_s,
        "rise_end_s": foam.rise_end_s,
        "data_rise_end_s": grade.rise_end_s,
    }
    if warmer < -_TOLD_FROM_K:
        most = rho.high / base / (1 + grade.density_spread) - 1
        out.append(finding(Code.LIQUIDS_COLD, **change, most_share=most, **times))
    elif warmer > _TOLD_FROM_K:
        out.append(finding(Code.LIQUIDS_HOT, **change, **times))
    low, high = _USUAL_K
    if not low <= shop.parts_k <= high:
        out.append(finding(Code.LIQUIDS_UNUSUAL, parts_k=shop.parts_k, low_k=low, high_k=high))
    if shop.skin_k < low:
        out.append(finding(Code.SKIN_COLD, skin_k=shop.skin_k))
    if abs(shop.pressure_pa / STANDARD_ATMOSPHERE - 1) > 0.03:
        out.append(finding(Code.AIR_PRESSURE, pressure_pa=shop.pressure_pa))
    return out


def _both(kelvin: float) -> str:
    celsius = kelvin - ZERO_CELSIUS_K
    return f"{celsius:.0f} °C ({celsius * 1.8 + 32:.0f} °F)"
