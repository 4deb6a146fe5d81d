"""Staged heat in the real shape: temperatures of every pour, its skin and its top, and the waits between lifts."""

from pourwright.heat._blocks import AIR, NOTHING
from pourwright.heat.block import block_grid
from pourwright.heat.crop import cell_error
from pourwright.heat.curve import HeatCurve, cup_heat, s_curve
from pourwright.heat.grid import HeatGrid, halved, heat_grid, node_pours
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
from pourwright.heat.narrow import Narrow, limb_error, narrow_places, with_limbs
from pourwright.heat.staged import likely_and_high, simulate
from pourwright.heat.waits import Dose, Wait, WaitPlan, WaitRule, find_waits, kept_waits

__all__ = [
    "AIR",
    "NOTHING",
    "SCORCH_THRESHOLDS_K",
    "Dose",
    "HeatCurve",
    "HeatGrid",
    "HeatResult",
    "HeatSettings",
    "LimbCourse",
    "Narrow",
    "PourHeat",
    "PourTemperatures",
    "SkinLayer",
    "StagedHeat",
    "Surroundings",
    "Wait",
    "WaitPlan",
    "WaitRule",
    "block_grid",
    "cell_error",
    "cup_heat",
    "find_waits",
    "halved",
    "heat_grid",
    "kept_waits",
    "likely_and_high",
    "limb_error",
    "limb_history",
    "narrow_places",
    "node_pours",
    "s_curve",
    "simulate",
    "with_limbs",
]
