"""Tables and JSON of what comes with the program (grades, materials) and of what a shell file holds."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.document.rounding import rounded
from pourwright.document.values import known, point
from pourwright.findings import Severity
from pourwright.plaintext import escaped_json
from pourwright.sources import Standing

if TYPE_CHECKING:
    from pourwright.foam import FoamGrade
    from pourwright.shell import ShellReport, SkinMaterial

_OTHER_UNITS: dict[str, Callable[[float], str]] = {
    "J/(kg K)": units.specific_heat,
    "W/(m K)": units.conductivity,
    "J/kg": units.heat,
}


def grades_table(grades: Sequence[FoamGrade]) -> Table:
    """One row a grade: what a person chooses by."""
    table = _table(
        "Grade", "Free rise", "Expands", "Cream", "Gel", "Warms itself by", "Largest lift", "Compressive strength"
    )
    for grade in grades:
        judged = " *" if grade.max_lift_is_judgement else ""
        cells = (
            grade.name,
            units.density(grade.free_rise_density_kg_m3),
            f"{units.digits(_expansion(grade))} times",
            units.time(grade.cream_s),
            units.time(grade.gel_s),
            _rise(grade),
            units.length(grade.max_lift_m) + judged,
            units.pressure(grade.compressive_strength_pa),
        )
        table.add_row(*(Text(cell) for cell in cells))
    table.caption = (
        "* our judgement, no published source. How far foam warms itself where no heat leaves it: 95 % lie between. "
        "pourwright grades GRADE shows the source of every value."
    )
    table.caption_justify = "left"
    return table


def _rise(grade: FoamGrade) -> str:
    """Ends of the rise, with a mark where its heat is our judgement."""
    from pourwright.foam import rise_of  # with what solves its history: nothing of that is in a shell file

    rise = rise_of(grade)
    kelvin, fahrenheit = (f"{times * rise.low:.0f} to {times * rise.high:.0f}" for times in (1.0, 1.8))
    judged = " *" if grade.cited["heat_j_kg"].standing is Standing.JUDGEMENT else ""
    return f"{kelvin} K ({fahrenheit} °F){judged}"


def materials_table(materials: Sequence[SkinMaterial]) -> Table:
    """One row a material."""
    table = _table("Material", "Title", "Density", "Stiffness", "Heat limit", "Foam bonds")
    for material in materials:
        cells = (
            material.name,
            material.title,
            units.density(material.density_kg_m3),
            units.pressure(material.youngs_modulus_pa),
            units.temperature(material.heat_limit_k),
            "yes" if material.foam_bonds else "no",
        )
        table.add_row(*(Text(cell) for cell in cells))
    table.caption = "pourwright materials MATERIAL shows the source of every value."
    table.caption_justify = "left"
    return table


def cited_table(item: FoamGrade | SkinMaterial) -> RenderableType:
    """Every value of a grade or a material with its source."""
    table = _table("Value", "", "How known", "Note")
    for name, cited in sorted(item.cited.items()):
        shown = ("yes" if cited.value else "no") if name == "foam_bonds" else _shown(name, cited.value, cited.unit)
        table.add_row(Text(name), Text(shown), Text(cited.words()), Text(cited.note))
    return Group(Text(f"{item.name}: {item.title}", style="bold"), Text(), table)


def cited_json(items: Sequence[FoamGrade | SkinMaterial]) -> str:
    """The same for all ``items`` as JSON."""
    tree = [
        {
            "name": item.name,
            "title": item.title,
            "values": {
                name: {"value": known(cited.value), "unit": cited.unit, "how_known": cited.words(), "note": cited.note}
                for name, cited in sorted(item.cited.items())
            },
        }
        for item in items
    ]
    return _json(tree)


def report_table(report: ShellReport) -> RenderableType:
    """What a shell file holds."""
    size = [float(high - low) for low, high in zip(report.low_m, report.high_m, strict=True)]
    x, y, z = (units.length(side) for side in size)
    lines = [
        ("size", f"x {x}, y {y}, z {z}, read in {report.unit}"),
        (
            "mesh",
            f"{report.triangles} triangles, {report.bodies} in the file, {report.pieces} connected surfaces, "
            f"{'closed' if report.closed else 'not closed'}",
        ),
        ("kind", f"{report.kind.value}: {units.in_both(report.kind_reason)}"),
        ("outside", f"{units.area(report.area_m2)}, encloses {units.volume(report.enclosed_m3)}"),
    ]
    lines += [(opening.name, f"{units.area(opening.area_m2)}, capped flat for the plan") for opening in report.openings]
    lines += [
        (finding.severity, units.in_both(finding.words))
        for finding in report.findings
        if finding.severity != Severity.REFUSAL
    ]
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True, style="dim")
    table.add_column()
    for name, words in lines:
        table.add_row(Text(name), Text(words))
    parts: list[RenderableType] = [Text(report.source, style="bold"), table]
    if report.can_plan:
        parts.append(Text("It can be planned.", style="bold green"))
    else:
        parts += [
            Text("It cannot be planned:", style="bold red"),
            *(Text(f"- {units.in_both(why)}") for why in report.reasons),
        ]
    return Group(*parts)


def report_json(report: ShellReport) -> str:
    """The same as JSON."""
    tree = {
        "schema": "pourwright.check/1",
        "file": report.source,
        "sha256": report.sha256,
        "unit": report.unit,
        "triangles": report.triangles,
        "bodies": report.bodies,
        "pieces": report.pieces,
        "watertight": bool(report.closed),
        "low_m": point(report.low_m),
        "high_m": point(report.high_m),
        "area_m2": known(report.area_m2),
        "enclosed_m3": known(report.enclosed_m3),
        "kind": report.kind.value,
        "kind_reason": report.kind_reason,
        "openings": [
            {"name": o.name, "centroid_m": point(o.centroid_m), "area_m2": o.area_m2} for o in report.openings
        ],
        "findings": [{"severity": f.severity, "name": f.name, "words": f.words} for f in report.findings],
        "can_plan": bool(report.can_plan),
        "reasons": list(report.reasons),
    }
    return _json(tree)


def _json(tree: Any) -> str:
    return escaped_json(json.dumps(rounded(tree), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def _expansion(grade: FoamGrade) -> float:
    from pourwright.foam import Conditions, at_conditions

    reference = grade.reference_temperature_k
    return at_conditions(grade, Conditions(reference, reference, reference)).expansion.nominal


def _shown(name: str, value: float, unit: str) -> str:
    if unit == "K" and name.endswith("_sd_k"):  # of a rise: no temperature, but degrees between two
        return units.difference(value)
    if unit in _OTHER_UNITS:
        return _OTHER_UNITS[unit](value)
    if unit in ("", "-"):
        return units.plain(value)
    return units.by_unit(value, unit.replace("kg/m3", "kg/m^3").replace("/(kg K)", "/kg/K").replace("/(m K)", "/m/K"))


def _table(*heads: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 2, 0, 0))
    for head in heads:
        table.add_column(head, overflow="fold")
    return table
