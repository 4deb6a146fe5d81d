"""What the temperature of the liquids does to the size of a mix, and which temperature would do."""

from __future__ import annotations

import math

from pourwright.figures import apart
from pourwright.findings import Code, Finding, finding
from pourwright.lifts import empty_s, in_time_m3
from pourwright.physics import kinetics
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan.model import Job
from pourwright.plan.reaction import History

COLDEST_K = 288.15
"""Below this, liquids are outside what pour foams are made for."""


def largest_in_time_m3(job: Job, cream_s: float) -> float:
    """Liquid [m3] that one person can mix, and pour through one hole, before it creams after ``cream_s``; 0: none."""
    return max(0.0, in_time_m3(cream_s, job.limits))


def parts_temperature_for(job: Job, history: History, liquid_m3: float) -> float:
    """Warmest liquids [K] with which ``liquid_m3`` can still be mixed and poured in time; nan if none will do.

    Cream times shift by the grade's activation energy from today's.
    """
    need = empty_s(liquid_m3, job.limits)
    now = job.conditions.parts_k
    low, high = COLDEST_K, max(now, COLDEST_K) + 40.0

    def cream(parts_k: float) -> float:
        return history.foam.cream_s * float(kinetics.time_factor(job.grade.cream_activation_j_mol, parts_k, now))

    if cream(low) < need:
        return float("nan")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if cream(middle) >= need else (low, middle)
    return low


def temperature_that_would_do(job: Job, history: History) -> int | None:
    """Whole degrees Celsius, below today's as they are printed, at which the largest mix fits; None if none will do."""
    would = parts_temperature_for(job, history, job.limits.largest_batch_m3)
    if would != would:
        return None
    whole = min(math.floor(would - ZERO_CELSIUS_K + 1e-6), round(job.conditions.parts_k - ZERO_CELSIUS_K) - 1)
    if round(32 + 1.8 * whole) > 32 + 1.8 * (would - ZERO_CELSIUS_K):  # it is printed in Fahrenheit too
        whole -= 1
    return whole if whole >= round(COLDEST_K - ZERO_CELSIUS_K) else None


def batch_too_large(job: Job, history: History) -> list[Finding]:
    """Where the largest mix does not fit into the cream time of today's liquids."""
    wanted = job.limits.largest_batch_m3
    fits = largest_in_time_m3(job, history.foam.cream_s)
    if fits >= wanted:
        return []
    most, asked = apart(fits, wanted, lambda value, more: f"{value * 1e3:.{2 + more}g} L")
    would = temperature_that_would_do(job, history)
    return [
        finding(
            Code.BATCH_TOO_LARGE,
            parts_k=job.conditions.parts_k,
            cream_s=history.foam.cream_s,
            most=most,
            asked=asked,
            would_c=math.nan if would is None else would,
            coldest_k=COLDEST_K,
        )
    ]
