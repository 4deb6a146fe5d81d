"""The job as asked."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from pourwright.fixture import FixtureRules
from pourwright.foam import Conditions, CupTest, FoamGrade
from pourwright.lifts import ShopLimits
from pourwright.lining import Rules
from pourwright.outcome import Site
from pourwright.plan.rules import DayRules, HeatRules, StructureRules
from pourwright.sanitising import MEMORY_BYTES
from pourwright.series import SeriesRules
from pourwright.shell import SkinKind, SkinMaterial, WallBand, WallGauge, WallRegion
from pourwright.shot import Machine


@dataclass(frozen=True)
class Job:
    """One piece to plan. SI inside; ``pourwright.intake.read_job`` makes one from a job file."""

    name: str
    shell: Path
    unit: str | None  # of the shell file's numbers: "mm", "cm", "in", "ft", "m"; None takes the file's own
    material: SkinMaterial
    bands: tuple[WallBand, ...]  # one band for an even wall
    grade: FoamGrade
    regions: tuple[WallRegion, ...] = ()  # with a wall of their own
    gauge: WallGauge | None = None  # walls measured at points, in place of the bands'
    kind: SkinKind | None = None  # None: decided from the mesh
    up: tuple[float, float, float] = (0.0, 0.0, 1.0)  # shell axes
    front: tuple[float, float, float] = (0.0, -1.0, 0.0)
    conditions: Conditions = field(default_factory=lambda: Conditions(295.372, 295.372, 295.372))
    limits: ShopLimits = field(default_factory=ShopLimits)
    cell_m: float | None = None
    memory_bytes: int = MEMORY_BYTES
    stray_void_m3: float | None = None
    loss_share: float = 0.08
    bond: float | None = None  # 0 no bond .. 1 full bond; None: by the skin material
    assumed: tuple[str, ...] = ()  # defaults that were taken, in words
    place: str = ""  # where it will stand or hang
    site: Site = field(default_factory=Site)  # what holds it, lifts it, what it stands and floats in
    heat: HeatRules = field(default_factory=HeatRules)  # how heat and rise are computed and judged
    day: DayRules = field(default_factory=DayRules)  # what the day is chosen by
    structure: StructureRules = field(default_factory=StructureRules)  # how the skin is computed
    fill: Rules = field(default_factory=Rules)  # solid, or lined
    machine: Machine | None = None  # a dispenser that fills a closed cavity in one shot
    fixture: FixtureRules = field(default_factory=FixtureRules)  # what holds it then
    series: SeriesRules | None = None  # how many parts, by whom
    cup: CupTest | None = None  # measured on the day; the grade already holds it
