"""What is planned: the job, the piece and the foam of the day, as one value for the stages that need all three."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourwright.cavity import Space
from pourwright.foam import FoamAtShop
from pourwright.lifts import ShopLimits
from pourwright.plan.model import Job
from pourwright.plan.reaction import History
from pourwright.plan.rules import HeatRules


@dataclass(frozen=True, eq=False)
class Case:
    """A job at hand. What a stage may assume of it: ``history`` is the foam of ``job`` at its conditions."""

    job: Job
    space: Space
    history: History

    @property
    def foam(self) -> FoamAtShop:
        """The foam of the day."""
        return self.history.foam

    @property
    def limits(self) -> ShopLimits:
        """Of shop, supplier and person."""
        return self.job.limits

    @property
    def rules(self) -> HeatRules:
        """How heat and rise are computed and judged."""
        return self.job.heat

    def by_rules(self, rules: HeatRules) -> Case:
        """The same with other rules of heat."""
        return replace(self, job=replace(self.job, heat=rules))

    def of_foam(self, foam: FoamAtShop) -> Case:
        """The same with another foam, its reaction kept."""
        return replace(self, history=replace(self.history, foam=foam))
