"""How a piece is divided into lifts: the searched day, or even bands; asked again with thicknesses to keep."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.day import Choice, choose_day, confirm_day, offers_for
from pourwright.lifts import LiftPlan, Tighter, lifts_of_day, plan_lifts
from pourwright.plan.day import question_of
from pourwright.plan.model import Job
from pourwright.plan.reaction import History
from pourwright.plan.refine import refine
from pourwright.plan.schedule import Step
from pourwright.progress import Progress, silent
from pourwright.shell import Panel, Skin


class Divider:
    """Divides one cavity, as often as it is asked; the days that were found first are where later searches start."""

    def __init__(
        self, job: Job, skin: Skin, frame: PourFrame, cavity: Cavity, graph: LevelGraph, history: History,
        panels: tuple[Panel, ...], progress: Progress = silent,
    ):  # fmt: skip
        self.job, self.skin, self.frame, self.cavity, self.graph = job, skin, frame, cavity, graph
        self.history, self.panels, self.progress = history, panels, progress
        self._first: Choice | None = None

    def __call__(
        self, tighter: tuple[Tighter, ...], by_panels: bool, stage: str = "search", of: Choice | None = None
    ) -> LiftPlan:
        """A division that keeps ``tighter``; ``by_panels``: and the strength of the panels by formula.

        ``stage`` is of a searched day. "fewest": as few pours as may be, no search. "search": on coarse cells, from
        the days that were found first, where some were. "last": the waits of the day ``of`` on fine cells too, or
        another of its front where that is better there. "held": of that day and no other.
        """
        if not self.job.day.search:
            return plan_lifts(
                self.skin, self.frame, self.cavity, self.graph, self.history.foam, self.job.limits, self.panels,
                self.progress, tighter=tighter, panels_bind=by_panels,
            )  # fmt: skip
        asked = question_of(self.job, self.skin, self.cavity, self.graph, self.history, tighter)
        if stage == "fewest":
            return self._lifts(choose_day(asked, fewest=True, progress=self.progress))
        if of is not None:
            return self._lifts(confirm_day(asked, of, held=stage == "held", progress=self.progress))
        quick = not self.job.heat.computed
        found = choose_day(asked, quick=quick, near=self._first, progress=self.progress)
        self._first = self._first or found
        return self._lifts(found)

    def offered(self, plan: LiftPlan, tighter: tuple[Tighter, ...]) -> LiftPlan:
        """The division with what would shorten its day."""
        if plan.day is None:
            return plan
        asked = question_of(self.job, self.skin, self.cavity, self.graph, self.history, tighter)
        return replace(plan, day=replace(plan.day, offers=offers_for(asked, plan.day)))

    def _lifts(self, found: Choice) -> LiftPlan:
        return lifts_of_day(
            self.skin, self.frame, self.cavity, self.graph, self.history.foam, self.job.limits, self.panels, found,
            self.progress,
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class QuickDay:
    """A division by formulas and a short search, with its schedule: what a quick plan has."""

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
    cut = Divider(quick, skin, frame, cavity, graph, history, flattest)
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
