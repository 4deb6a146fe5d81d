"""From [foam] to a grade: a generic one, with the shop's own data sheet and packing on top."""

from __future__ import annotations

from dataclasses import replace

from pourwright.errors import JobError
from pourwright.foam import (
    FoamGrade,
    Sides,
    grade_from_sheet,
    grade_names,
    grade_of_density,
    load_grade,
    mix_by_volume_from_weight,
    with_chemistry,
)
from pourwright.intake.foam_table import SHEET_FIELDS, FoamTable, SheetTable
from pourwright.sources import Cited, Standing


def grade_of(foam: FoamTable) -> tuple[FoamGrade, tuple[str, ...]]:
    """The grade a job asks for, and what was assumed about it in words.

    Raises
    ------
    JobError
        An unknown grade, or values that contradict each other.
    """
    grade = _generic(foam)
    if foam.sheet is None:
        words: tuple[str, ...] = (
            f"the grade's generic values stand in for a data sheet ({grade.name}); the supplier's sheet is better",
        )
    else:
        grade, words = _with_sheet(grade, foam.sheet), ()
    return replace(_with_packing(grade, foam), sides=_sides(foam)), words


def _sides(foam: FoamTable) -> Sides:
    """The words of the drums; both or neither, and told apart."""
    plain = Sides()
    for name, given, other in (("part_b", foam.part_b, foam.part_a), ("part_a", foam.part_a, foam.part_b)):
        if given is None and other is not None:
            raise JobError(f"foam.{name}", None, f'give it too, as its drum says, beside "{other}"')
    sides = Sides(foam.part_a or plain.a, foam.part_b or plain.b)
    if sides.a.casefold() == sides.b.casefold():
        raise JobError("foam.part_b", sides.b, "must not be the same as foam.part_a: the two are told apart by it")
    return sides


def _generic(foam: FoamTable) -> FoamGrade:
    allowed = f"must be one of {', '.join(grade_names())}, or give foam.density for any other"
    if foam.density is not None:
        if foam.grade is not None:
            raise JobError("foam.density", f"{foam.density:g} kg/m3", "give an example grade or a density, not both")
        return grade_of_density(foam.density)
    if foam.grade is None:
        raise JobError("foam.grade", None, allowed)
    if foam.grade not in grade_names():
        raise JobError("foam.grade", foam.grade, allowed)
    return load_grade(foam.grade)


def _with_sheet(grade: FoamGrade, sheet: SheetTable) -> FoamGrade:
    values = {field: value for key, field in SHEET_FIELDS.items() if (value := getattr(sheet, key)) is not None}
    if sheet.mix_by_volume is not None and sheet.mix_by_weight is not None:
        raise JobError("foam.sheet.mix_by_weight", list(sheet.mix_by_weight), "give the mix by volume or by weight")
    if sheet.mix_by_volume is not None:
        values["mix_a_by_volume"], values["mix_b_by_volume"] = sheet.mix_by_volume
    elif sheet.mix_by_weight is not None:
        values["mix_a_by_volume"], values["mix_b_by_volume"] = mix_by_volume_from_weight(
            *sheet.mix_by_weight,
            values.get("part_a_density_kg_m3", grade.part_a_density_kg_m3),
            values.get("part_b_density_kg_m3", grade.part_b_density_kg_m3),
        )
    if sheet.nco is None and (sheet.hydroxyl is not None or sheet.water is not None):
        raise JobError("foam.sheet.nco", None, "a hydroxyl number or water give a heat only with the NCO content")
    if sheet.nco is not None and sheet.heat is not None:
        raise JobError("foam.sheet.nco", sheet.nco, "give the heat, or what it follows from, not both")
    try:
        out = grade_from_sheet(grade, values, sheet.reference)
        if sheet.nco is None:
            return out
        hydroxyl = None if sheet.hydroxyl is None else sheet.hydroxyl / 1000
        return with_chemistry(out, sheet.nco, hydroxyl, sheet.water, sheet.reference)
    except JobError as error:
        raise _renamed(error) from None


def _renamed(error: JobError) -> JobError:
    """The same error with the keys that the job file uses instead of the grade's fields."""
    key, allowed = error.key, error.allowed
    for ours, field in sorted(SHEET_FIELDS.items(), key=lambda pair: -len(pair[1])):
        key = key.replace(f"foam.sheet.{field}", f"foam.sheet.{ours}")
        allowed = allowed.replace(field, ours)
    return JobError(key, error.given, allowed)


def _with_packing(grade: FoamGrade, foam: FoamTable) -> FoamGrade:
    given = {name: value for name in ("packing", "open_packing") if (value := getattr(foam, name)) is not None}
    if not given:
        return grade
    cited = {name: Cited(value, "-", Standing.JOB) for name, value in given.items()}
    packed = replace(grade, cited={**grade.cited, **cited}, **given)
    if packed.open_packing > packed.packing:
        key = "open_packing" if "open_packing" in given else "packing"
        raise JobError(
            f"foam.{key}",
            given[key],
            f"a free surface packs no more than a closed cap: open_packing ({packed.open_packing:g}) must be at most "
            f"packing ({packed.packing:g})",
        )
    return packed
