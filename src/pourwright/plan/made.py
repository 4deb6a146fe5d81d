"""The plan as made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pourwright.findings import Verdict

if TYPE_CHECKING:
    import numpy as np

    from pourwright.cavity import Cavity, LevelGraph, PourFrame
    from pourwright.cores import Cored
    from pourwright.findings import Finding
    from pourwright.foam import FoamAtShop
    from pourwright.lifts import Check
    from pourwright.lining import Lining
    from pourwright.outcome import Outcome
    from pourwright.plan.lift_plan import LiftPlan
    from pourwright.plan.model import Job
    from pourwright.plan.one_shot import OneShot
    from pourwright.plan.refine import Computed
    from pourwright.ribs import Ribbed
    from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything about one piece; the only object that sees every stage."""

    job: Job
    skin: Skin
    frame: PourFrame
    cavity: Cavity
    graph: LevelGraph
    foam: FoamAtShop
    lift_plan: LiftPlan
    outcome: Outcome
    checks: tuple[Check, ...]  # of the whole piece
    warnings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    provenance: dict[str, str]  # program, library versions, input hashes
    computed: Computed  # heat and schedule that the division was checked against, and how it was found

    @property
    def over_limit(self) -> tuple[Check, ...]:
        """Every check that is over, of the piece and of each pour."""
        return tuple(check for check in self._every_check() if check.verdict == Verdict.OVER)

    @property
    def not_known(self) -> tuple[Check, ...]:
        """Every check that could not be computed, of the piece and of each pour: never to be taken as safe."""
        return tuple(check for check in self._every_check() if check.verdict == Verdict.UNKNOWN)

    def _every_check(self) -> list[Check]:
        pours = [c for lift in self.lift_plan.lifts for pour in lift.pours for c in pour.checks]
        return [*self.checks, *pours]

    @property
    def up(self) -> np.ndarray:
        """The pour direction in the shell file's axes."""
        return self.frame.up


@dataclass(frozen=True, eq=False)
class LinedPlan(Plan):
    """The plan of a piece that is lined by turning: it has no lifts."""

    lining: Lining


@dataclass(frozen=True, eq=False)
class CoredPlan(Plan):
    """The plan of a piece with light cores in its foam."""

    cores: Cored


@dataclass(frozen=True, eq=False)
class RibbedPlan(Plan):
    """The plan of a piece with foam in bands only: ``cavity`` and ``graph`` are those of its ribs."""

    ribbed: Ribbed


@dataclass(frozen=True, eq=False)
class MachinePlan(Plan):
    """The plan of a piece that a machine fills: packing, fixture and series beside its one lift."""

    shot: OneShot
