"""Waits of what is left of a day that has begun: those that are over stay, the others are sought."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pourwright.evaluation import HeatHistory
from pourwright.heat import find_waits
from pourwright.lifts import Division, Lift, judged
from pourwright.plan.case import Case
from pourwright.plan.heating import COARSE, problem_of, wait_rule
from pourwright.plan.rules import HeatRules
from pourwright.plan.schedule import held_wait
from pourwright.progress import Progress, silent


def waits_left(
    case: Case,
    plan: Division,
    first: tuple[float, ...],
    liquids_k: Mapping[str, float],
    progress: Progress = silent,
) -> tuple[float, ...]:
    """Shortest waits [s] after each lift but the last, sought on few cells, behind those of ``first``.

    Parameters
    ----------
    case, plan
        As for `heating_of`.
    first : tuple of float
        Waits that are over: from the first mix of the lowest lift to that of the next, and so on.
    liquids_k : mapping
        Liquids' temperatures of pours that were mixed at another than the day's.
    """
    problem = problem_of(case, plan, max(2000, case.rules.cells // COARSE), liquids_k)
    found = find_waits(problem, wait_rule(case), first=first, progress=progress)
    shop = case.foam, case.limits, case.rules.between_s
    sought = zip(plan.lifts[len(first) :], found.waits[len(first) :], strict=False)
    return (*first, *(held_wait(lift, *shop, wait.seconds) for lift, wait in sought))


def hot_lifts(lifts: Sequence[Lift], heats: Mapping[str, HeatHistory], rules: HeatRules) -> dict[int, float]:
    """Lifts by number with a pour above caution for longer than allowed, and by what share of that."""
    out: dict[int, float] = {}
    for lift in lifts:
        for pour in lift.pours:
            if pour.name not in heats:
                continue
            _, likely, high = heats[pour.name].hot_s[0]
            over = max(likely / max(rules.scorch_s, 60.0), high / max(rules.scorch_high_s, 60.0)) - 1.0
            if over > 0 or any(check.name == judged.SCORCH and check.verdict != "ok" for check in pour.checks):
                out[lift.number] = max(over, out.get(lift.number, 0.0))
    return out
