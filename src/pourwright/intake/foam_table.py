"""[foam]: the grade, and the values of its own data sheet where the shop has one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pourwright import units
from pourwright.foam import DENSITIES_KG_M3, sheet_fields
from pourwright.intake.fields import (
    Due,
    DueName,
    DueNumber,
    DueShare,
    MixParts,
    Name,
    Reference,
    Table,
    key,
    needed,
    taken,
)
from pourwright.units import Kind, show

SHEET_FIELDS = {
    "density": "free_rise_density_kg_m3",
    "density_spread": "density_spread",
    "part_a_density": "part_a_density_kg_m3",
    "part_b_density": "part_b_density_kg_m3",
    "temperature": "reference_temperature_k",
    "cream": "cream_s",
    "gel": "gel_s",
    "tack_free": "tack_free_s",
    "rise_end": "rise_end_s",
    "lift": "max_lift_m",
    "compressive_strength": "compressive_strength_pa",
    "compressive_modulus": "compressive_modulus_pa",
    "poisson": "poisson",
    "shear_strength": "shear_strength_pa",
    "tensile_strength": "tensile_strength_pa",
    "conductivity": "conductivity_w_mk",
    "specific_heat": "specific_heat_j_kgk",
    "heat": "heat_j_kg",
}
"""Key of the job file to field of the grade."""


def _sheet(kind: Kind, showing: Callable[[float], str], name: str) -> Any:
    low, high, _ = sheet_fields()[SHEET_FIELDS[name]]
    return key(Due(kind, showing, low, high))


SideName = Annotated[str, key(DueName(24))]
_TIME = units.TIME, show.time
_STRENGTH = units.PRESSURE, show.pressure
_LIQUID = units.DENSITY, show.density


class SheetTable(Table):
    """Values of the shop's own data sheet; they replace those of the grade."""

    reference: Reference = needed("which data sheet: its title, issue and date")
    density: Annotated[float | None, _sheet(*_LIQUID, "density")] = taken(None, "free-rise density")
    density_spread: Annotated[float | None, key(DueShare(0.0, 0.5))] = taken(None, "plus or minus share of it")
    part_a_density: Annotated[float | None, _sheet(*_LIQUID, "part_a_density")] = taken(
        None, "density of part A, the isocyanate side"
    )
    part_b_density: Annotated[float | None, _sheet(*_LIQUID, "part_b_density")] = taken(
        None, "density of part B, the resin side"
    )
    mix_by_volume: MixParts | None = taken(None, "parts of A to parts of B by volume")
    mix_by_weight: MixParts | None = taken(None, "parts of A to parts of B by weight, instead of by volume")
    temperature: Annotated[float | None, _sheet(units.TEMPERATURE, show.temperature, "temperature")] = taken(
        None, "temperature at which the times and the density hold"
    )
    cream: Annotated[float | None, _sheet(*_TIME, "cream")] = taken(None, "cream time from the start of mixing")
    gel: Annotated[float | None, _sheet(*_TIME, "gel")] = taken(None, "gel or string time")
    tack_free: Annotated[float | None, _sheet(*_TIME, "tack_free")] = taken(None, "tack-free time")
    rise_end: Annotated[float | None, _sheet(*_TIME, "rise_end")] = taken(None, "end of rise")
    lift: Annotated[float | None, _sheet(units.LENGTH, show.length, "lift")] = taken(None, "largest lift of risen foam")
    compressive_strength: Annotated[float | None, _sheet(*_STRENGTH, "compressive_strength")] = taken(
        None, "compressive strength"
    )
    compressive_modulus: Annotated[float | None, _sheet(*_STRENGTH, "compressive_modulus")] = taken(
        None, "compressive modulus"
    )
    poisson: Annotated[float | None, key(DueNumber(0.0, 0.49))] = taken(None, "Poisson's ratio")
    shear_strength: Annotated[float | None, _sheet(*_STRENGTH, "shear_strength")] = taken(None, "shear strength")
    tensile_strength: Annotated[float | None, _sheet(*_STRENGTH, "tensile_strength")] = taken(None, "tensile strength")
    conductivity: Annotated[float | None, _sheet(units.CONDUCTIVITY, show.conductivity, "conductivity")] = taken(
        None, "conductivity of fresh foam at room temperature"
    )
    specific_heat: Annotated[float | None, _sheet(units.SPECIFIC_HEAT, show.specific_heat, "specific_heat")] = taken(
        None, "specific heat, mean from room to peak temperature"
    )
    heat: Annotated[float | None, _sheet(units.HEAT, show.heat, "heat")] = taken(
        None, "heat of reaction per weight of mixed liquids; else from the three that follow"
    )
    nco: Annotated[float | None, key(DueShare(0.05, 0.5))] = taken(
        None, "NCO content of part A, the isocyanate side, by weight"
    )
    hydroxyl: Annotated[float | None, key(DueNumber(20.0, 1000.0))] = taken(
        None, "hydroxyl number of part B without its water, mg KOH/g; balanced to index 1.05 if left out"
    )
    water: Annotated[float | None, key(DueShare(0.0, 0.1))] = taken(
        None, "water in part B by weight; what blows the density by itself if left out"
    )


class FoamTable(Table):
    """The foam."""

    grade: Name | None = taken(None, "an example grade like rigid-3; `pourwright grades` lists them; or the density")
    density: Annotated[float | None, key(Due(units.DENSITY, show.density, *DENSITIES_KG_M3))] = taken(
        None, "free-rise density of a grade that is no example: what follows from density is moved by published laws"
    )
    part_a: SideName | None = taken(
        None,
        "what the drum of the isocyanate side says, printed in place of part A; suppliers letter the sides differently",
        "part A is the isocyanate side and part B the resin side: check the drums' labels, some suppliers letter them "
        "the other way",
    )
    part_b: SideName | None = taken(None, "what the drum of the resin side says, printed in place of part B")
    packing: Annotated[float | None, key(DueNumber(1.0, 2.0))] = taken(
        None,
        "moulded density (foam over the whole space it fills) / free-rise density, where a closed cap holds the foam; "
        "the grade's if left out",
    )
    open_packing: Annotated[float | None, key(DueNumber(1.0, 2.0))] = taken(
        None, "the same under a free surface; the grade's if left out"
    )
    bond: Annotated[float | None, key(DueShare(0.0, 1.0))] = taken(
        None, "bond of foam to skin, 0 none to 1 full; by the skin material if left out"
    )
    sheet: SheetTable | None = taken(None, "values of the shop's own data sheet")
