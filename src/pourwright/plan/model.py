"""The job as asked and the plan as made."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, PourFrame
from pourwright.foam import Conditions, CupTest, FoamAtShop, FoamGrade
from pourwright.lifts import Check, LiftPlan, ShopLimits
from pourwright.outcome import Outcome, Site
from pourwright.plan.rules import DayRules, HeatRules, StructureRules
from pourwright.shell import MEMORY_BYTES, Skin, SkinKind, SkinMaterial, WallBand

if TYPE_CHECKING:
    from pourwright.plan.refine import Computed


@dataclass(frozen=True)
class Job:
    """One piece to plan. SI inside; ``pourwright.intake.read_job`` makes one from a job file."""

    name: str
    shell: Path
    unit: str | None  # of the shell file's numbers: "mm", "cm", "in", "ft", "m"; None takes the file's own
    material: SkinMaterial
    bands: tuple[WallBand, ...]  # one band for an even wall
    grade: FoamGrade
    kind: SkinKind | None = None  # None: decided from the mesh
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)  # shell axes
    front: tuple[float, float, float] = (0.0, -1.0, 0.0)
    conditions: Conditions = field(default_factory=lambda: Conditions(295.372, 295.372, 295.372))
    limits: ShopLimits = field(default_factory=ShopLimits)
    cell_m: float | None = None
    memory_bytes: int = MEMORY_BYTES
    crumb_m3: float | None = None
    loss_share: float = 0.08
    bond: float | None = None  # 0 no bond .. 1 full bond; None: by the skin material
    assumed: tuple[str, ...] = ()  # defaults that were taken, in words
    place: str = ""  # where it will stand or hang
    site: Site = field(default_factory=Site)  # what holds it, lifts it, what it stands and floats in
    heat: HeatRules = field(default_factory=HeatRules)  # how heat and rise are computed and judged
    day: DayRules = field(default_factory=DayRules)  # what the day is chosen by
    structure: StructureRules = field(default_factory=StructureRules)  # how the skin is computed
    cup: CupTest | None = None  # measured on the day; the grade already holds it


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
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    provenance: dict[str, str]  # program, library versions, input hashes
    computed: Computed | None = None  # heat, rise and schedule the division was held against

    @property
    def over_limit(self) -> tuple[Check, ...]:
        """Every check that is over, of the piece and of each pour."""
        return tuple(check for check in self._every_check() if check.verdict == "over")

    @property
    def not_known(self) -> tuple[Check, ...]:
        """Every check that could not be computed, of the piece and of each pour: never to be taken as safe."""
        return tuple(check for check in self._every_check() if check.verdict == "unknown")

    def _every_check(self) -> list[Check]:
        pours = [c for lift in self.lift_plan.lifts for pour in lift.pours for c in pour.checks]
        return [*self.checks, *pours]

    @property
    def up(self) -> np.ndarray:
        """The pour direction in the shell file's axes."""
        return self.frame.up
