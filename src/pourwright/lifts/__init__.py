"""Where to stop each pour, what limits it, how many batches, where to pour in and let air out."""

from pourwright.lifts.model import (
    Check,
    Landing,
    Lift,
    LiftPlan,
    Measures,
    Port,
    Pour,
    ShopLimits,
    Unfilled,
    Vent,
)
from pourwright.lifts.plan import plan_lifts

__all__ = [
    "Check",
    "Landing",
    "Lift",
    "LiftPlan",
    "Measures",
    "Port",
    "Pour",
    "ShopLimits",
    "Unfilled",
    "Vent",
    "plan_lifts",
]
