"""What an anchor's loads are checked against."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pourwright.findings import Verdict
from pourwright.lifts import Check
from pourwright.sources import Cited, Standing

NO_BALANCE = "the piece is not in balance, so its loads are not known"

SUSTAINED = Cited(
    0.25,
    "-",
    Standing.JUDGEMENT,
    note="share of short-term strength that foam bears for good; creep tests of insulation give 0.20 to 0.25",
)

Loads = Callable[[np.ndarray, np.ndarray], np.ndarray]


@dataclass(frozen=True, eq=False)
class Rule:
    """What an anchor's loads are checked against: ``value`` of its shear and its force out of the wall (pull above 0).

    ``limit`` is nan where it is not known; such a rule is never said to be kept.
    """

    name: str
    unit: str
    limit: float
    source: str
    remedy: str
    value: Loads

    def check(self, name: str, value: float) -> Check:
        """The check of one anchor's greatest value."""
        if math.isnan(self.limit):
            return Check(name, value, self.limit, self.unit, Verdict.UNKNOWN, self.source, self.remedy)
        if math.isnan(value):
            return Check(
                name, value, self.limit, self.unit, Verdict.UNKNOWN, NO_BALANCE, "anchor it so that it is in balance"
            )
        over = value > self.limit
        return Check(
            name,
            value,
            self.limit,
            self.unit,
            Verdict.OVER if over else Verdict.OK,
            self.source,
            self.remedy if over else "",
        )


def unknown_rule(name: str, why: str, remedy: str) -> Rule:
    """A rule whose limit nobody knows, and what would make it known."""
    return Rule(name, "N", math.nan, why, remedy, lambda shear, _: np.full(np.shape(shear), math.nan))
