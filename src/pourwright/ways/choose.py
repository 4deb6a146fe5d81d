"""The two direct questions: least weight at a stiffness, stiffest under a weight; found by search, then planned."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourwright.lining import Rules
from pourwright.outcome import lined_gains
from pourwright.plan import Job, LinedPlan, Plan, make_plan
from pourwright.progress import Progress, silent
from pourwright.ways.bench import STEP_M, Bench, Way, gain_of
from pourwright.ways.names import lining_words
from pourwright.ways.panel import Sandwich, free_wall
from pourwright.ways.proposals import mixtures, spreads

STEPS = 12
"""Linings tried between the thinnest and one that leaves next to nothing hollow."""
UNKNOWN = "how stiff this piece gets is not known: it has no flat panel whose stiffness could be told"
NEAR = 0.9
"""Of the gain that is asked for, on coarse cells, from which on a way is planned in full; our judgement."""
HEAVIER = 1.02
"""Of the weight that is allowed, on coarse cells, beyond which no way is planned in full; our judgement."""


@dataclass(frozen=True, eq=False)
class Answer:
    """A question and what was found; ``plan`` is None where no way does it."""

    question: str
    plan: Plan | None
    gain: float  # of the flattest panel pushed in, in that plan; nan without
    words: str
    panel: tuple[Sandwich, Sandwich] | None = None  # as it is lined, and lightest with the wall free


def least_weight(job: Job, gain: float, progress: Progress = silent) -> Answer:
    """The lightest way with which the flattest panel is at least ``gain`` times as stiff as bare.

    Ways that keep every limit go before lighter ones that do not.
    """
    question = f"least weight with the flattest panel at least {gain:g} times as stiff"
    bench = Bench(job, progress)
    enough = [rules for rules in _candidates(bench) if _gain(bench, rules) >= gain]  # the formula is the most there is
    answers: dict[Rules, Answer] = {}
    for within in (True, False):
        for way in _by_weight(bench, enough):
            if not way.gain >= NEAR * gain or (within and way.over):
                continue
            answer = _asked(answers, bench, way.rules, question, progress)
            kept = answer.plan is not None and not (within and answer.plan.over_limit)
            if kept and answer.gain >= gain * (1.0 - 1e-6):
                return answer
    why = "no way of filling this piece reaches that: take a denser grade"
    return Answer(question, None, math.nan, UNKNOWN if math.isnan(_gain(bench, Rules())) else why)


def stiffest(job: Job, most_kg: float, progress: Progress = silent) -> Answer:
    """The way with the stiffest panel whose piece weighs no more than ``most_kg``, high end of its weight.

    Ways that keep every limit go before stiffer ones that do not. A lining is as stiff as its thinnest place lets it,
    so the thickest one that is light enough need not be the stiffest.
    """
    question = f"stiffest with no more than {most_kg:g} kg"
    bench = Bench(job, progress)
    candidates = _candidates(bench)
    if bench.planned(candidates[0]).outcome.total_kg.high > most_kg:  # the thinnest lining is the lightest
        return Answer(question, None, math.nan, "no way of filling this piece is so light: allow more")
    ways = [way for way in _by_weight(bench, candidates, HEAVIER * most_kg) if way.high_kg <= HEAVIER * most_kg]
    if ways and all(math.isnan(way.gain) for way in ways):
        return Answer(question, None, math.nan, UNKNOWN)
    heaviest, answers = len(ways), dict[Rules, Answer]()
    for within in (True, False):
        places = [k for k, way in enumerate(ways) if not (math.isnan(way.gain) or (within and way.over))]
        for k in sorted(places, key=lambda k: (-round(ways[k].gain, 6), k)):
            if k >= heaviest:  # thicker than one that is too heavy
                continue
            answer = _asked(answers, bench, ways[k].rules, question, progress)
            if answer.plan is None:
                continue
            if answer.plan.outcome.total_kg.high > most_kg:
                heaviest = k
            elif not (within and answer.plan.over_limit):
                return answer
    return Answer(question, None, math.nan, "no way of filling this piece is so light: allow more, or a lighter foam")


def _by_weight(bench: Bench, candidates: list[Rules], most_kg: float = math.inf) -> list[Way]:
    """The ways of some rules on coarse cells, the lightest first.

    Of linings all round those thicker than one that is heavier than ``most_kg`` are not looked at: weight rises with
    thickness.
    """
    ways, heavy = [], False
    for rules in candidates:
        even = not rules.parts and rules.by == "turning"
        way = None if heavy and even else bench.way(rules)
        if way is not None:
            heavy = heavy or (even and way.high_kg > most_kg)
            ways.append(way)
    return sorted(ways, key=lambda way: (round(way.total_kg, 9), way.name))


def _candidates(bench: Bench) -> list[Rules]:
    """Linings all round by their thickness, solid, then mixtures by limb and what is spread by hand."""
    thick = bench.thicknesses()
    low, high = thick[0], thick[-1]
    turning, least = bench.job.fill.turning, bench.job.fill.least_m
    steps = sorted({round((low + (high - low) * k / (STEPS - 1)) / STEP_M) * STEP_M for k in range(STEPS)})
    more = [
        one for found in (mixtures(bench), spreads(bench, thick[1::2])) if not isinstance(found, str) for one in found
    ]
    return [*(Rules("lining", t, turning, least_m=least) for t in steps), Rules(), *more]


def _gain(bench: Bench, rules: Rules) -> float:
    """The gain by formula alone: a panel's needs neither region nor positions; of solid foam if a part may be."""
    from pourwright.outcome import stiffness_gains

    args = bench.skin, bench.flattest, bench.cavity, bench.graph, bench.history.foam
    if rules.style == "solid" or rules.parts:
        return gain_of(stiffness_gains(*args, bond=bench.job.bond), "pushed in")
    found = lined_gains(*args, None, rules.thickness_m or 0.0, bond=bench.job.bond)
    return gain_of(found, "pushed in")


def _asked(before: dict[Rules, Answer], bench: Bench, rules: Rules, question: str, progress: Progress) -> Answer:
    """The answer of these rules, planned once."""
    if rules not in before:
        before[rules] = _answer(bench, rules, question, progress)
    return before[rules]


def _answer(bench: Bench, rules: Rules, question: str, progress: Progress) -> Answer:
    """The way planned on the cells of a plan."""
    from pourwright.errors import PourwrightError

    job = bench.asked
    try:
        plan = make_plan(replace(job, fill=rules, heat=replace(job.heat, computed=False)), progress)
    except PourwrightError as error:
        return Answer(question, None, math.nan, str(error))
    panel = None
    if isinstance(plan, LinedPlan) and plan.skin.material.foam_bonds and bench.flattest:
        lining = plan.lining
        most = max(bench.thicknesses()[-1], lining.thinnest_m)
        panel = free_wall(plan.skin, bench.flattest[0], plan.foam, lining.thinnest_m, most)
    name = "solid" if rules.style == "solid" else lining_words(rules)
    return Answer(question, plan, gain_of(plan.outcome.stiffness, "pushed in"), name, panel)
