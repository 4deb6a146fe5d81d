"""[piece]: the shell file, how it stands and what its skin is made of."""

from __future__ import annotations

from typing import Annotated

from pourwright import units
from pourwright.intake.fields import (
    Direction,
    Due,
    DueChoice,
    DueName,
    DueNumber,
    Flag,
    Name,
    Reference,
    Table,
    key,
    needed,
    taken,
)
from pourwright.shell import SkinKind
from pourwright.units import show

KINDS = tuple(kind.value for kind in SkinKind)
UNITS = ("mm", "cm", "in", "ft", "m")


class MaterialValues(Table):
    """Values of the skin that replace those of the named material, with where they come from."""

    reference: Reference = needed("where these values stand: a data sheet, a test, a weighing")
    density: Annotated[float | None, key(Due(units.DENSITY, show.density, 100.0, 25000.0))] = taken(None, "density")
    stiffness: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 1e6, 1e12))] = taken(
        None, "Young's modulus in bending"
    )
    poisson: Annotated[float | None, key(DueNumber(0.0, 0.499))] = taken(None, "Poisson's ratio")
    design_stress: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 1e4, 5e9))] = taken(
        None, "greatest stress that is allowed in the skin while the foam rises"
    )
    short_term_stress: Annotated[float | None, key(Due(units.PRESSURE, show.pressure, 1e4, 5e9))] = taken(
        None, "its earlier name; still read"
    )
    heat_limit: Annotated[float | None, key(Due(units.TEMPERATURE, show.temperature, 290.0, 2000.0))] = taken(
        None, "hottest the skin may get"
    )
    specific_heat: Annotated[float | None, key(Due(units.SPECIFIC_HEAT, show.specific_heat, 50.0, 5000.0))] = taken(
        None, "specific heat"
    )
    conductivity: Annotated[float | None, key(Due(units.CONDUCTIVITY, show.conductivity, 0.01, 500.0))] = taken(
        None, "heat conductivity"
    )
    foam_bonds: Flag | None = taken(None, "whether foam sticks to the inside face as it is")


MATERIAL_FIELDS = {
    "density": "density_kg_m3",
    "stiffness": "youngs_modulus_pa",
    "poisson": "poisson",
    "design_stress": "design_stress_pa",
    "heat_limit": "heat_limit_k",
    "specific_heat": "specific_heat_j_kgk",
    "conductivity": "conductivity_w_mk",
    "foam_bonds": "foam_bonds",
}
"""Key of the job file to field of the skin material."""


UP_TAKEN = 'up taken as "+z"'
"""What a plan says where the job does not say which way is up."""


class PieceTable(Table):
    """The piece: its shell file, how it stands, what its skin is made of."""

    name: Name | None = taken(None, "what the piece is called; the shell file's name if left out")
    place: Annotated[str, key(DueName())] = taken("", "where it will stand or hang")
    shell: Annotated[str, key(DueName(500))] = needed(
        "the shell file, in the job file's folder or below it (STL, OBJ, PLY, GLB, 3MF or OFF)"
    )
    unit: Annotated[str | None, key(DueChoice(UNITS))] = taken(
        None, "unit of the shell file's numbers; may be left out where the file states its own"
    )
    kind: Annotated[str | None, key(DueChoice(KINDS))] = taken(
        None, "what the mesh shows: its outside face, both faces of the wall, or an outside with open rims"
    )
    material: Name = taken(
        "grp",
        "skin material by name; `pourwright materials` lists them",
        'skin material taken as "grp" (hand-laid glass-fibre polyester)',
    )
    material_values: MaterialValues | None = taken(None, "own values of the skin")
    up: Direction = taken((0.0, 0.0, 1.0), "which way is up while pouring, in the shell file's axes", UP_TAKEN)
    front: Direction = taken(
        (0.0, -1.0, 0.0), "from the piece towards the reader, in the shell file's axes", 'front taken as "-y"'
    )
    support: Annotated[str, key(DueChoice(("free", "held")))] = taken(
        "free",
        "free: the skin stands by itself while the foam rises; held: it sits in a mould or cradle",
        'skin taken as "free": nothing holds it from outside while the foam rises',
    )
