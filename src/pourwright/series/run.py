"""A series of one part."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.series.cost import Cost, cost_of
from pourwright.series.line import Line, fixtures_for
from pourwright.series.model import PartFacts, SeriesRules
from pourwright.series.spread import Spread, spread_of


@dataclass(frozen=True, slots=True)
class Series:
    """The series."""

    line: Line
    cost: Cost | None
    spread: Spread
    parts: int  # wanted a shift
    drums_per_week: float


def series_of(rules: SeriesRules, part: PartFacts) -> Series:
    """Line, cost and spread of a series."""
    line = fixtures_for(rules, part.fill_s, part.release_s)
    spread = spread_of(rules, part)
    bought = part.foam_kg * (1 + rules.waste_share) + rules.purge_kg
    return Series(
        line=line,
        cost=cost_of(rules, part.foam_kg, line.parts_per_shift, spread.reject_share),
        spread=spread,
        parts=rules.parts,
        drums_per_week=line.parts_per_shift * rules.shifts * bought / rules.drum_kg,
    )
