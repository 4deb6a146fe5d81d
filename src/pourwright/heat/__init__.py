"""Staged heat in the real shape: temperatures of every pour, its skin and its top, and the waits between lifts."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.heat._blocks import AIR, NOTHING
    from pourwright.heat.crop import cell_error
    from pourwright.heat.curve import HeatCurve, s_curve
    from pourwright.heat.grid import FineCells, HeatGrid, halved, heat_grid
    from pourwright.heat.limb import LimbCourse, limb_history
    from pourwright.heat.model import (
        SCORCH_THRESHOLDS_K,
        HeatResult,
        HeatSettings,
        PourHeat,
        PourTemperatures,
        SkinLayer,
        StagedHeat,
        Surroundings,
    )
    from pourwright.heat.moments import FRONT, Moment, Moments, Watcher
    from pourwright.heat.narrow import Narrow, limb_error, narrow_places, with_limbs
    from pourwright.heat.staged import simulate
    from pourwright.heat.waits import AlsoAt, Dose, Wait, WaitPlan, WaitRule, find_waits, kept_and_hotter, kept_waits
else:
    __getattr__ = offered(__name__)

__all__ = [
    "AIR",
    "FRONT",
    "NOTHING",
    "SCORCH_THRESHOLDS_K",
    "AlsoAt",
    "Dose",
    "FineCells",
    "HeatCurve",
    "HeatGrid",
    "HeatResult",
    "HeatSettings",
    "LimbCourse",
    "Moment",
    "Moments",
    "Narrow",
    "PourHeat",
    "PourTemperatures",
    "SkinLayer",
    "StagedHeat",
    "Surroundings",
    "Wait",
    "WaitPlan",
    "WaitRule",
    "Watcher",
    "cell_error",
    "find_waits",
    "halved",
    "heat_grid",
    "kept_and_hotter",
    "kept_waits",
    "limb_error",
    "limb_history",
    "narrow_places",
    "s_curve",
    "simulate",
    "with_limbs",
]
