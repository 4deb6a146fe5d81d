"""Where to stop each pour, what limits it, how many batches, where to pour in and let air out."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.access import KeepOut
    from pourwright.lifts import judged
    from pourwright.lifts.by_day import lifts_of_day
    from pourwright.lifts.checks import at_once_of, cup_empty_s, moving_s, pourers, until_measured, verdict
    from pourwright.lifts.closing import arrives_by_times, close_holes
    from pourwright.lifts.judged import LEAST_HOLE
    from pourwright.lifts.keep import Kept, KeptLifts, keep_pours
    from pourwright.lifts.limits import (
        COLDEST_LIQUIDS_K,
        batch_cap,
        closing_pressure,
        cooler_liquids,
        empty_s,
        in_time_m3,
        lift_cap,
        open_pressure,
        packing_of,
        rules_of,
        surface_under_limit_k,
        surface_under_words,
    )
    from pourwright.lifts.model import (
        Check,
        Closing,
        Division,
        EvenBands,
        HoleRules,
        Landing,
        Lift,
        Measures,
        OneMore,
        Port,
        Pour,
        ShopLimits,
        Tighter,
        Tube,
        Unfilled,
        Vent,
    )
    from pourwright.lifts.mouths import port_mouth, vent_mouth
    from pourwright.lifts.plan import plan_lifts
    from pourwright.lifts.vents import holes_for, holes_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "COLDEST_LIQUIDS_K",
    "LEAST_HOLE",
    "Check",
    "Closing",
    "Division",
    "EvenBands",
    "HoleRules",
    "KeepOut",
    "Kept",
    "KeptLifts",
    "Landing",
    "Lift",
    "Measures",
    "OneMore",
    "Port",
    "Pour",
    "ShopLimits",
    "Tighter",
    "Tube",
    "Unfilled",
    "Vent",
    "arrives_by_times",
    "at_once_of",
    "batch_cap",
    "close_holes",
    "closing_pressure",
    "cooler_liquids",
    "cup_empty_s",
    "empty_s",
    "holes_for",
    "holes_of",
    "in_time_m3",
    "judged",
    "keep_pours",
    "lift_cap",
    "lifts_of_day",
    "moving_s",
    "open_pressure",
    "packing_of",
    "plan_lifts",
    "port_mouth",
    "pourers",
    "rules_of",
    "surface_under_limit_k",
    "surface_under_words",
    "until_measured",
    "vent_mouth",
    "verdict",
]
