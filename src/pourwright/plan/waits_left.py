"""Waits of what is left of a day that has begun: those that are over stay, the others are sought."""

from __future__ import annotations

from collections.abc import Mapping

from pourwright.cavity import Cavity, LevelGraph
from pourwright.foam import FoamAtShop
from pourwright.heat import HeatCurve, find_waits
from pourwright.lifts import LiftPlan, ShopLimits, judged
from pourwright.plan.heating import COARSE, problem_of, wait_rule
from pourwright.plan.rules import HeatRules
from pourwright.plan.schedule import held_wait
from pourwright.progress import Progress, silent
from pourwright.shell import Skin


def waits_left(
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    foam: FoamAtShop,
    curve: HeatCurve,
    plan: LiftPlan,
    limits: ShopLimits,
    rules: HeatRules,
    first: tuple[float, ...],
    liquids_k: Mapping[str, float],
    progress: Progress = silent,
) -> tuple[float, ...]:
    """Shortest waits [s] after each lift but the last, sought on few cells, behind those of ``first``.

    Parameters
    ----------
    skin, cavity, graph, foam, curve, plan, limits, rules
        As for `heating_of`.
    first : tuple of float
        Waits that are over: from the first mix of the lowest lift to that of the next, and so on.
    liquids_k : mapping
        Liquids' temperatures of pours that were mixed at another than the day's.
    """
    cells = max(2000, rules.cells // COARSE)
    problem = problem_of(skin, cavity, graph, foam, curve, plan, limits, rules, cells, liquids_k)
    found = find_waits(problem, wait_rule(foam, limits, rules), first=first, progress=progress)
    sought = zip(plan.lifts[len(first) :], found.waits[len(first) :], strict=False)
    return (*first, *(held_wait(lift, foam, limits, rules.between_s, wait.seconds) for lift, wait in sought))


def hot_lifts(plan: LiftPlan, rules: HeatRules) -> dict[int, float]:
    """Lifts by number with a pour above caution for longer than allowed, and by what share of that."""
    out: dict[int, float] = {}
    for lift in plan.lifts:
        for pour in lift.pours:
            if pour.heat is None:
                continue
            _, likely, high = pour.heat.hot_s[0]
            over = max(likely / max(rules.scorch_s, 60.0), high / max(rules.scorch_high_s, 60.0)) - 1.0
            if over > 0 or any(check.name == judged.SCORCH and check.verdict != "ok" for check in pour.checks):
                out[lift.number] = max(over, out.get(lift.number, 0.0))
    return out
