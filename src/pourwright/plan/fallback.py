"""Even bands in place of a searched day, where no such day keeps the limits and they come closer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from pourwright.lifts import EvenBands, judged
from pourwright.plan.by_itself import pours_past_stop
from pourwright.plan.judge import excess
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.model import Job
from pourwright.plan.refine import Refined


def even_bands(job: Job) -> Job:
    """The job without a search."""
    return replace(job, day=replace(job.day, search=False))


def not_worse(job: Job, searched: Refined, bands: Callable[[], Refined]) -> Refined:
    """The searched day, or even bands where that is over its limits and they are less.

    Parameters
    ----------
    job : Job
    searched : Refined
        The division by the searched day.
    bands : callable
        The division into even bands, with everything computed for it; asked for only where it may be taken.

    Returns
    -------
    Refined
        What was tried is added to its words. A day whose pours were asked for is never replaced, nor one of foam that
        passes the stop temperature by its own heat: even bands would be as hot, and as little to be poured. Nor do
        bands that pass that temperature replace a day that does not, however little else they are over.
    """
    over = excess(searched.plan.lifts)
    if pours_past_stop(searched.computed.history.foam, searched.plan.lifts):
        return searched
    if not job.day.search or not job.heat.computed or job.day.pours is not None or over <= 0:
        return searched
    even, over_words = bands(), ", ".join(_over(searched.plan))
    hotter = judged.PEAK in _over(even.plan) and judged.PEAK not in _over(searched.plan)
    if excess(even.plan.lifts) < over - 1e-9 and not hotter:
        said = f"No day was found that keeps every limit ({over_words}): even bands are over by less, and taken."
        day = searched.plan.day
        hinders = () if isinstance(day, EvenBands) or not day.hinders else (day.hinders.words,)
        return replace(even, computed=replace(even.computed, words=(said, *hinders, *even.computed.words)))
    but = "even bands pass the stop temperature" if hotter else "even bands are over by no less"
    said = f"No day was found that keeps every limit ({over_words}); {but}."
    return replace(searched, computed=replace(searched.computed, words=(*searched.computed.words, said)))


def _over(plan: LiftPlan) -> tuple[str, ...]:
    """The checks that are over, each once."""
    pours = [pour for lift in plan.lifts for pour in lift.pours]
    return tuple(dict.fromkeys(c.name for pour in pours for c in pour.checks if c.verdict == "over"))
