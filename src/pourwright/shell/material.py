"""Skin materials: data files with a source on every value, and materials given in a job."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from functools import cache
from importlib import resources
from typing import Any

from pourwright.errors import JobError
from pourwright.shell.skin import SkinMaterial
from pourwright.sources import Cited, Standing

UNITS = {
    "density_kg_m3": "kg/m^3",
    "youngs_modulus_pa": "Pa",
    "poisson": "",
    "design_stress_pa": "Pa",
    "heat_limit_k": "K",
    "specific_heat_j_kgk": "J/(kg K)",
    "conductivity_w_mk": "W/(m K)",
    "foam_bonds": "",
}
"""Every value of a material and its SI unit."""

LIMITS = {
    "density_kg_m3": (100.0, 25000.0),
    "youngs_modulus_pa": (1e6, 1e12),
    "poisson": (0.0, 0.499),
    "design_stress_pa": (1e4, 5e9),
    "heat_limit_k": (290.0, 2000.0),
    "specific_heat_j_kgk": (50.0, 5000.0),
    "conductivity_w_mk": (0.01, 500.0),
}
"""Lowest and highest value a job may give; beyond these a unit was mistaken."""


@cache
def _folder() -> dict[str, SkinMaterial]:
    out = {}
    for item in sorted(resources.files("pourwright.shell").joinpath("data").iterdir(), key=lambda p: p.name):
        if item.name.endswith(".toml"):
            table = tomllib.loads(item.read_text(encoding="utf-8"))
            name = item.name.removesuffix(".toml")
            out[name] = _from_table(name, table)
    return out


def _from_table(name: str, table: Mapping[str, Any]) -> SkinMaterial:
    values: dict[str, Any] = {}
    cited: dict[str, Cited] = {}
    for key, unit in UNITS.items():
        row = table[key]
        values[key] = row["value"]
        cited[key] = Cited(
            float(row["value"]),
            unit,
            Standing(row["standing"]),
            row.get("source", ""),
            row.get("locator", ""),
            row.get("spread", 0.0),
            row.get("note", ""),
        )
    return SkinMaterial(name=name, title=table["title"], cited=cited, **values)


def material_names() -> tuple[str, ...]:
    """Names of the materials that come with the program, in alphabetical order."""
    return tuple(_folder())


def skin_material(name: str) -> SkinMaterial:
    """A material that comes with the program.

    Raises
    ------
    JobError
        For a name not in `material_names`.

    Examples
    --------
    >>> skin_material("grp").youngs_modulus_pa
    6500000000.0
    """
    known = _folder()
    if name not in known:
        raise JobError("skin.material", name, f"no such skin material; give one of {', '.join(known)}, or its values.")
    return known[name]


def custom_material(base: str | SkinMaterial, values: Mapping[str, float | bool], reference: str) -> SkinMaterial:
    """A material of the job: ``base`` with some values replaced.

    Parameters
    ----------
    base : str or SkinMaterial
        Where everything not given comes from.
    values : mapping
        Field name of `SkinMaterial` to value, SI.
    reference : str
        Where the values come from, in the job's own words; it is printed.

    Raises
    ------
    JobError
        For an unknown field or a value out of `LIMITS`.

    Examples
    --------
    >>> m = custom_material("grp", {"density_kg_m3": 1500.0}, "laminate weighed in the shop")
    >>> m.density_kg_m3, m.cited["density_kg_m3"].standing.value, m.poisson
    (1500.0, 'given in the job', 0.33)
    """
    start = skin_material(base) if isinstance(base, str) else base
    cited = dict(start.cited)
    known = {f.name for f in fields(SkinMaterial)}
    for key, value in values.items():
        if key not in UNITS or key not in known:
            raise JobError(f"skin.{key}", value, f"not a value of a skin material; those are {', '.join(UNITS)}.")
        if key == "foam_bonds":
            if not isinstance(value, bool):
                raise JobError(f"skin.{key}", value, "say true or false.")
        elif not LIMITS[key][0] <= value <= LIMITS[key][1]:
            low, high = LIMITS[key]
            raise JobError(f"skin.{key}", value, f"must lie between {low:g} and {high:g} {UNITS[key]}; check its unit.")
        cited[key] = Cited(float(value), UNITS[key], Standing.JOB, reference)
    changes: dict[str, Any] = dict(values)
    title = start.title if not changes else f"{start.title}, with values of the job"
    return replace(start, title=title, cited=cited, **changes)
