"""From the first division to one that is checked against heat and rise computed in the real shape.

The formulas give the first division. Rise, the bulge of the skin and heat are computed for it. Where a computed
limit is over and a shorter lift might help, the lifts between those heights must be shorter, and the cavity is divided
again; a new division is kept only if it is over its limits by less. The number of divisions is bounded.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from pourwright.cavity import Cavity, LevelGraph
from pourwright.lifts import LiftPlan, Pour, Tighter, close_holes
from pourwright.lifts import judged as names
from pourwright.physics import heat
from pourwright.plan.heat_cells import pours_of
from pourwright.plan.heating import AFTER_S, Heating, heating_of, waits_of
from pourwright.plan.judge import (
    excess,
    heat_asks,
    heat_excess,
    resized,
    rise_asks,
    with_heat,
    with_rise,
    with_vents,
    with_waits,
)
from pourwright.plan.model import Job
from pourwright.plan.reaction import History
from pourwright.plan.rising import foam_arrives, raise_the_plan
from pourwright.plan.schedule import Step, closed_wait, held_wait, schedule_of
from pourwright.plan.skin_bulge import SkinJudge
from pourwright.plan.worth import worth_words
from pourwright.progress import Progress, silent
from pourwright.shell import Skin

Divide = Callable[..., LiftPlan]
"""Thicknesses to keep, whether panels bind, and the stage of a searched day (`plan.dividing`)."""
Offer = Callable[[LiftPlan, tuple[Tighter, ...]], LiftPlan]
"""The division with what would shorten its day; the thicknesses that it keeps."""

RISE_LIMITS = (names.SHORT, names.PRESSURE)
PUSH, SHORT = (names.PRESSURE,), (names.SHORT,)
RISE_ROUNDS, RISE_STEP = 6, 0.85
"""How often, and to what share, a pour that would gel on its way is shortened before the day is searched."""
THINNER = 0.7  # of a lift that would not bulge the skin, tried as well


@dataclass(frozen=True, eq=False)
class Computed:
    """What the division was checked against. ``heating`` is None where only formulas were asked for."""

    history: History
    heating: Heating | None
    steps: tuple[Step, ...]  # the schedule
    divisions: int  # tried
    words: tuple[str, ...]  # what was tried and what came of it
    measuring: str = ""  # what it would be worth to measure the rise; empty: nothing to say


@dataclass(frozen=True, eq=False)
class Refined:
    """A division with everything computed for it."""

    plan: LiftPlan
    computed: Computed


@dataclass(frozen=True, eq=False)
class _Tools:
    job: Job
    skin: Skin
    cavity: Cavity
    graph: LevelGraph
    history: History
    divide: Divide
    judge: SkinJudge | None

    def divided(self, asked: tuple[Tighter, ...], panels: bool = False) -> LiftPlan:
        """Panels shape the lifts only where nothing better judges the pressure, or where asked to."""
        return self.divide(asked, panels or self.judge is None)

    def confirmed(self, plan: LiftPlan, asked: tuple[Tighter, ...]) -> LiftPlan:
        """A searched day with its waits on fine cells; another one that is better there if it keeps as much."""
        if plan.day is None or not self.job.heat.computed:
            return plan
        last = _risen(self, self.divide(asked, self.judge is None, stage="last", of=plan.day))
        if excess(last, RISE_LIMITS) > excess(plan, RISE_LIMITS) + 1e-9:
            last = _risen(self, self.divide(asked, self.judge is None, stage="held", of=plan.day))
        return last


def refine(
    job: Job,
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    history: History,
    divide: Divide,
    progress: Progress = silent,
    judge: SkinJudge | None = None,
    why_unjudged: str = "",
    offer: Offer | None = None,
) -> Refined:
    """Divide, compute, and divide again where that helps.

    Parameters
    ----------
    job, skin, cavity, graph
        As in the plan.
    history : History
        The foam of the day.
    divide : callable
        Divides the cavity with the given thicknesses to keep besides the usual limits; True: with the panels'
        strength of the panels as a limit too.
    judge : SkinJudge, optional
        Finite elements that judge the pressure on the skin in place of these panels.
    why_unjudged : str
        One sentence on why there is none, to be told; empty: nothing to tell.
    offer : callable, optional
        Adds what would shorten a searched day.

    Returns
    -------
    Refined
    """
    tools = _Tools(job, skin, cavity, graph, history, divide, judge)
    rules = job.heat
    words: list[str] = []
    asked = _asked_by_rise(tools, words) if rules.computed and job.day.search else ()
    plan = tools.divided(asked)
    tried = 1
    plan = _risen(tools, plan)
    while rules.computed and tried < rules.rounds and (more := rise_asks(plan)):
        trial = _risen(tools, tools.divided((*asked, *more)))
        tried += 1
        if excess(trial, RISE_LIMITS) >= excess(plan, RISE_LIMITS) - 1e-9:
            words.append(_no_help(more))
            break
        plan, asked = trial, (*asked, *more)
        words.append(_helped(more, plan))
    plan, asked, more_tried = _thinner_for_skin(tools, plan, asked, words)
    tried += more_tried
    if not rules.computed:
        plan = _last_cools(_shut(tools, _propped(tools, plan, words, why_unjudged, progress)), history, rules.release_k)
        plan = with_waits(plan, _closed_waits(tools, plan))
        steps = schedule_of(plan, history.foam, job.limits, rules.between_s, job.day)
        first = "Heat and rise were not computed: formulas only."
        return Refined(plan, Computed(history, None, steps, tried, (first, *words)))
    plan = tools.confirmed(plan, asked)
    progress("heat", 0.0)
    plan, heating = _heated(tools, plan, progress)
    while tried < rules.rounds and (more := heat_asks(plan, rules)):
        trial = _risen(tools, tools.divided((*asked, *more)))
        trial, trial_heating = _heated(tools, tools.confirmed(trial, (*asked, *more)), progress)
        tried += 1
        better = heat_excess(trial, rules) < heat_excess(plan, rules) - 1e-9
        if not better or excess(trial, RISE_LIMITS) > excess(plan, RISE_LIMITS) + 1e-9:
            words.append(_no_help(more))
            break
        plan, heating, asked = trial, trial_heating, (*asked, *more)
        words.append(_helped(more, plan))
    plan = _shut(tools, _propped(tools, plan, words, why_unjudged, progress))
    plan = with_waits(plan, _heated_waits(tools, plan, heating))
    steps = schedule_of(plan, history.foam, job.limits, rules.between_s, job.day)
    plan = plan if offer is None else offer(plan, asked)
    first = (
        f"Heat and rise were computed for {tried} division{'s' if tried > 1 else ''} into lifts, on "
        f"{heating.nominal.cells} heat cells of {heating.nominal.cell_m * 1e3:.3g} mm."
    )
    worth = worth_words(skin, cavity, graph, history.foam, history.heat, plan, job.limits, rules, heating)
    return Refined(plan, Computed(history, heating, steps, tried, (first, *words, *([worth] if worth else [])), worth))


def _last_cools(plan: LiftPlan, history: History, release_k: float) -> LiftPlan:
    """Formulas: the last lift is left until its core is below ``release_k``, not until another could come on it."""
    if not plan.lifts:
        return plan
    air, to_tenth = history.foam.conditions.air_k, heat.slab_time_to_share(names.HOT_SHARE.value, 1.0, 1.0)

    def left(pour: Pour) -> Pour:
        share = (release_k - air) / max(pour.peak_k.nominal - air, 1e-9)
        if not 0.0 < share < 1.0:
            return pour
        cool = 3600.0 * pour.hot_hours * heat.slab_time_to_share(share, 1.0, 1.0) / to_tenth
        return replace(pour, wait_s=max(pour.wait_s, history.foam.rise_end_s + cool))

    last = replace(plan.lifts[-1], pours=tuple(left(pour) for pour in plan.lifts[-1].pours))
    return replace(plan, lifts=(*plan.lifts[:-1], last))


def _asked_by_rise(tools: _Tools, words: list[str]) -> tuple[Tighter, ...]:
    """How thick pours may be where the tallest that hands allow would gel on their way."""
    asked: tuple[Tighter, ...] = ()
    limits, rules = tools.job.limits, tools.job.heat
    for _ in range(RISE_ROUNDS):
        plan = tools.divide(asked, False, stage="fewest")
        rises = raise_the_plan(
            tools.skin, tools.cavity, tools.graph, tools.history, plan, limits.vent_pressure_pa, rules
        )
        more = rise_asks(with_rise(plan, rises, rules), RISE_STEP)
        if not more:
            break
        asked = (*asked, *more)
    if asked:
        words.append(f"{_places(asked)}, down to {min(ask.thickness_m for ask in asked):.2f} m.")
    return asked


def _thinner_for_skin(
    tools: _Tools, plan: LiftPlan, asked: tuple[Tighter, ...], words: list[str]
) -> tuple[LiftPlan, tuple[Tighter, ...], int]:
    """Thinner lifts where the skin bulges too far, as long as they help; what they ask for, and divisions tried."""
    tried = 0
    if tools.judge is None:
        return plan, asked, tried
    for k in range(tools.job.structure.rounds):
        if excess(plan, PUSH) <= 0:
            break
        more = tools.judge.asks(plan)
        thin = tuple(replace(one, thickness_m=max(names.THIN_LIFT.value, THINNER * one.thickness_m)) for one in more)
        ways = [(more, False), (thin, False)] * bool(more) + [(more, True)] * (k == 0 and plan.day is None)
        trials: list[tuple[LiftPlan, tuple[Tighter, ...]]] = []
        for asks, panels in ways:
            trials.append((_risen(tools, tools.divided((*asked, *asks), panels)), asks))
            if plan.day is not None and excess(trials[-1][0], RISE_LIMITS) <= 0:
                break  # the least change that serves: others would only cost the day more
        tried += len(trials)
        # Shores can make good what presses too hard; what stays empty they cannot.
        good = [trial for trial in trials if excess(trial[0], SHORT) <= excess(plan, SHORT) + 1e-9]
        best, took = min(good, key=lambda trial: excess(trial[0], PUSH), default=(plan, more))
        if excess(best, PUSH) >= excess(plan, PUSH) - 1e-9:
            words.append(_no_help(more) if more else "No thinner lift was found that would not bulge the skin too far.")
            break
        plan, asked = best, (*asked, *took)
        words.append(_helped(took, plan) if took else "Lifts by the flattest panels press the skin less: taken.")
    return plan, asked, tried


def _risen(tools: _Tools, plan: LiftPlan) -> LiftPlan:
    """A division with its computed rise, vents sized to it."""
    rules, limits = tools.job.heat, tools.job.limits

    def run(of: LiftPlan) -> LiftPlan:
        rises = raise_the_plan(tools.skin, tools.cavity, tools.graph, tools.history, of, limits.vent_pressure_pa, rules)
        return with_rise(of, rises, rules)

    if not rules.computed:
        return plan if tools.judge is None else tools.judge.judged(plan)
    first = run(plan)
    if tools.judge is not None:
        first = tools.judge.judged(first)
    foam = tools.history.foam
    vents = resized(plan.vents, pours_of(first), limits, max(foam.rise_end_s - foam.cream_s, 1.0))
    changed = [a.hole_m != b.hole_m or a.holes != b.holes for a, b in zip(plan.vents, vents, strict=True)]
    if not any(changed):
        return with_vents(first, vents)
    again = run(with_vents(plan, vents))
    return again if tools.judge is None else tools.judge.judged(again)


def _heated(tools: _Tools, plan: LiftPlan, progress: Progress) -> tuple[LiftPlan, Heating]:
    job, foam = tools.job, tools.history.foam
    heating = heating_of(
        tools.skin, tools.cavity, tools.graph, foam, tools.history.heat, plan, job.limits, job.heat, progress
    )
    return with_heat(plan, heating.pours, foam, tools.skin.material, job.limits, job.heat), heating


def _closed_waits(tools: _Tools, plan: LiftPlan) -> tuple[float, ...]:
    """Waits by formulas; of a searched day those it has."""
    shop = tools.history.foam, tools.job.limits, tools.job.heat.between_s
    waits = tuple(closed_wait(lift, *shop) for lift in plan.lifts)
    if plan.day is None or not waits:
        return waits
    pairs = zip(plan.lifts, waits_of(plan), strict=False)  # of the last it has none
    return (*(held_wait(lift, *shop, wait) for lift, wait in pairs), waits[-1])


def _heated_waits(tools: _Tools, plan: LiftPlan, heating: Heating) -> tuple[float, ...]:
    """Computed waits; where the last lift is not cool at the end of the account, the formula if that is longer."""
    *before, last = heating.lift_waits_s
    if math.isnan(last):
        closed = closed_wait(plan.lifts[-1], tools.history.foam, tools.job.limits, tools.job.heat.between_s)
        last = closed if closed > AFTER_S else math.nan
    return (*before, last)


def _shut(tools: _Tools, plan: LiftPlan) -> LiftPlan:
    arrives = foam_arrives(tools.graph, tools.history.foam)
    return close_holes(plan, tools.skin, tools.cavity, tools.graph, tools.job.limits, arrives)


def _propped(tools: _Tools, plan: LiftPlan, words: list[str], why_unjudged: str, progress: Progress) -> LiftPlan:
    """The division with shores where its skin still bulges too far; what judged the pressure is added to ``words``."""
    if tools.judge is None:
        words += [why_unjudged] if why_unjudged else []
        return plan
    plan = tools.judge.judged(plan, props=True, progress=progress)
    words.append(_skin_words(plan, tools.judge))
    return plan


def _skin_words(plan: LiftPlan, judge: SkinJudge) -> str:
    """What judged the pressure on the skin, in one sentence."""
    shored = [lift for lift in plan.lifts if lift.bulge is not None and lift.bulge.shores]
    count = sum(len(lift.bulge.shores) for lift in shored if lift.bulge is not None)
    with_shores = f"; {count} shores are to be set up" if shored else ""
    triangles = max((lift.bulge.triangles for lift in plan.lifts if lift.bulge is not None), default=0)
    rough = any(lift.bulge is not None and lift.bulge.triangles < triangles for lift in plan.lifts)
    change = "half as many where a lift uses little of what the skin stands" if rough else ""
    if math.isfinite(judge.change):
        change += f"{'; ' if change else ''}on half as many the largest share used differs by {abs(judge.change):.0%}"
    change = f" ({change})" if change else ""
    return (
        f"The skin under the pressure of each lift was computed by finite elements, {triangles} triangles{change}; the "
        f"formula of its panels is kept beside for comparison{with_shores}."
    )


def _places(asks: tuple[Tighter, ...]) -> str:
    low, high = min(a.bottom_m for a in asks), max(a.top_m for a in asks)
    why = ", ".join(dict.fromkeys(a.name for a in asks))
    return f"{why}: shorter lifts between {low:.2f} and {high:.2f} m"


def _helped(asks: tuple[Tighter, ...], plan: LiftPlan) -> str:
    return f"{_places(asks)}; taken, {len(plan.lifts)} lifts."


def _no_help(asks: tuple[Tighter, ...]) -> str:
    return f"{_places(asks)} were tried and did not help."
