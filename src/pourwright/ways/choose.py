"""The two direct questions: least weight at a stiffness, stiffest under a weight; found by search, then planned."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourwright.lining import Rules
from pourwright.outcome import lined_gains
from pourwright.plan import Job, Plan, make_plan
from pourwright.progress import Progress, silent
from pourwright.ways.compare import STEP_M, Bench, gain_of

STEPS = 12
"""Linings tried between the thinnest and one that leaves next to nothing hollow."""


@dataclass(frozen=True, eq=False)
class Answer:
    """A question and what was found; ``plan`` is None where no way does it."""

    question: str
    plan: Plan | None
    gain: float  # of the flattest panel pushed in, in that plan; nan without
    words: str


def least_weight(job: Job, gain: float, progress: Progress = silent) -> Answer:
    """The lightest way with which the flattest panel is at least ``gain`` times as stiff as bare."""
    question = f"least weight with the flattest panel at least {gain:g} times as stiff"
    bench = Bench(job, progress)
    for rules in _candidates(bench):  # weight rises with thickness
        if _gain(bench, rules) >= gain:
            answer = _answer(job, rules, question, progress)
            if answer.plan is not None and answer.gain >= gain * (1.0 - 1e-6):
                return answer
    return Answer(question, None, math.nan, "no way of filling this piece reaches that: take a denser grade")


def stiffest(job: Job, most_kg: float, progress: Progress = silent) -> Answer:
    """The way with the stiffest panel whose piece weighs no more than ``most_kg``, high end of its weight."""
    question = f"stiffest with no more than {most_kg:g} kg"
    bench = Bench(job, progress)
    candidates = _candidates(bench)
    if bench.planned(candidates[0]).outcome.total_kg.high > most_kg:  # the thinnest lining is the lightest
        return Answer(question, None, math.nan, "no way of filling this piece is so light: allow more")
    tried = [(round(_gain(bench, rules), 6), -k, rules) for k, rules in enumerate(candidates)]
    heaviest = -len(tried)  # weight rises with thickness: what is thicker than one that is too heavy is too
    for _, place, rules in sorted(tried, key=lambda one: one[:2], reverse=True):
        if place <= heaviest:
            continue
        answer = _answer(job, rules, question, progress)
        if answer.plan is not None and answer.plan.outcome.total_kg.high <= most_kg:
            return answer
        if answer.plan is not None:
            heaviest = max(heaviest, place)
    return Answer(question, None, math.nan, "no way of filling this piece is so light: allow more, or a lighter foam")


def _candidates(bench: Bench) -> list[Rules]:
    thick = bench.thicknesses()
    low, high = thick[0], thick[-1]
    turning, least = bench.job.fill.turning, bench.job.fill.least_m
    steps = sorted({round((low + (high - low) * k / (STEPS - 1)) / STEP_M) * STEP_M for k in range(STEPS)})
    return [*(Rules("lining", t, turning, least_m=least) for t in steps), Rules()]


def _gain(bench: Bench, rules: Rules) -> float:
    """The gain by formula alone: a panel's needs neither region nor positions."""
    from pourwright.outcome import stiffness_gains

    args = bench.skin, bench.flattest, bench.cavity, bench.graph, bench.history.foam
    if rules.style == "solid":
        return gain_of(stiffness_gains(*args, bond=bench.job.bond), "pushed in")
    found = lined_gains(*args, None, rules.thickness_m or 0.0, bond=bench.job.bond)
    return gain_of(found, "pushed in")


def _answer(job: Job, rules: Rules, question: str, progress: Progress) -> Answer:
    """The way planned on the cells of a plan."""
    from pourwright.errors import PourwrightError

    try:
        plan = make_plan(replace(job, fill=rules, heat=replace(job.heat, computed=False)), progress)
    except PourwrightError as error:
        return Answer(question, None, math.nan, str(error))
    name = "solid" if rules.style == "solid" else f"lining of {1e3 * (rules.thickness_m or 0.0):.0f} mm"
    return Answer(question, plan, gain_of(plan.outcome.stiffness, "pushed in"), name)
