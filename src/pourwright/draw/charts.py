"""Charts of a plan that are drawn with it, of the days to choose from, and of a cup."""

from __future__ import annotations

from pathlib import Path

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from pourwright import units
from pourwright.day import Choice
from pourwright.draw.chart_style import (
    PLAIN,
    SMALL,
    finish,
    plain_ticks,
    rgb,
    save_chart,
    sheet,
)
from pourwright.draw.heat_chart import heat_chart
from pourwright.draw.ink import QUIET
from pourwright.draw.maps.density import flow_chart
from pourwright.draw.maps.strip import strip_chart
from pourwright.draw.paint import INK, LADDER, LIT, NEUTRAL, STEEL
from pourwright.draw.timeline import timeline_chart
from pourwright.evaluation import ByFormulas
from pourwright.foam import CupCurve
from pourwright.lifts import EvenBands
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan import MachinePlan, Plan


def draw_charts(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Draw ``timeline.png``, with a searched day ``days.png``, where heat was computed ``heat.png`` and ``strip.png``.

    With a machine ``flow.png`` too.

    Parameters
    ----------
    plan : Plan
    folder : Path
        Exists.

    Returns
    -------
    tuple of Path

    Raises
    ------
    FileError
        A chart cannot be written.
    """
    computed = plan.computed
    if not computed.steps:
        return ()
    files = [save_chart(timeline_chart(plan), folder / "timeline.png")]
    day, heating = plan.lift_plan.day, computed.heating
    if not isinstance(day, EvenBands) and len(day.shown) > 1:
        files.append(save_chart(days_chart(plan, day), folder / "days.png"))
    if not isinstance(heating, ByFormulas):
        files.append(save_chart(heat_chart(plan, heating), folder / "heat.png"))
        files.append(save_chart(strip_chart(plan, heating), folder / "strip.png"))
    if isinstance(plan, MachinePlan) and plan.shot.flows:
        files.append(save_chart(flow_chart(plan), folder / "flow.png"))
    return tuple(files)


def days_chart(plan: Plan, choice: Choice) -> Figure:
    """Hours to the last pour against the number of pours: days that are not dominated, and the one that is taken."""
    figure, axes = sheet(2.9)
    days = [choice.front[k] for k in choice.shown]
    pours = [len(day.stretches) for day in days]
    hours = [day.hours for day in days]
    kinds = (
        ("keeps the limit with its margins", rgb(INK), [k for k, day in enumerate(days) if day.keeps]),
        ("does not", rgb(NEUTRAL), [k for k, day in enumerate(days) if not day.keeps]),
        ("this plan", rgb(LIT), [choice.shown.index(choice.chosen)]),
    )
    for row, (words, colour, mine) in enumerate(kinds):
        if mine:
            axes.scatter(
                [pours[k] for k in mine], [hours[k] for k in mine], s=110 if row == 2 else 32, color=colour,
                zorder=2 if row == 2 else 3, label=words,
            )  # fmt: skip
    for count, value in zip(pours, hours, strict=True):
        axes.annotate(
            units.time(3600 * value), (count, value), xytext=(7, 0), textcoords="offset points", va="center",
            fontproperties=SMALL, color=rgb(INK),
        )  # fmt: skip
    axes.set_xlim(min(pours) - 0.5, max(pours) + 0.9)
    axes.set_ylim(0, 1.15 * max(hours) + 0.1)
    axes.set_xlabel("pours")
    axes.set_ylabel("hours to the last pour")
    price = units.time(plan.job.day.price_s)
    under = f"each pour more counts as {price}; {len(choice.front)} numbers of pours were searched"
    finish(figure, axes, (plan.job.name, "days to choose from"), under, 3)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    plain_ticks(axes)
    return figure


def cup_chart(cup: CupCurve, name: str) -> Figure:
    """Height, conversion and temperature of a cup against time, with its four times marked."""
    figure, axes = sheet(3.7)
    minutes = cup.time_s / 60
    final = max(float(cup.gelling[-1]), 1e-9)
    curves = (
        (100 * cup.height_share, rgb(LADDER[1]), "height, % of the whole rise"),
        (100 * cup.gelling / final, rgb(STEEL), "gelling, % of where it ends"),
        (100 * cup.blowing, rgb(NEUTRAL), "blowing, % of the water"),
    )
    for values, colour, words in curves:
        axes.plot(minutes, values, color=colour, linewidth=1.5, label=words)
    axes.set_ylabel("%")
    axes.set_ylim(0, 121)
    axes.set_xlabel("minutes from the start of mixing")
    axes.set_xlim(0, float(minutes[-1]))
    right = axes.twinx()
    celsius = cup.temperature_k - ZERO_CELSIUS_K
    right.plot(minutes, celsius, color=rgb(LIT), linewidth=1.5)
    axes.plot([], [], color=rgb(LIT), linewidth=1.5, label="core, °C (right)")
    right.set_ylabel("core, °C", fontproperties=PLAIN, color=rgb(INK))
    right.set_ylim(0, 1.21 * float(celsius.max()))
    plain_ticks(right)
    times = (
        ("cream", cup.times.cream_s),
        ("gel", cup.times.gel_s),
        ("tack-free", cup.times.tack_free_s),
        ("end of rise", cup.times.rise_end_s),
    )
    for row, (words, seconds) in enumerate(times):
        if seconds is None:
            continue
        axes.axvline(seconds / 60, color=rgb(QUIET), linewidth=0.7, linestyle=(0, (4, 3)))
        axes.text(
            seconds / 60, 119 - 6.0 * (row % 2), f" {words} {units.time(seconds)}", ha="left", va="top",
            fontproperties=SMALL, color=rgb(INK),
        )  # fmt: skip
    day = cup.conditions
    under = f"liquids {units.temperature(day.parts_k)}, {units.mass(cup.mass_kg)} in the cup, no heat lost"
    finish(figure, axes, (name, "a cup"), under, 4)
    return figure
