"""All stages together; the only place where they meet."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.plan.build import lift_plan_of
    from pourwright.plan.case import Case
    from pourwright.plan.compare import Alternative, alternative_of, with_beaten
    from pourwright.plan.cored import cores_in, with_cores
    from pourwright.plan.day import question_of
    from pourwright.plan.dividing import Divider, hot_share, quick_day
    from pourwright.plan.heating import Heating, heating_of
    from pourwright.plan.judge import lifts_judged
    from pourwright.plan.lift_plan import LiftPlan, shores_of
    from pourwright.plan.lined import Tried, lined_plan
    from pourwright.plan.made import CoredPlan, LinedPlan, MachinePlan, Plan, RibbedPlan
    from pourwright.plan.make import make_plan, space_of
    from pourwright.plan.model import Job
    from pourwright.plan.one_shot import OneShot, one_shot, packed_job, shot_checks
    from pourwright.plan.provenance import provenance_of
    from pourwright.plan.reaction import History, history_of
    from pourwright.plan.refine import Computed, Refined, Tools, refine
    from pourwright.plan.review import whole_checks, whole_warnings
    from pourwright.plan.ribbed import by_formulas_of_skin, rib_space, with_ribs
    from pourwright.plan.rising import rises_of
    from pourwright.plan.rules import DayRules, HeatRules, StructureRules
    from pourwright.plan.schedule import DAY_S, Step, first_mix, schedule_of
    from pourwright.plan.skin import skin_of
    from pourwright.plan.skin_bulge import skin_judge
    from pourwright.plan.structural import filled_gains, hung_frame, resting_of
    from pourwright.plan.temperature import largest_in_time_m3, parts_temperature_for, temperature_that_would_do
    from pourwright.plan.waits_left import hot_lifts, waits_left
else:
    __getattr__ = offered(__name__)

__all__ = [
    "DAY_S",
    "Alternative",
    "Case",
    "Computed",
    "CoredPlan",
    "DayRules",
    "Divider",
    "HeatRules",
    "Heating",
    "History",
    "Job",
    "LiftPlan",
    "LinedPlan",
    "MachinePlan",
    "OneShot",
    "Plan",
    "Refined",
    "RibbedPlan",
    "Step",
    "StructureRules",
    "Tools",
    "Tried",
    "alternative_of",
    "by_formulas_of_skin",
    "cores_in",
    "filled_gains",
    "first_mix",
    "heating_of",
    "history_of",
    "hot_lifts",
    "hot_share",
    "hung_frame",
    "largest_in_time_m3",
    "lift_plan_of",
    "lifts_judged",
    "lined_plan",
    "make_plan",
    "one_shot",
    "packed_job",
    "parts_temperature_for",
    "provenance_of",
    "question_of",
    "quick_day",
    "refine",
    "resting_of",
    "rib_space",
    "rises_of",
    "schedule_of",
    "shores_of",
    "shot_checks",
    "skin_judge",
    "skin_of",
    "space_of",
    "temperature_that_would_do",
    "waits_left",
    "whole_checks",
    "whole_warnings",
    "with_beaten",
    "with_cores",
    "with_ribs",
]
