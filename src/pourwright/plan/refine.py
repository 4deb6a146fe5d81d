"""From the first division to one that is checked against heat and rise computed in the real shape.

The formulas give the first division. Rise, the bulge of the skin and heat are computed for it. Where a computed
limit is over and a shorter lift might help, the lifts between those heights must be shorter, and the cavity is divided
again; a new division is kept only if it is over its limits by less. The number of divisions is bounded.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pourwright.evaluation import ByFormulas, Evaluation, RiseHistory, SkinBulge, tips_asked
from pourwright.lifts import Division, EvenBands, Lift, Pour, Tighter
from pourwright.lifts import judged as names
from pourwright.physics import heat
from pourwright.plan.build import lift_plan_of
from pourwright.plan.case import Case
from pourwright.plan.heating import AFTER_S, Heating, heating_of, waits_of
from pourwright.plan.judge import (
    SHRINK_RISE,
    excess,
    flow_asks,
    heat_asks,
    heat_excess,
    lifts_judged,
    resized,
    rise_asks,
)
from pourwright.plan.lift_plan import LiftPlan
from pourwright.plan.reaction import History
from pourwright.plan.rising import rises_of
from pourwright.plan.rules import HeatRules
from pourwright.plan.schedule import Step, closed_wait, held_wait, schedule_of
from pourwright.plan.worth import worth_words
from pourwright.progress import Progress, silent

if TYPE_CHECKING:
    from pourwright.plan.skin_bulge import SkinJudge

Divide = Callable[..., Division]
"""Thicknesses to keep, whether panels bind, and the stage of a searched day (`plan.dividing`)."""
Offer = Callable[[Division, tuple[Tighter, ...]], Division]
"""The division with what would shorten its day; the thicknesses that it keeps."""

RISE_LIMITS = (names.SHORT, names.PRESSURE, names.FLOW_DISTANCE)
PUSH, SHORT = (names.PRESSURE,), (names.SHORT,)
RISE_ROUNDS, RISE_STEP = 6, 0.85
"""How often, and to what share, a pour that would gel on its way is shortened before the day is searched."""
THINNER = 0.7  # of a lift that would not bulge the skin, tried as well


@dataclass(frozen=True, eq=False)
class Computed:
    """What the division was checked against."""

    history: History
    heating: Heating | ByFormulas
    steps: tuple[Step, ...]  # the schedule
    divisions: int  # tried
    words: tuple[str, ...]  # what was tried and what came of it
    measuring: str = ""  # what it would be worth to measure the rise; empty: nothing to say


@dataclass(frozen=True, eq=False)
class Refined:
    """A division, and the plan of it and of what was computed for it."""

    division: Division
    plan: LiftPlan
    computed: Computed


@dataclass(frozen=True, eq=False)
class Tools:
    """What divides, and what judges the pressure on the skin in place of the panels' formulas.

    ``divide`` is given the thicknesses to keep besides the usual limits, and whether the strength of the panels is a
    limit too. ``judge`` is None where only the formulas judge; ``why_unjudged`` says in one sentence why, empty where
    there is nothing to tell. ``offer`` adds what would shorten a searched day. ``rise`` asks for the computed rise
    where heat is not: of a job that is begun, its heat is computed afterwards, from the record.
    """

    divide: Divide
    judge: SkinJudge | None = None
    why_unjudged: str = ""
    offer: Offer | None = None
    rise: bool = False


@dataclass(frozen=True, eq=False)
class _Tried:
    """A division with what is computed for it so far, and its lifts judged by that; it keeps ``asked``."""

    division: Division
    found: Evaluation
    lifts: tuple[Lift, ...]
    asked: tuple[Tighter, ...]

    @property
    def searched(self) -> bool:
        return not isinstance(self.division.day, EvenBands)


class _Loop:
    """Divisions of one case, evaluated: the only place where pairs of both are tried and chosen between."""

    def __init__(self, case: Case, tools: Tools, progress: Progress):
        self.case, self.tools, self.progress = case, tools, progress
        self.words: list[str] = []
        self.tried = 0
        self.by_rising = case.rules.computed or tools.rise

    def divided(self, asked: tuple[Tighter, ...], panels: bool = False) -> _Tried:
        """Panels shape the lifts only where nothing better judges the pressure, or where asked to."""
        self.tried += 1
        return self.risen(self.tools.divide(asked, panels or self.tools.judge is None), asked)

    def judged(self, division: Division, found: Evaluation, asked: tuple[Tighter, ...]) -> _Tried:
        return _Tried(division, found, lifts_judged(division, found, self.case), asked)

    def risen(self, division: Division, asked: tuple[Tighter, ...]) -> _Tried:
        """A division with its computed rise and the bulge of its skin, vents sized to it."""
        if not self.by_rising:
            return self._pressed(division, Evaluation(), asked)
        rises, foam = rises_of(division, self.case), self.case.foam
        sized = resized(division, rises, self.case.limits, max(foam.rise_end_s - foam.cream_s, 1.0))
        pairs = zip(division.vents, sized.vents, strict=True)
        if any(a.hole_m != b.hole_m or a.holes != b.holes for a, b in pairs):
            rises = rises_of(sized, self.case)
        return self._pressed(sized, Evaluation(rises=rises), asked)

    def _pressed(self, division: Division, found: Evaluation, asked: tuple[Tighter, ...]) -> _Tried:
        if self.tools.judge is None:
            return self.judged(division, found, asked)
        bulges = self.tools.judge.bulges(lifts_judged(division, found, self.case))
        return self.judged(division, replace(found, bulges=bulges), asked)

    def confirmed(self, tried: _Tried) -> _Tried:
        """A searched day with its waits on fine cells; another one that is better there if it keeps as much."""
        day, panels = tried.division.day, self.tools.judge is None
        if isinstance(day, EvenBands) or not self.case.rules.computed:
            return tried
        last = self.risen(self.tools.divide(tried.asked, panels, stage="last", of=day), tried.asked)
        if excess(last.lifts, RISE_LIMITS) > excess(tried.lifts, RISE_LIMITS) + 1e-9:
            last = self.risen(self.tools.divide(tried.asked, panels, stage="held", of=day), tried.asked)
        return last

    def heated(self, tried: _Tried) -> tuple[_Tried, Heating]:
        heating = heating_of(self.case, tried.division, self.progress)
        return self.judged(tried.division, replace(tried.found, heats=heating.pours), tried.asked), heating

    def asked_by_rise(self) -> tuple[Tighter, ...]:
        """How thick pours may be where the tallest that hands allow would gel on their way."""
        asked: tuple[Tighter, ...] = ()
        for _ in range(RISE_ROUNDS):
            division = self.tools.divide(asked, False, stage="fewest")
            rises = rises_of(division, self.case)
            lifts = lifts_judged(division, Evaluation(rises=rises), self.case)
            more = self._rise_asks(division, lifts, rises, RISE_STEP)
            if not more:
                break
            asked = (*asked, *more)
        if asked:
            least = min(ask.thickness_m for ask in asked)
            self.words.append(f"{_places(asked)}{f', down to {least:.2f} m' if math.isfinite(least) else ''}.")
        return asked

    def by_rise(self, tried: _Tried) -> _Tried:
        """Shorter lifts where the rise asks for them or the way of the liquid, as long as they help."""
        rules = self.case.rules
        while self.tried < rules.rounds and (more := self._asks(tried)):
            trial = self.divided((*tried.asked, *more))
            if excess(trial.lifts, RISE_LIMITS) >= excess(tried.lifts, RISE_LIMITS) - 1e-9:
                self.words.append(_no_help(more))
                break
            tried = trial
            self.words.append(_helped(more, tried))
        return tried

    def _rise_asks(
        self, division: Division, lifts: Sequence[Lift], rises: Mapping[str, RiseHistory], share: float = SHRINK_RISE
    ) -> tuple[Tighter, ...]:
        """Tips to be pours of their own; shorter lifts for what else stays empty or presses too hard."""
        tips = tips_asked(division, rises, self.case.space.graph, self.case.limits.least_pour_m3)
        return (*tips, *rise_asks(lifts, rises, share, {node for tip in tips for node in tip.nodes}))

    def _asks(self, tried: _Tried) -> tuple[Tighter, ...]:
        """By formulas there is no rise; even bands count for themselves how far their liquid runs."""
        flow = flow_asks(tried.lifts) if tried.searched else ()
        return (*self._rise_asks(tried.division, tried.lifts, tried.found.rises), *flow)

    def by_skin(self, tried: _Tried) -> _Tried:
        """Thinner lifts where the skin bulges too far, as long as they help."""
        judge = self.tools.judge
        if judge is None:
            return tried
        for k in range(self.case.job.structure.rounds):
            if excess(tried.lifts, PUSH) <= 0:
                break
            more = judge.asks(tried.lifts, tried.found.bulges, tried.searched)
            best, took = self._thinner(tried, more, first=k == 0)
            if excess(best.lifts, PUSH) >= excess(tried.lifts, PUSH) - 1e-9:
                none = "No thinner lift was found that would not bulge the skin too far."
                self.words.append(_no_help(more) if more else none)
                break
            tried = best
            self.words.append(
                _helped(took, tried) if took else "Lifts by the flattest panels press the skin less: taken."
            )
        return tried

    def _thinner(self, tried: _Tried, more: tuple[Tighter, ...], first: bool) -> tuple[_Tried, tuple[Tighter, ...]]:
        """The one that presses the skin least of those that ask for thinner lifts, and what it asks for."""
        thin = tuple(replace(one, thickness_m=max(names.THIN_LIFT.value, THINNER * one.thickness_m)) for one in more)
        ways = [(more, False), (thin, False)] * bool(more) + [(more, True)] * (first and not tried.searched)
        trials: list[tuple[_Tried, tuple[Tighter, ...]]] = []
        for asks, panels in ways:
            trials.append((self.divided((*tried.asked, *asks), panels), asks))
            if tried.searched and excess(trials[-1][0].lifts, (*PUSH, *SHORT)) <= 0:
                break  # the least change that serves: others would only cost the day more
        # Shores can make good what presses too hard; what stays empty they cannot.
        good = [one for one in trials if excess(one[0].lifts, SHORT) <= excess(tried.lifts, SHORT) + 1e-9]
        return min(good, key=lambda one: excess(one[0].lifts, PUSH), default=(tried, more))

    def by_heat(self, tried: _Tried) -> tuple[_Tried, Heating]:
        """Shorter lifts where the computed heat asks for them, as long as they help."""
        rules = self.case.rules
        self.progress("heat", 0.0)
        tried, heating = self.heated(self.confirmed(tried))
        while self.tried < rules.rounds and (more := heat_asks(tried.lifts, tried.found.heats, rules)):
            trial, trial_heating = self.heated(self.confirmed(self.divided((*tried.asked, *more))))
            better = _heat_excess(trial, rules) < _heat_excess(tried, rules) - 1e-9
            if not better or excess(trial.lifts, RISE_LIMITS) > excess(tried.lifts, RISE_LIMITS) + 1e-9:
                self.words.append(_no_help(more))
                break
            tried, heating = trial, trial_heating
            self.words.append(_helped(more, tried))
        return tried, heating

    def propped(self, tried: _Tried) -> _Tried:
        """The division with shores where its skin still bulges too far, and a word on what judged the pressure."""
        judge = self.tools.judge
        if judge is None:
            self.words += [self.tools.why_unjudged] if self.tools.why_unjudged else []
            return tried
        by_rise = lifts_judged(tried.division, Evaluation(rises=tried.found.rises), self.case)
        bulges = judge.bulges(by_rise, props=True, progress=self.progress)
        self.words.append(_skin_words(bulges, judge.change))
        return replace(tried, found=replace(tried.found, bulges=bulges))

    def built(self, tried: _Tried, waits_s: Sequence[float]) -> tuple[LiftPlan, tuple[Step, ...]]:
        """The plan with its waits, and its schedule."""
        by_lift = {lift.number: wait for lift, wait in zip(tried.lifts, waits_s, strict=True)}
        plan = lift_plan_of(tried.division, replace(tried.found, waits_s=by_lift), self.case)
        job = self.case.job
        return plan, schedule_of(plan, self.case.foam, job.limits, job.heat.between_s, job.day)


def refine(case: Case, tools: Tools, progress: Progress = silent) -> Refined:
    """Divide, compute, and divide again where that helps.

    Parameters
    ----------
    case : Case
    tools : Tools
    progress : Progress

    Returns
    -------
    Refined
    """
    loop, rules = _Loop(case, tools, progress), case.rules
    asked = loop.asked_by_rise() if rules.computed and case.job.day.search else ()
    tried = loop.by_skin(loop.by_rise(loop.divided(asked)))
    if not rules.computed:
        tried = loop.propped(tried)
        division = _last_cools(tried.division, case.history, rules.release_k)
        tried = loop.judged(division, tried.found, tried.asked)
        plan, steps = loop.built(tried, _closed_waits(case, tried.division, tried.lifts))
        first = "Heat and rise were not computed: formulas only."
        first = "The rise of what is left was computed in the space that is left." if loop.by_rising else first
        computed = Computed(case.history, ByFormulas(), steps, loop.tried, (first, *loop.words))
        return Refined(tried.division, plan, computed)
    tried, heating = loop.by_heat(tried)
    with ThreadPoolExecutor(1) as beside:
        early = None if tried.searched else beside.submit(worth_words, case, tried.division, heating)
        tried = loop.propped(tried)
    if tools.offer is not None:
        tried = replace(tried, division=tools.offer(tried.division, tried.asked))
    plan, steps = loop.built(tried, _heated_waits(case, tried.lifts, heating))
    first = (
        f"Heat and rise were computed for {loop.tried} division{'s' if loop.tried > 1 else ''} into lifts, on "
        f"{heating.nominal.cells} heat cells of {heating.nominal.cell_m * 1e3:.3g} mm."
    )
    worth = early.result() if early else worth_words(case, tried.division, heating)
    words = (first, *loop.words, *([worth] if worth else []))
    return Refined(tried.division, plan, Computed(case.history, heating, steps, loop.tried, words, worth))


def _heat_excess(tried: _Tried, rules: HeatRules) -> float:
    return heat_excess(tried.lifts, tried.found.heats, rules)


def _last_cools(division: Division, history: History, release_k: float) -> Division:
    """Formulas: the last lift is left until its core is below ``release_k``, not until another could come on it."""
    if not division.lifts:
        return division
    air, to_tenth = history.foam.conditions.air_k, heat.slab_time_to_share(names.HOT_SHARE.value, 1.0, 1.0)

    def left(pour: Pour) -> Pour:
        share = (release_k - air) / max(pour.peak_k.nominal - air, 1e-9)
        if not 0.0 < share < 1.0:
            return pour
        cool = 3600.0 * pour.hot_hours * heat.slab_time_to_share(share, 1.0, 1.0) / to_tenth
        return replace(pour, wait_s=max(pour.wait_s, history.foam.rise_end_s + cool))

    last = replace(division.lifts[-1], pours=tuple(left(pour) for pour in division.lifts[-1].pours))
    return replace(division, lifts=(*division.lifts[:-1], last))


def _closed_waits(case: Case, division: Division, lifts: Sequence[Lift]) -> tuple[float, ...]:
    """Waits by formulas; of a searched day those it has."""
    shop = case.foam, case.limits, case.rules.between_s
    waits = tuple(closed_wait(lift, *shop) for lift in lifts)
    if isinstance(division.day, EvenBands) or not waits:
        return waits
    pairs = zip(lifts, waits_of(division), strict=False)  # of the last it has none
    return (*(held_wait(lift, *shop, wait) for lift, wait in pairs), waits[-1])


def _heated_waits(case: Case, lifts: Sequence[Lift], heating: Heating) -> tuple[float, ...]:
    """Computed waits; where the last lift is not cool at the end of the account, the formula if that is longer."""
    *before, last = heating.lift_waits_s
    if math.isnan(last):
        closed = closed_wait(lifts[-1], case.foam, case.limits, case.rules.between_s)
        last = closed if closed > AFTER_S else math.nan
    return (*before, last)


def _skin_words(bulges: Mapping[int, SkinBulge], finer: float) -> str:
    """What judged the pressure on the skin, in one sentence; ``finer``: what twice the triangles changed."""
    count = sum(len(bulge.shores) for bulge in bulges.values())
    with_shores = f"; {count} shores are to be set up" if count else ""
    triangles = max((bulge.triangles for bulge in bulges.values()), default=0)
    rough = any(bulge.triangles < triangles for bulge in bulges.values())
    change = "half as many where a lift uses little of what the skin stands" if rough else ""
    if math.isfinite(finer):
        change += f"{'; ' if change else ''}on half as many the largest share used differs by {abs(finer):.0%}"
    change = f" ({change})" if change else ""
    return (
        f"The skin under the pressure of each lift was computed by finite elements, {triangles} triangles{change}; the "
        f"formula of its panels is kept beside for comparison{with_shores}."
    )


def _places(asks: tuple[Tighter, ...]) -> str:
    low, high = min(a.bottom_m for a in asks), max(a.top_m for a in asks)
    why = ", ".join(dict.fromkeys(a.name for a in asks))
    tips = sum(a.own for a in asks)
    wanted = ["shorter lifts"] if tips < len(asks) else []
    if tips:
        wanted.append("a tip with a pour of its own" if tips == 1 else f"{tips} tips, each with a pour of its own")
    return f"{why}: {' and '.join(wanted)} between {low:.2f} m and {high:.2f} m"


def _helped(asks: tuple[Tighter, ...], tried: _Tried) -> str:
    return f"{_places(asks)}; taken, {len(tried.lifts)} lifts."


def _no_help(asks: tuple[Tighter, ...]) -> str:
    return f"{_places(asks)} were tried and did not help."
