"""Where to stop each pour, what limits it, how many batches, where to pour in and let air out."""

from pourwright.lifts import judged
from pourwright.lifts.by_day import lifts_of_day
from pourwright.lifts.checks import until_measured, verdict
from pourwright.lifts.closing import arrives_by_times, close_holes
from pourwright.lifts.computed import HeatCourse, Measures, RiseCourse, RiseVoid, Shore, SkinBow, VentFlow
from pourwright.lifts.keep import Kept, keep_pours
from pourwright.lifts.limits import (
    batch_cap,
    closing_pressure,
    cooler_liquids,
    landing_limit_k,
    landing_words,
    lift_cap,
    open_pressure,
    packing_of,
    rules_of,
)
from pourwright.lifts.model import (
    Check,
    Closing,
    Landing,
    Lift,
    LiftPlan,
    OneMore,
    Port,
    Pour,
    ShopLimits,
    Tighter,
    Unfilled,
    Vent,
)
from pourwright.lifts.plan import plan_lifts
from pourwright.lifts.vents import holes_for, holes_of

__all__ = [
    "Check",
    "Closing",
    "HeatCourse",
    "Kept",
    "Landing",
    "Lift",
    "LiftPlan",
    "Measures",
    "OneMore",
    "Port",
    "Pour",
    "RiseCourse",
    "RiseVoid",
    "ShopLimits",
    "Shore",
    "SkinBow",
    "Tighter",
    "Unfilled",
    "Vent",
    "VentFlow",
    "arrives_by_times",
    "batch_cap",
    "close_holes",
    "closing_pressure",
    "cooler_liquids",
    "holes_for",
    "holes_of",
    "judged",
    "keep_pours",
    "landing_limit_k",
    "landing_words",
    "lift_cap",
    "lifts_of_day",
    "open_pressure",
    "packing_of",
    "plan_lifts",
    "rules_of",
    "until_measured",
    "verdict",
]
