"""How a piece is divided into lifts: the searched day, or even bands; asked again with thicknesses to keep."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourwright.day import Choice, choose_day, confirm_day, offers_for
from pourwright.lifts import Division, EvenBands, Tighter, lifts_of_day, plan_lifts
from pourwright.plan.case import Case
from pourwright.plan.day import question_of
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.model import Job
from pourwright.plan.refine import Tools, refine
from pourwright.plan.schedule import Step
from pourwright.progress import Progress, silent


class Divider:
    """Divides one cavity, as often as it is asked; the days that were found first are where later searches start."""

    def __init__(self, case: Case, progress: Progress = silent):
        self.case, self.progress = case, progress
        self._first: dict[tuple[int, ...], Choice] = {}  # by the tips that are pours of their own

    def __call__(
        self, tighter: tuple[Tighter, ...], by_panels: bool, stage: str = "search", of: Choice | None = None
    ) -> Division:
        """A division that keeps ``tighter``; ``by_panels``: and the strength of the panels by formula.

        ``stage`` is of a searched day. "fewest": as few pours as may be, no search. "search": on coarse cells, from
        the days that were found first, where some were. "last": the waits of the day ``of`` on fine cells too, or
        another of its front where that is better there. "held": of that day and no other.
        """
        case = self.case
        if not case.job.day.search:
            return plan_lifts(case.space, case.foam, case.limits, self.progress, tighter=tighter, panels_bind=by_panels)
        asked = question_of(case, tighter)
        if stage == "fewest":
            return self._lifts(choose_day(asked, fewest=True, progress=self.progress))
        if of is not None:
            return self._lifts(confirm_day(asked, of, held=stage == "held", progress=self.progress))
        quick = not case.rules.computed
        found = choose_day(asked, quick=quick, near=self._first.get(asked.own), progress=self.progress)
        self._first.setdefault(asked.own, found)
        return self._lifts(found)

    def offered(self, plan: Division, tighter: tuple[Tighter, ...]) -> Division:
        """The division with what would shorten its day."""
        if isinstance(plan.day, EvenBands):
            return plan
        asked = question_of(self.case, tighter)
        return replace(plan, day=replace(plan.day, offers=offers_for(asked, plan.day)))

    def _lifts(self, found: Choice) -> Division:
        return lifts_of_day(self.case.space, self.case.foam, self.case.limits, found, self.progress)


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


def quick_day(case: Case) -> QuickDay:
    """What a quick plan of the job cuts this cavity into: the same steps, and so the same pours at the same times."""
    quick = case.by_rules(replace(case.rules, computed=False))
    refined = refine(quick, Tools(Divider(quick)))
    return QuickDay(refined.plan, refined.computed.steps)


def hot_share(plan: LiftPlan, job: Job) -> float:
    """Time above the caution temperature over what is allowed, at the worse end of the heat, by the search.

    Nan for even bands, which no search has followed.
    """
    if isinstance(plan.day, EvenBands):
        return float("nan")
    day, rules = plan.day.day, job.heat
    likely, high = 3600.0 * day.worst_h / rules.scorch_s, 3600.0 * day.high_h / rules.scorch_high_s
    return max(likely, high) if high == high else likely
