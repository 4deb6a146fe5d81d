"""Parts in series: pace of the line, cost of a part, spread between parts."""

from typing import TYPE_CHECKING

from pourwright.rooms import offered

if TYPE_CHECKING:
    from pourwright.series.cost import Cost, cost_of
    from pourwright.series.line import Line, closed_cycle, fixtures_for, line_of
    from pourwright.series.model import PartFacts, SeriesRules
    from pourwright.series.run import Series, series_of
    from pourwright.series.spread import Spread, spread_of
else:
    __getattr__ = offered(__name__)

__all__ = [
    "Cost",
    "Line",
    "PartFacts",
    "Series",
    "SeriesRules",
    "Spread",
    "closed_cycle",
    "cost_of",
    "fixtures_for",
    "line_of",
    "series_of",
    "spread_of",
]
