"""Where to stop each pour, what limits it, how many batches, where to pour in and let air out."""

from pourwright.lifts import judged
from pourwright.lifts.checks import verdict
from pourwright.lifts.computed import HeatCourse, Measures, RiseCourse, RiseVoid, Shore, SkinBow, VentFlow
from pourwright.lifts.keep import Kept, keep_pours
from pourwright.lifts.limits import (
    closing_pressure,
    cooler_liquids,
    landing_limit_k,
    landing_words,
    lift_cap,
    open_pressure,
    rules_of,
)
from pourwright.lifts.model import (
    Check,
    Landing,
    Lift,
    LiftPlan,
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
    "HeatCourse",
    "Kept",
    "Landing",
    "Lift",
    "LiftPlan",
    "Measures",
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
    "closing_pressure",
    "cooler_liquids",
    "holes_for",
    "holes_of",
    "judged",
    "keep_pours",
    "landing_limit_k",
    "landing_words",
    "lift_cap",
    "open_pressure",
    "plan_lifts",
    "rules_of",
    "verdict",
]
