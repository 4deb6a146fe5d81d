"""What it would be worth to measure the rise before the day: the same lifts, with the rise that cups would show."""

from __future__ import annotations

import math
from dataclasses import replace

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop, rise_of, with_readings
from pourwright.heat import HeatCurve, find_waits
from pourwright.lifts import LiftPlan, ShopLimits
from pourwright.plan.heating import COARSE, Heating, problem_of, wait_rule
from pourwright.plan.rules import HeatRules
from pourwright.shell import Skin

CUPS = 3
KNOWN_SD_K = 8.0
"""A rise known better than this is not asked to be measured; our judgement, no published source."""
WORTH_S = 900.0
"""Less waiting than this is not worth a line."""
STEP_K = 10.0


def worth_words(
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    curve: HeatCurve,
    plan: LiftPlan,
    limits: ShopLimits,
    rules: HeatRules,
    heating: Heating,
) -> str:
    """One sentence on the hours that three cups would save with these lifts; empty where there is nothing to say.

    The waits with the cups are sought on few cells and stretched as those of today were.
    """
    today = sum(wait.seconds for wait in heating.waits.waits)
    if heating.sought_s <= 0:  # a searched day has its own waits
        return ""
    stretched = today / heating.sought_s
    shortest = len(heating.waits.waits) * rules.shortest_wait_s
    if foam.grade.rise_sd_k < KNOWN_SD_K or today < shortest + WORTH_S:
        return ""
    low = STEP_K * math.floor(foam.rise_k.nominal / STEP_K)
    said = []
    for shown in (low + STEP_K, low):
        grade = with_readings(foam.grade, [shown] * CUPS, "thermocouple", "cups that nobody has made yet")
        known = replace(foam, grade=grade, rise_k=rise_of(grade))
        if known.rise_k.nominal + foam.conditions.parts_k > grade.stop_k:
            said.append(f"if they show {shown:.0f} ± 6 K, cooler liquids are needed")
            continue
        problem = problem_of(skin, cavity, graph, known, curve, plan, limits, rules, max(2000, rules.cells // COARSE))
        found = find_waits(replace(problem, end_s=0.0), wait_rule(known, limits, rules))
        spent = stretched * sum(wait.seconds for wait in found.waits)
        said.append(f"if they show {shown:.0f} ± 6 K, {_hours(spent)}")
    return (
        f"What measuring is worth, with these lifts: as known today {_hours(today)} from the first mix to the last "
        f"lift; three cups with a thermocouple in the middle (foam at least 90 mm across): {'; '.join(said)}."
    )


def _hours(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
