"""The lifts as they are to be poured: a division with what was computed for it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from pourwright.evaluation import Evaluation, HeatHistory, RiseHistory, Shore, SkinBulge
from pourwright.lifts import Division, EvenBands, Lift


@dataclass(frozen=True, eq=False)
class LiftPlan(Division):
    """All lifts from the base up, their checks and closings by what was computed, with that beside them.

    ``evaluation`` has an entry for what was computed and none for what was not.
    """

    evaluation: Evaluation = field(default_factory=Evaluation)

    @property
    def heats(self) -> Mapping[str, HeatHistory]:
        """Staged heat by the name of the pour."""
        return self.evaluation.heats

    @property
    def rises(self) -> Mapping[str, RiseHistory]:
        """The rise along the level graph by the name of the pour."""
        return self.evaluation.rises

    @property
    def bulges(self) -> Mapping[int, SkinBulge]:
        """The skin under pressure, by finite elements, by the number of the lift."""
        return self.evaluation.bulges

    @property
    def searched(self) -> bool:
        """Whether the lifts are those of a searched day."""
        return not isinstance(self.day, EvenBands)

    @property
    def dose_h(self) -> tuple[float, float]:
        """Hours of the hottest point above the caution temperature, likely and at the high end; nan where no heat was
        computed.
        """
        if not self.heats:
            return math.nan, math.nan
        likely, high = (max(heat.hot_s[0][k] for heat in self.heats.values()) / 3600.0 for k in (1, 2))
        return likely, high


def shores_of(plan: LiftPlan, lift: Lift) -> tuple[Shore, ...]:
    """Shores that are set up before a lift."""
    return plan.bulges[lift.number].shores if lift.number in plan.bulges else ()
