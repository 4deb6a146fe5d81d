"""From the first division to one that is held against heat and rise computed in the real shape.

The closed forms give the first division. Rise and heat are computed for it. Where a computed limit is over and a
shorter lift might help, the lifts between those heights must be shorter, and the cavity is divided again; a new
division is kept only if it is over its limits by less. The number of divisions is bounded.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pourwright.cavity import Cavity, LevelGraph
from pourwright.heat import StagedHeat, WaitPlan, find_waits
from pourwright.lifts import LiftPlan, Tighter
from pourwright.lifts import judged as names
from pourwright.plan.heating import Heating, pours_of, problem_of, wait_rule, with_bounding
from pourwright.plan.judge import (
    excess,
    heat_asks,
    heat_excess,
    resized,
    rise_asks,
    with_heat,
    with_rise,
    with_vents,
)
from pourwright.plan.model import Job
from pourwright.plan.reaction import Course
from pourwright.plan.rising import raise_the_plan
from pourwright.plan.schedule import Step, schedule_of
from pourwright.progress import Progress, silent
from pourwright.shell import Skin

RISE_LIMITS = (names.SHORT, names.PRESSURE)


@dataclass(frozen=True, eq=False)
class Computed:
    """What the division was held against. ``heating`` is None where only closed forms were asked for."""

    course: Course
    heating: Heating | None
    steps: tuple[Step, ...]  # the schedule
    divisions: int  # tried
    words: tuple[str, ...]  # what was tried and what came of it


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
    course: Course
    divide: Callable[[tuple[Tighter, ...]], LiftPlan]


def refine(
    job: Job,
    skin: Skin,
    cavity: Cavity,
    graph: LevelGraph,
    course: Course,
    divide: Callable[[tuple[Tighter, ...]], LiftPlan],
    progress: Progress = silent,
) -> Refined:
    """Divide, compute, and divide again where that helps.

    Parameters
    ----------
    job, skin, cavity, graph
        As in the plan.
    course : Course
        The foam of the day.
    divide : callable
        Divides the cavity with the given thicknesses to keep besides the usual limits.

    Returns
    -------
    Refined
    """
    tools = _Tools(job, skin, cavity, graph, course, divide)
    rules = job.heat
    plan = divide(())
    if not rules.computed:
        waits = tuple(max(pour.wait_s for pour in lift.pours) for lift in plan.lifts)
        steps = schedule_of(plan, course.foam, job.limits, rules.between_s, waits)
        return Refined(plan, Computed(course, None, steps, 1, ("Closed forms only: heat and rise were not computed.",)))
    asked: tuple[Tighter, ...] = ()
    words: list[str] = []
    tried = 1
    plan = _risen(tools, plan)
    while tried < rules.rounds and (more := rise_asks(plan)):
        trial = _risen(tools, divide((*asked, *more)))
        tried += 1
        if excess(trial, RISE_LIMITS) >= excess(plan, RISE_LIMITS) - 1e-9:
            words.append(_no_help(more))
            break
        plan, asked = trial, (*asked, *more)
        words.append(_helped(more, plan))
    progress("heat", 0.0)
    problem, waits_found = _waited(tools, plan, progress)
    heating = with_bounding(problem, waits_found, cavity, course.foam, plan, rules, progress)
    plan = _heated(tools, plan, heating)
    while tried < rules.rounds and (more := heat_asks(plan)):
        trial = _risen(tools, divide((*asked, *more)))
        tried += 1
        problem, trial_waits = _waited(tools, trial, progress)
        limit = skin.material.heat_limit_k
        better = (
            heat_excess(trial_waits, limit, rules.scorch_s) < heat_excess(waits_found, limit, rules.scorch_s) - 1e-9
        )
        if not better or excess(trial, RISE_LIMITS) > excess(plan, RISE_LIMITS) + 1e-9:
            words.append(_no_help(more))
            break
        asked, waits_found = (*asked, *more), trial_waits
        heating = with_bounding(problem, waits_found, cavity, course.foam, trial, rules, progress)
        plan = _heated(tools, trial, heating)
        words.append(_helped(more, plan))
    steps = schedule_of(plan, course.foam, job.limits, rules.between_s, heating.lift_waits_s)
    first = (
        f"Heat and rise were computed for {tried} division{'s' if tried > 1 else ''} into lifts, on "
        f"{heating.nominal.cells} heat cells of {heating.nominal.cell_m * 1e3:.3g} mm."
    )
    return Refined(plan, Computed(course, heating, steps, tried, (first, *words)))


def _risen(tools: _Tools, plan: LiftPlan) -> LiftPlan:
    """A division with its computed rise, vents sized to it."""
    rules, limits = tools.job.heat, tools.job.limits

    def run(of: LiftPlan) -> LiftPlan:
        rises = raise_the_plan(
            tools.skin, tools.cavity, tools.graph, tools.course.rising, of, limits.vent_pressure_pa, rules
        )
        return with_rise(of, rises, rules)

    first = run(plan)
    foam = tools.course.foam
    vents = resized(plan.vents, pours_of(first), limits, max(foam.rise_end_s - foam.cream_s, 1.0))
    changed = [a.hole_m != b.hole_m or a.holes != b.holes for a, b in zip(plan.vents, vents, strict=True)]
    return run(with_vents(plan, vents)) if any(changed) else with_vents(first, vents)


def _waited(tools: _Tools, plan: LiftPlan, progress: Progress) -> tuple[StagedHeat, WaitPlan]:
    rules, limits = tools.job.heat, tools.job.limits
    problem = problem_of(
        tools.skin, tools.cavity, tools.graph, tools.course.foam, tools.course.heat, plan, limits, rules
    )
    return problem, find_waits(problem, wait_rule(limits, rules), progress=progress)


def _heated(tools: _Tools, plan: LiftPlan, heating: Heating) -> LiftPlan:
    job = tools.job
    return with_heat(plan, heating.pours, tools.course.foam, tools.skin.material, job.limits, job.heat)


def _places(asks: tuple[Tighter, ...]) -> str:
    low, high = min(a.bottom_m for a in asks), max(a.top_m for a in asks)
    why = ", ".join(dict.fromkeys(a.name for a in asks))
    return f"{why}: shorter lifts between {low:.2f} and {high:.2f} m"


def _helped(asks: tuple[Tighter, ...], plan: LiftPlan) -> str:
    return f"{_places(asks)}; taken, {len(plan.lifts)} lifts."


def _no_help(asks: tuple[Tighter, ...]) -> str:
    return f"{_places(asks)} were tried and did not help."
