"""Where no division of a solid fill keeps the limits: whether a lining would, planned on coarse cells."""

from __future__ import annotations

from dataclasses import replace

from pourwright.day import Offer
from pourwright.errors import PourwrightError
from pourwright.lifts import EvenBands
from pourwright.lining import Rules
from pourwright.plan import Job, LinedPlan, Plan
from pourwright.progress import Progress, silent
from pourwright.ways.bench import Bench

NOTHING = "a lining in place of filling it solid"


def with_lining(plan: Plan, progress: Progress = silent) -> Plan:
    """A plan whose day keeps not all limits, with what a lining would make of it among its offers.

    Parameters
    ----------
    plan : Plan
    progress : Progress

    Returns
    -------
    Plan
        The same where its day keeps the limits, where nothing was asked of the day, and where the piece is not to be
        filled solid by hand.

    Notes
    -----
    The thickest lining by hand whose own plan, on the coarse cells of `compare_ways`, has every check within its limit
    and known. One with a check that is not known is not offered.
    """
    choice, job = plan.lift_plan.day, plan.job
    if isinstance(choice, EvenBands) or choice.offers is None or choice.day.keeps:
        return plan
    if job.machine is not None or job.fill.style != "solid" or job.fill.core is not None:
        return plan
    found, offers = thickest(job, progress), choice.offers
    if found is None:
        offers = replace(offers, nothing=(*offers.nothing, NOTHING))
    else:
        lining = found.lining
        change = f"a lining of {1e3 * lining.region.thickness_m:.0f} mm, turned by hand, in place of filling it solid"
        offers = replace(offers, worth=(*offers.worth, Offer(change, lining.hours, len(lining.coats), True)))
    return replace(plan, lift_plan=replace(plan.lift_plan, day=replace(choice, offers=offers)))


def thickest(job: Job, progress: Progress = silent) -> LinedPlan | None:
    """The thickest lining by hand that keeps every limit on coarse cells; None where none does."""
    bench = Bench(job, progress)
    for thick in reversed(bench.thicknesses()):
        try:
            lined = bench.planned(Rules("lining", thick, "hand", least_m=job.fill.least_m))
        except PourwrightError:
            continue
        if not lined.over_limit and not lined.not_known:
            return lined
    return None
