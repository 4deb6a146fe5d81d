"""The chart of ways: stiffness over weight, the hours beside each."""

from __future__ import annotations

import math
import textwrap
from typing import TYPE_CHECKING

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourwright import units
from pourwright.draw.chart_style import DPI, PLAIN, SMALL, WIDE, headed, plain_ticks, rgb
from pourwright.draw.ink import QUIET
from pourwright.draw.paint import INK, LADDER, LIT, NEUTRAL, PAPER

if TYPE_CHECKING:
    from pourwright.ways import Way, Ways

HEIGHT = 4.6
BARS = 0.55
ROW = 0.30
"""Of a bar and the two lines that may stand beside it [in]."""
WRAP = 44
"""Letters in a line beside a bar."""


def ways_chart(found: Ways) -> Figure:
    """Total weight against the gain of the flattest panel; under it the hours of each way as bars."""
    ways = found.ways
    figure = Figure(figsize=(WIDE, HEIGHT + ROW * len(ways)), dpi=DPI, facecolor=rgb(PAPER))
    FigureCanvasAgg(figure)
    height = float(figure.get_size_inches()[1])
    headed(figure, (found.name, "ways of filling it"), "filled: nothing beats it in weight, stiffness and hours")
    low = (0.5 + ROW * len(ways)) / height
    axes = figure.add_axes((0.10, low + 0.62 / height, 0.84, 1 - low - 1.45 / height))
    at: dict[tuple[float, float], list[str]] = {}
    for number, way in enumerate(ways, start=1):
        if not math.isfinite(way.gain):
            continue
        axes.plot(
            way.total_kg, way.gain, marker="o", markersize=7, color=_colour(way), linestyle="",
            markerfacecolor=_colour(way) if not way.beaten else rgb(PAPER),
        )  # fmt: skip
        at.setdefault((round(way.total_kg, 2), round(way.gain, 3)), []).append(str(number))
    for place, numbers in at.items():  # ways that differ in hours only share a place
        axes.annotate(
            ", ".join(numbers), place, (0, 7), textcoords="offset points", ha="center", font=SMALL, color=rgb(INK)
        )
    plain_ticks(axes)
    axes.set_facecolor(rgb(PAPER))
    axes.grid(color=rgb(NEUTRAL), linewidth=0.4)
    axes.margins(0.08, 0.15)
    axes.xaxis.set_major_locator(MaxNLocator(5))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda kg, _: units.mass(max(kg, 0.0))))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda gain, _: f"{gain:.4g}x"))
    axes.set_ylabel("flattest panel, times as stiff as bare", font=SMALL, color=rgb(QUIET))
    axes.set_xlabel("weight of the whole piece", font=SMALL, color=rgb(QUIET))
    _hours(figure, ways, (0.46, 0.3 / height, 0.42, ROW * len(ways) / height))
    return figure


def _colour(way: Way) -> tuple[float, float, float]:
    return rgb(LIT) if way.rules.style == "solid" else rgb(LADDER[1])


def _hours(figure: Figure, ways: tuple[Way, ...], place: tuple[float, float, float, float]) -> None:
    axes = figure.add_axes(place)
    rows = range(len(ways))
    hours = [way.hours if math.isfinite(way.hours) else 0.0 for way in ways]
    axes.barh(rows, hours, height=BARS, color=[_colour(way) for way in ways])
    for k, way in enumerate(ways):
        said = f"{way.hours:.1f} h" if math.isfinite(way.hours) else "not known"
        axes.text(hours[k], k, f" {said}", va="center", font=SMALL, color=rgb(INK))
    names = [f"{k + 1}  {way.name}, {units.mass(way.total_kg)}" for k, way in enumerate(ways)]
    axes.set_yticks(list(rows), ["\n".join(textwrap.wrap(one, WRAP)) for one in names])
    axes.invert_yaxis()
    plain_ticks(axes)
    axes.set_facecolor(rgb(PAPER))
    for label in axes.get_yticklabels():
        label.set_fontproperties(PLAIN)
    axes.set_xticks([])
    axes.set_xlim(0, 1.15 * max([*hours, 1e-9]))
