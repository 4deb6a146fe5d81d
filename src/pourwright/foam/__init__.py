"""How a grade of foam behaves at this temperature: yield, times, heat, strength, and its history in a cup."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.foam.cup import CupCurve, CupTest, refit_from_cup, simulate_cup, with_curve
    from pourwright.foam.fit import CupTimes, fit_reaction
    from pourwright.foam.grade import Conditions, FoamAtShop, FoamGrade, Parts, Sides
    from pourwright.foam.heat_of_recipe import PROBABLE, rise_of, with_chemistry, with_rise
    from pourwright.foam.library import (
        DENSITIES_KG_M3,
        grade_from_sheet,
        grade_names,
        grade_of_density,
        load_grade,
        sheet_fields,
    )
    from pourwright.foam.measured_rise import (
        DIFFUSIVITY_SD,
        OWN_SD,
        SHARED_SD,
        kept_share,
        updated_diffusivity,
        updated_rise,
        with_diffusivity,
        with_readings,
    )
    from pourwright.foam.reaction import Reaction, reference_reaction
    from pourwright.foam.shop import at_conditions, mix_by_volume_from_weight, parts_for
else:
    __getattr__ = offered(__name__)

__all__ = [
    "DENSITIES_KG_M3",
    "DIFFUSIVITY_SD",
    "OWN_SD",
    "PROBABLE",
    "SHARED_SD",
    "Conditions",
    "CupCurve",
    "CupTest",
    "CupTimes",
    "FoamAtShop",
    "FoamGrade",
    "Parts",
    "Reaction",
    "Sides",
    "at_conditions",
    "fit_reaction",
    "grade_from_sheet",
    "grade_names",
    "grade_of_density",
    "kept_share",
    "load_grade",
    "mix_by_volume_from_weight",
    "parts_for",
    "reference_reaction",
    "refit_from_cup",
    "rise_of",
    "sheet_fields",
    "simulate_cup",
    "updated_diffusivity",
    "updated_rise",
    "with_chemistry",
    "with_curve",
    "with_diffusivity",
    "with_readings",
    "with_rise",
]
