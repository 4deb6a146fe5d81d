"""How a job's cavity is cut into lifts: the searched day, or even bands; asked again with thicknesses to keep."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.day import Choice, choose_day
from pourwright.lifts import LiftPlan, Tighter, lifts_of_day, plan_lifts
from pourwright.plan.day import question_of
from pourwright.plan.model import Job
from pourwright.plan.reaction import History
from pourwright.plan.refine import Divide, refine
from pourwright.plan.schedule import Step
from pourwright.progress import Progress, silent
from pourwright.shell import Panel, Skin


def divider(
    job: Job,
    skin: Skin,
    frame: PourFrame,
    cavity: Cavity,
    graph: LevelGraph,
    history: History,
    flattest: tuple[Panel, ...],
    progress: Progress = silent,
) -> Divide:
    """Cuts a cavity as the job asks; a day that was found stands near the next one that is asked for."""
    foam = history.foam
    days: list[Choice] = []

    def divide(tighter: tuple[Tighter, ...], by_panels: bool, fewest: bool = False) -> LiftPlan:
        if not job.day.search:
            return plan_lifts(
                skin, frame, cavity, graph, foam, job.limits, flattest, progress, tighter=tighter, panels_bind=by_panels
            )
        asked = question_of(job, skin, cavity, graph, history, tighter)
        near = days[-1] if days and not fewest else None
        found = choose_day(asked, quick=not job.heat.computed, fewest=fewest, near=near, progress=progress)
        if not fewest:
            days.append(found)
        return lifts_of_day(skin, frame, cavity, graph, foam, job.limits, flattest, found, progress)

    return divide


@dataclass(frozen=True, eq=False)
class QuickDay:
    """A division by closed forms and a short search, with its schedule: what a quick plan has."""

    plan: LiftPlan
    steps: tuple[Step, ...]

    @property
    def hours_to_last_pour(self) -> float:
        """From the first mix to the first mix of the last pour [h]."""
        return last_start_s(self.steps) / 3600.0


def last_start_s(steps: tuple[Step, ...]) -> float:
    """When the last pour is begun [s]; nan without pours."""
    return max((step.start_s for step in steps if step.kind == "mix" and step.batch == 1), default=float("nan"))


def quick_day(
    job: Job,
    skin: Skin,
    frame: PourFrame,
    cavity: Cavity,
    graph: LevelGraph,
    history: History,
    flattest: tuple[Panel, ...],
) -> QuickDay:
    """What a quick plan of the job cuts this cavity into: the same steps, and so the same pours at the same times."""
    quick = replace(job, heat=replace(job.heat, computed=False))
    cut = divider(quick, skin, frame, cavity, graph, history, flattest)
    refined = refine(quick, skin, cavity, graph, history, cut)
    return QuickDay(refined.plan, refined.computed.steps)


def hot_share(plan: LiftPlan, job: Job) -> float:
    """Time above the caution temperature over what is allowed, at the worse end of the heat, by the search.

    Nan for even bands, which no search has followed.
    """
    if plan.day is None:
        return float("nan")
    day, rules = plan.day.day, job.heat
    likely, high = 3600.0 * day.worst_h / rules.scorch_s, 3600.0 * day.high_h / rules.scorch_high_s
    return max(likely, high) if high == high else likely
