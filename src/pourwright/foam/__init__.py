"""How a grade of foam behaves at this temperature: yield, times, heat, strength."""

from pourwright.foam.grade import Conditions, FoamAtShop, FoamGrade, Parts
from pourwright.foam.library import grade_from_sheet, grade_names, load_grade, sheet_fields
from pourwright.foam.shop import at_conditions, mix_by_volume_from_weight, parts_for

__all__ = [
    "Conditions",
    "FoamAtShop",
    "FoamGrade",
    "Parts",
    "at_conditions",
    "grade_from_sheet",
    "grade_names",
    "load_grade",
    "mix_by_volume_from_weight",
    "parts_for",
    "sheet_fields",
]
