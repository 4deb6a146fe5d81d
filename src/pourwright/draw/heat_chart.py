"""The core of every lift against time, and how long its hottest spot is above the caution temperature."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourwright import units
from pourwright.draw.chart_style import (
    DPI,
    SMALL,
    WIDE,
    by_the_clock,
    fahrenheit_beside,
    headed,
    ladder_colour,
    plain_ticks,
    rgb,
)
from pourwright.draw.ink import QUIET
from pourwright.draw.paint import INK, NEUTRAL, PAPER
from pourwright.physics.constants import ZERO_CELSIUS_K
from pourwright.plan import Heating, Plan

APART = 0.019
"""Share of the chart's width that a digit of a lift's number takes."""
DASHED = (0, (4, 3))


def heat_chart(plan: Plan, heating: Heating) -> Figure:
    """Hottest spot of each lift's core against time at the likely heat, and beside it the dose of every lift."""
    lifts = plan.lift_plan.lifts
    height = max(3.6, 1.6 + 0.19 * len(lifts))
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=rgb(PAPER))
    curves = figure.add_axes((0.085, 0.42 / height, 0.50, 1 - 1.24 / height))
    doses = figure.add_axes((0.72, 0.42 / height, 0.26, 1 - 1.24 / height))
    for axes in (curves, doses):
        axes.set_facecolor(rgb(PAPER))
        axes.set_axisbelow(True)
    _curves(curves, plan, heating)
    _doses(doses, plan)
    worst = heating.high.peak_k
    under = (
        f"likely heat of reaction; at its worst case up to {units.temperature(worst)}\n"
        "right: how long the hottest spot of each lift is above caution, likely in colour, worst case in grey"
    )
    headed(figure, (plan.job.name, "heat in the core of each lift"), under)
    return figure


def lift_doses(plan: Plan) -> list[tuple[str, float, float]]:
    """Name of each lift and the hours of its hottest spot above caution, likely and at the worst-case heat."""
    out = []
    for lift in plan.lift_plan.lifts:
        heats = [plan.lift_plan.heats[pour.name] for pour in lift.pours if pour.name in plan.lift_plan.heats]
        if heats:
            likely, high = (max(heat.hot_s[0][k] for heat in heats) / 3600.0 for k in (1, 2))
            out.append((f"Lift {lift.number}", likely, high))
    return out


def _curves(axes: Axes, plan: Plan, heating: Heating) -> None:
    lifts, result = plan.lift_plan.lifts, heating.nominal
    order = {pour.name: k for k, pour in enumerate(result.pours)}
    hours = (result.time_s + heating.placed_s) / 3600
    hottest = np.nan_to_num(result.core_k, nan=0.0).max(axis=0)
    warm = np.flatnonzero(hottest > plan.job.heat.release_k)
    end = float(hours[min(warm[-1] + 1, len(hours) - 1)]) if len(warm) else float(hours[-1])
    grade = plan.foam.grade
    top_c = max(float(np.nanmax(result.core_k)), grade.stop_k) - ZERO_CELSIUS_K
    free = 0.0
    for row, lift in enumerate(lifts):
        rows = [order[pour.name] for pour in lift.pours if pour.name in order]
        if not rows:
            continue
        core = np.nan_to_num(result.core_k[rows], nan=-np.inf).max(axis=0)
        core = np.where(np.isfinite(core), core - ZERO_CELSIUS_K, np.nan)
        axes.plot(hours, core, color=rgb(ladder_colour(row / max(1, len(lifts) - 1))), linewidth=1.4)
        begin = float(hours[np.flatnonzero(np.isfinite(core))[0]])
        if begin >= free:
            free = begin + APART * end * len(str(lift.number))
            axes.text(begin, top_c + 3, str(lift.number), ha="left", va="bottom", fontproperties=SMALL, color=rgb(INK))
    for value, words in (
        (grade.caution_k, "caution"),
        (grade.stop_k, "stop"),
        (plan.job.heat.release_k, "watched until below"),
    ):
        celsius = value - ZERO_CELSIUS_K
        axes.axhline(celsius, color=rgb(QUIET), linewidth=0.7, linestyle=DASHED)
        axes.text(
            end, celsius + 1.5, f"{words}, {units.temperature(value)}", ha="right", va="bottom",
            fontproperties=SMALL, color=rgb(QUIET), bbox={"color": rgb(PAPER), "pad": 0.4, "alpha": 0.8},
        )  # fmt: skip
    axes.set_xlim(0, end)
    axes.set_ylim(0, top_c + 16)
    axes.set_ylabel("hottest core, °C")
    axes.grid(axis="x", color=rgb(NEUTRAL), linewidth=0.4)
    fahrenheit_beside(axes)
    by_the_clock(axes, None if plan.job.day.start_s is None else plan.job.day.start_s / 3600)


def _doses(axes: Axes, plan: Plan) -> None:
    doses, rules = lift_doses(plan), plan.job.heat
    most = max([rules.scorch_s, rules.scorch_high_s, *(3600.0 * high for _, _, high in doses)]) / 60.0
    for row, (_, likely, high) in enumerate(doses):
        colour = rgb(ladder_colour(row / max(1, len(doses) - 1)))
        axes.barh(row - 0.17, 60 * likely, height=0.34, color=colour, linewidth=0)
        axes.barh(row + 0.17, 60 * high, height=0.22, color=rgb(NEUTRAL), linewidth=0)
        if high <= 0:
            axes.text(0.01 * most, row, "never", va="center", fontproperties=SMALL, color=rgb(QUIET))
    for limit, words, low in ((rules.scorch_s, "limit, likely", -0.9), (rules.scorch_high_s, "worst case", -0.9)):
        axes.axvline(limit / 60, color=rgb(QUIET), linewidth=0.7, linestyle=DASHED)
        axes.text(
            limit / 60, low, f" {words}", ha="right" if words == "limit, likely" else "left", va="bottom",
            fontproperties=SMALL, color=rgb(QUIET),
        )  # fmt: skip
    axes.set_ylim(len(doses) - 0.4, -0.8)
    axes.set_xlim(0, 1.3 * most)
    axes.set_yticks(range(len(doses)), [name for name, _, _ in doses])
    axes.set_xlabel("minutes above caution")
    plain_ticks(axes)
