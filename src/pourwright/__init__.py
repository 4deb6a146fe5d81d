"""Pourwright plans the staged backfill of a hollow shell with two-part pour-in-place rigid polyurethane foam.

What is promised to those who write programs with it is offered here, by name (docs/api.md); all else may change.
"""

from typing import TYPE_CHECKING

from pourwright.rooms import offered
from pourwright.version import VERSION

if TYPE_CHECKING:
    from pourwright.cavity import Cavity
    from pourwright.document.model import PlanDocument
    from pourwright.document.plan_json import plan_json
    from pourwright.document.read_json import read_plan_json as read_plan
    from pourwright.document.read_plan import piece_of, surface_of
    from pourwright.draw.lifts import draw_plan
    from pourwright.errors import (
        CavityError,
        FileError,
        JobError,
        LimitError,
        PourwrightError,
        ShellError,
        UsageError,
    )
    from pourwright.foam import Conditions, FoamAtShop, FoamGrade, at_conditions, grade_names, load_grade
    from pourwright.hanging import hang
    from pourwright.intake import job_from_shell, read_job
    from pourwright.lifts import Check, Lift, Port, Pour, Vent
    from pourwright.outcome import Outcome, Piece, refusals, sling, stand, unknowns
    from pourwright.plan import Job, LiftPlan, Plan, make_plan
    from pourwright.ranges import Range
    from pourwright.report.folder import write_plan
    from pourwright.report.sheet import sheet_html
    from pourwright.shell import ShellReport, Skin, SkinMaterial, material_names, skin_material
    from pourwright.shell import shell_report as check_shell
    from pourwright.turn import find_ways
    from pourwright.water import afloat
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Cavity",
    "CavityError",
    "Check",
    "Conditions",
    "FileError",
    "FoamAtShop",
    "FoamGrade",
    "Job",
    "JobError",
    "Lift",
    "LiftPlan",
    "LimitError",
    "Outcome",
    "Piece",
    "Plan",
    "PlanDocument",
    "Port",
    "Pour",
    "PourwrightError",
    "Range",
    "ShellError",
    "ShellReport",
    "Skin",
    "SkinMaterial",
    "UsageError",
    "Vent",
    "__version__",
    "afloat",
    "at_conditions",
    "check_shell",
    "draw_plan",
    "find_ways",
    "grade_names",
    "hang",
    "job_from_shell",
    "load_grade",
    "make_plan",
    "material_names",
    "piece_of",
    "plan_json",
    "read_job",
    "read_plan",
    "refusals",
    "sheet_html",
    "skin_material",
    "sling",
    "stand",
    "surface_of",
    "unknowns",
    "write_plan",
]
__version__ = VERSION
