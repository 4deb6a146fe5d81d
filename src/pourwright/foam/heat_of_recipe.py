"""One heat per recipe, as likely value and standard deviation: from a data sheet's chemistry, and as a rise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pourwright.errors import JobError
from pourwright.foam.grade import FoamGrade
from pourwright.foam.reaction import CO2_MOLAR_MASS, DISSOLVED_CO2
from pourwright.physics import kinetics, recipe, yields
from pourwright.physics.constants import STANDARD_ATMOSPHERE
from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

HEAT_FIELDS = ("heat_j_kg", "heat_sd_j_kg", "specific_heat_j_kgk", "specific_heat_sd_j_kgk")

GELLING_HEAT = Cited(
    76e3, "J/mol", Standing.JUDGEMENT, spread=0.09,
    note="OH with NCO: fitted 68.5, 70.75 and 74.9 kJ/mol, calorimetric 93.9, all from memory",
)  # fmt: skip
WATER_HEAT = Cited(
    93e3, "J/mol", Standing.JUDGEMENT, spread=0.09,
    note="water with NCO: fitted 81.5, 86.0 and 86.0 kJ/mol, calorimetric 125.5, all from memory",
)  # fmt: skip
"""Molar heats; their spread is one deviation, common to both."""
INDEX = Cited(1.05, "-", Standing.JUDGEMENT, spread=0.03, note="NCO over what it finds to react with; deviation 0.03")
BLOWING_SD = Cited(0.2, "-", Standing.JUDGEMENT, note="deviation of the water where the density tells it")
COMPOSITION_SD = Cited(0.03, "-", Standing.JUDGEMENT, note="deviation of the heat by the sheet's own tolerances")
SHEET_SD = Cited(0.05, "-", Standing.JUDGEMENT, note="deviation of a heat or specific heat that a data sheet states")
CORRELATION = Cited(
    0.1, "-", Standing.JUDGEMENT,
    note="of heat and specific heat: fitted heats follow the specific heat they were fitted with, calorimetric ones do "
    "not; more would leave the highest reported temperature, 198 degC, outside the band",
)  # fmt: skip
USUAL_NCO = Cited(0.315, "-", Standing.MEMORY, note="polymeric MDI, NCO by weight")
RESIN_OF_3_LB = Cited(0.3172, "-", Standing.COMPUTED, note="balances 31.5 % NCO and 0.6 mol/kg of water to index 1.05")
PROBABLE = 1.959964
"""Standard deviations on either side of the mean that hold 95 % of a normal distribution."""


def rise_of(grade: FoamGrade) -> Range:
    """Adiabatic rise [K]: likely, and the ends between which it lies with 95 %."""
    likely, spread = grade.heat_j_kg / grade.specific_heat_j_kgk, PROBABLE * grade.rise_sd_k
    return Range(max(0.0, likely - spread), likely, likely + spread)


def rise_spread(heat: float, heat_sd: float, specific_heat: float, specific_heat_sd: float) -> Cited:
    """Standard deviation of the rise [K] from those of heat and specific heat.

    >>> round(rise_spread(255e3, 25e3, 1750.0, 100.0).value, 1)
    15.8
    """
    value = recipe.ratio_deviation(heat, heat_sd, specific_heat, specific_heat_sd, CORRELATION.value)
    note = f"standard deviation of heat over specific heat, correlated by {CORRELATION.value:g} (our judgement)"
    return Cited(float(value), "K", Standing.COMPUTED, note=note)


def with_spreads(base: FoamGrade, changed: dict[str, Any], cited: dict[str, Cited]) -> None:
    """Add to a data sheet's values the spreads that go with its heat and specific heat, and that of the rise."""
    for name in ("heat_j_kg", "specific_heat_j_kgk"):
        spread = name.replace("_j_", "_sd_j_")
        if name in changed and spread not in changed:
            changed[spread] = SHEET_SD.value * changed[name]
            cited[spread] = replace(SHEET_SD, value=changed[spread], unit=cited[name].unit)
    if any(name in changed for name in HEAT_FIELDS):
        now = [changed.get(name, getattr(base, name)) for name in HEAT_FIELDS]
        cited["rise_sd_k"] = rise_spread(*now)
        changed["rise_sd_k"] = cited["rise_sd_k"].value


def with_rise(grade: FoamGrade, rise_k: float, sd_k: float, cited: Cited) -> FoamGrade:
    """The grade with a known rise and its deviation [K]; the specific heat stays, the heat follows."""
    heat = rise_k * grade.specific_heat_j_kgk
    sources = {
        **grade.cited,
        "heat_j_kg": replace(cited, value=heat, unit="J/kg", note=f"rise of {rise_k:.1f} K; {cited.note}"),
        "heat_sd_j_kg": replace(cited, value=sd_k * grade.specific_heat_j_kgk, unit="J/kg"),
        "rise_sd_k": replace(cited, value=sd_k, unit="K"),
    }
    return replace(grade, heat_j_kg=heat, heat_sd_j_kg=sd_k * grade.specific_heat_j_kgk, rise_sd_k=sd_k, cited=sources)


def with_chemistry(
    grade: FoamGrade, nco_share: float, hydroxyl: float | None, water_share: float | None, reference: str
) -> FoamGrade:
    """The grade with the heat of its recipe.

    Parameters
    ----------
    grade : FoamGrade
        With mix ratio and densities of its parts.
    nco_share : float
        NCO per weight of part A.
    hydroxyl : float, optional
        Hydroxyl number of part B without its water, as a share (400 mg KOH/g is 0.4). Without it the recipe is taken
        as balanced to `INDEX`.
    water_share : float, optional
        Water per weight of part B; without it, what blows the grade's density by itself.
    reference : str
        The data sheet.

    Returns
    -------
    FoamGrade

    Raises
    ------
    JobError
        ``foam.sheet.nco``: too little NCO for the water.
    """
    a = grade.mix_a_by_volume * grade.part_a_density_kg_m3
    b = grade.mix_b_by_volume * grade.part_b_density_kg_m3
    nco = recipe.nco_amount(a / (a + b), nco_share)
    water = _blowing_water(grade) if water_share is None else recipe.water_amount(b / (a + b), water_share)
    if hydroxyl is None:
        oh, how = nco / INDEX.value - 2 * water, f"balanced to index {INDEX.value:g}"
        other = INDEX.spread * nco / INDEX.value**2 * GELLING_HEAT.value
    else:
        oh, how, other = recipe.hydroxyl_amount(b / (a + b), hydroxyl), f"hydroxyl number {1e3 * hydroxyl:.4g}", 0.0
    gelling = recipe.gelling_amount(oh, nco, water)
    if gelling <= 0:
        raise JobError("foam.sheet.nco", nco_share, f"leaves none for the resin beside {water:.2f} mol of water a kg")
    heat = recipe.reaction_heat(gelling, water, GELLING_HEAT.value, WATER_HEAT.value)
    if water_share is None:  # another agent may blow a part of the foam
        doubt = BLOWING_SD.value * water * (2 * GELLING_HEAT.value - WATER_HEAT.value)
        other = (other**2 + doubt**2) ** 0.5
    spread = ((GELLING_HEAT.spread**2 + COMPOSITION_SD.value**2) * heat**2 + other**2) ** 0.5
    note = (
        f"{nco:.3g} mol NCO, {water:.3g} mol water a kg, {how}; {GELLING_HEAT.value / 1e3:g} and "
        f"{WATER_HEAT.value / 1e3:g} kJ/mol (our judgement)"
    )
    cited = {
        **grade.cited,
        "heat_j_kg": Cited(heat, "J/kg", Standing.COMPUTED, reference, note=note),
        "heat_sd_j_kg": Cited(spread, "J/kg", Standing.COMPUTED, reference, note="standard deviation"),
    }
    values: Mapping[str, float] = {name: getattr(grade, name) for name in HEAT_FIELDS} | {
        "heat_j_kg": heat, "heat_sd_j_kg": spread,
    }  # fmt: skip
    cited["rise_sd_k"] = rise_spread(*(values[name] for name in HEAT_FIELDS))
    return replace(grade, heat_j_kg=heat, heat_sd_j_kg=spread, rise_sd_k=cited["rise_sd_k"].value, cited=cited)


def _blowing_water(grade: FoamGrade) -> float:
    """Moles of water per kilogram of liquids whose gas blows the grade's free-rise density at its peak."""
    liquid = yields.mixed_density(
        grade.mix_a_by_volume, grade.part_a_density_kg_m3, grade.mix_b_by_volume, grade.part_b_density_kg_m3
    )
    hot = grade.reference_temperature_k + grade.heat_j_kg / grade.specific_heat_j_kgk
    free = kinetics.gas_in_foam(grade.free_rise_density_kg_m3, hot, STANDARD_ATMOSPHERE, liquid, CO2_MOLAR_MASS)
    return float(free + DISSOLVED_CO2) / CO2_MOLAR_MASS


def recipe_note(grade: FoamGrade) -> str:
    """What stoichiometry says of a water-blown recipe of the grade's density: the ends of a fair range, in words."""
    water = _blowing_water(grade)
    a = grade.mix_a_by_volume * grade.part_a_density_kg_m3
    b = grade.mix_b_by_volume * grade.part_b_density_kg_m3
    nco = recipe.nco_amount(a / (a + b), USUAL_NCO.value)
    resin = recipe.hydroxyl_amount(b / (a + b), RESIN_OF_3_LB.value)
    heats = sorted(
        recipe.reaction_heat(recipe.gelling_amount(oh, nco, water), water, GELLING_HEAT.value, WATER_HEAT.value) / 1e3
        for oh in (nco / INDEX.value - 2 * water, resin)
    )
    return (
        f"By its recipe, {100 * USUAL_NCO.value:g} % NCO gives {nco:.3g} mol NCO a kg, water alone blows this density "
        f"with {water:.2f} mol a kg, and {GELLING_HEAT.value / 1e3:g} and {WATER_HEAT.value / 1e3:g} kJ/mol (our "
        f"judgement) give {heats[0]:.0f} to {heats[1]:.0f} kJ/kg: resin of the 48 kg/m3 grade, or one balanced to "
        f"index {INDEX.value:g}"
    )
