"""One piece on coarse cells, and what each way of filling it comes to there."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pourwright.cavity import Space, build_cavity, build_levels, pour_frame
from pourwright.errors import PourwrightError
from pourwright.lifts import EvenBands
from pourwright.lining import Roll, Rules, rolls_of
from pourwright.outcome import StiffnessGain
from pourwright.panels import panels
from pourwright.plan import (
    Case,
    CoredPlan,
    Job,
    LinedPlan,
    Plan,
    RibbedPlan,
    Tried,
    history_of,
    lined_plan,
    make_plan,
    skin_of,
    space_of,
)
from pourwright.progress import Progress, silent
from pourwright.ribs import BOARD_DENSITY, RibRules
from pourwright.sources import Cited, Standing
from pourwright.ways.names import cores_words, lining_words, ups_of

CELLS_ALONG = 140
"""Cells along the longest side while ways are compared, and ..."""
INSIDE_ALONG = 28
"""... those of the inside."""
SHARES = (0.06, 0.09, 0.13, 0.18, 0.24, 0.32, 0.42, 0.55)
"""Linings that are looked at, as shares of the deepest place of the cavity ..."""
LEAST_M, STEP_M = 0.008, 0.001
"""... in whole millimetres, none thinner."""
RIBS, RIB_M, BOARD_M = (2, 4), 0.12, 0.009
"""Ribs of a piece whose job has none: how many, each no thicker than so much and a third of its share of the height, on
boards of so much; our judgement."""
LAY_S = Cited(300.0, "s", Standing.JUDGEMENT, note="to set a core on its pads, wedge it and tie it down")


@dataclass(frozen=True, slots=True)
class Way:
    """One way of filling the piece. nan: not known."""

    name: str
    rules: Rules
    foam_kg: float
    total_kg: float
    high_kg: float  # its high end
    gain: float  # flattest panel pushed in, after over before
    body: float  # whole body bending, after over before
    hours: float  # until the last foam is set, with the laying of cores
    dose_h: float  # above the caution temperature, likely
    liquids_kg: float  # to buy
    cost: float  # liquids and hours at the prices given; nan without
    coverage: float
    solid_share: float  # of its foam that lies where coats would meet
    over: tuple[str, ...]  # checks over a limit
    unknown: tuple[str, ...]  # checks that could not be computed: never to be taken as safe
    beaten: bool  # another is lighter, stiffer and quicker, or as good in some of these


class Bench:
    """What all ways of a piece share, on coarse cells."""

    def __init__(self, job: Job, progress: Progress = silent) -> None:
        self.asked = job
        self.skin = skin_of(job, progress)
        self.frame = pour_frame(self.skin.vertices_m, np.asarray(job.up), np.asarray(job.front))
        cell = job.cell_m or float(self.frame.size_m.max()) / CELLS_ALONG
        self.job = replace(job, cell_m=cell, heat=replace(job.heat, computed=False))
        self.cavity = build_cavity(
            self.skin,
            self.frame,
            cell_m=cell,
            memory_bytes=job.memory_bytes,
            stray_void_m3=job.stray_void_m3,
            irons=job.site.irons(self.frame),
        )
        self.graph = build_levels(self.cavity, ripple_m=job.limits.ripple_m)
        self.history = history_of(job)
        self.flattest = panels(self.skin, 16)
        self._served: dict[str, tuple[tuple[Roll, ...], ...]] = {}  # rolls of the lining before, by turning
        self._ways: dict[Rules, Way | None] = {}

    def thicknesses(self) -> list[float]:
        """Linings to look at, from thin to thick."""
        import edt

        deepest = float(edt.edt(self.cavity.fraction >= 128).max()) * self.cavity.grid.cell_m
        return sorted({max(LEAST_M, round(share * deepest / STEP_M) * STEP_M) for share in SHARES})

    def solid(self) -> Way:
        """Filled solid, as a quick plan has it."""
        return self._poured("solid", Rules())

    def cored(self, rules: Rules) -> Way:
        """With the cores of the job, as a quick plan has it; how stiff it gets is not known."""
        return replace(self._poured(cores_words(rules), rules), gain=math.nan, body=math.nan)

    def ribs(self) -> list[tuple[str, Rules]]:
        """The ribs of the job, else some that are spaced evenly, each by its name."""
        if self.job.fill.ribs is not None:
            return [("ribs", self.job.fill)]
        tall, base = float(self.frame.size_m[2]), 0.0
        out = []
        for count in RIBS:
            deep = min(RIB_M, tall / (3.0 * count))
            first = (tall - count * deep) / (count + 1)
            lows = [base + first + k * (first + deep) for k in range(count)]
            bands = tuple((low, low + deep) for low in lows)
            rules = RibRules(bands, BOARD_M, BOARD_DENSITY.value)
            out.append((f"{count} ribs of {1e3 * deep:.0f} mm", Rules("ribs", ribs=rules)))
        return out

    def ribbed(self, name: str, rules: Rules) -> Way:
        """Ribs, as a quick plan has them, with the boards of their dams."""
        return self._poured(name, rules)

    def way(self, rules: Rules) -> Way | None:
        """Solid or a lining on these cells; None where the lining leaves nothing hollow."""
        if rules not in self._ways:
            try:
                self._ways[rules] = self.solid() if rules.style == "solid" else self.lined(rules)
            except PourwrightError:
                self._ways[rules] = None
        return self._ways[rules]

    def _poured(self, name: str, rules: Rules) -> Way:
        plan = make_plan(replace(self.job, fill=rules))
        laid_h = len(plan.cores.laid) * LAY_S.value / 3600.0 if isinstance(plan, CoredPlan) else 0.0
        day = plan.lift_plan.day
        hours, dose = (day.day.hours, day.day.worst_h) if not isinstance(day, EvenBands) else (math.nan, math.nan)
        coverage = plan.ribbed.coverage if isinstance(plan, RibbedPlan) else 1.0
        return _way(name, plan, laid_h + hours + plan.foam.tack_free_s / 3600.0, dose, coverage, 0.0)

    def planned(self, rules: Rules) -> LinedPlan:
        """A lining on these cells."""
        turned = rules.by == "turning"
        tried = Tried(self._served.get(rules.turning, ()) if turned else (), INSIDE_ALONG)
        own = any(part.limb is not None for part in rules.parts)  # a plan's cells name the limbs
        space = self.as_planned if own else self.space
        job = replace(self.job, cell_m=self.asked.cell_m if own else self.job.cell_m, fill=rules)
        plan = lined_plan(Case(job, space, self.history), silent, tried)
        if turned and not rules.parts:
            self._served[rules.turning] = rolls_of(plan.lining)
        return plan

    @property
    def space(self) -> Space:
        """The piece on these cells."""
        return Space(self.skin, self.cavity, self.graph, self.flattest)

    @cached_property
    def as_planned(self) -> Space:
        """The piece on the cells of a plan, whose limbs have the names that a job file can say."""
        return space_of(self.asked)

    def lined(self, rules: Rules) -> Way:
        """The same as a way."""
        plan = self.planned(rules)
        lining = plan.lining
        if rules.by == "spreading" and len(rules.positions) > 1:  # those that it is laid in
            plan = replace(plan, job=replace(plan.job, fill=replace(rules, positions=ups_of(lining))))
        return _way(
            lining_words(plan.job.fill),
            plan,
            lining.hours,
            lining.dose_h,
            lining.coverage,
            lining.solid_m3 / lining.region.foam_m3,
        )


def gain_of(gains: tuple[StiffnessGain, ...], word: str) -> float:
    """The counted gain whose name holds a word; nan without."""
    return next((float(gain.counted) for gain in gains if word in gain.name), math.nan)


def _way(name: str, plan: Plan, hours: float, dose_h: float, coverage: float, solid_share: float) -> Way:
    outcome = plan.outcome
    inside = len(plan.cores.laid) * plan.cores.rules.kg.nominal if isinstance(plan, CoredPlan) else 0.0
    if isinstance(plan, RibbedPlan):
        inside = math.fsum(dam.kg.nominal for dam in plan.ribbed.dams)
    return Way(
        name=name, rules=plan.job.fill, foam_kg=outcome.foam_kg.nominal, total_kg=outcome.total_kg.nominal + inside,
        high_kg=outcome.total_kg.high + inside,
        gain=gain_of(outcome.stiffness, "pushed in"), body=gain_of(outcome.stiffness, "whole body"), hours=hours,
        dose_h=dose_h, liquids_kg=outcome.liquids_a_kg + outcome.liquids_b_kg, cost=math.nan, coverage=coverage,
        solid_share=solid_share, over=tuple(dict.fromkeys(check.name for check in plan.over_limit)),
        unknown=tuple(dict.fromkeys(check.name for check in plan.not_known)), beaten=False,
    )  # fmt: skip
