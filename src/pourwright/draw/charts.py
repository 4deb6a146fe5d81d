"""Charts of a plan: the day, and the core of each lift against time. Colours and letters of the pictures."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from matplotlib.ticker import MaxNLocator

from pourwright import units
from pourwright.draw.ink import QUIET, font_file
from pourwright.draw.paint import INK, LADDER, LIT, NEUTRAL, PAPER, SETTLED
from pourwright.errors import FileError
from pourwright.foam import CupCurve
from pourwright.plaintext import shown
from pourwright.plan import Plan
from pourwright.wording.computed import clock

ZERO_CELSIUS_K = 273.15
WIDE, DPI = 13.0, 130
LINES = 7
"""Lifts told apart by their own line in a chart of temperatures; of more, every so many-th has a name."""
_PLAIN = FontProperties(fname=font_file("plain"), size=11)
_BOLD = FontProperties(fname=font_file("bold"), size=17)
_SMALL = FontProperties(fname=font_file("plain"), size=9.5)


def draw_charts(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Draw ``timeline.png``, with a searched day ``days.png``, and where heat was computed ``heat.png``.

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
    if computed is None or not computed.steps:
        return ()
    files = [save_chart(timeline_chart(plan), folder / "timeline.png")]
    if plan.lift_plan.day is not None and len(plan.lift_plan.day.front) > 1:
        files.append(save_chart(days_chart(plan), folder / "days.png"))
    if computed.heating is not None:
        files.append(save_chart(heat_chart(plan), folder / "heat.png"))
    return tuple(files)


def timeline_chart(plan: Plan) -> Figure:
    """The day: a row a lift, mixing and pouring, rise and wait on one clock."""
    assert plan.computed is not None
    steps = plan.computed.steps
    lifts = [lift for lift in plan.lift_plan.lifts if any(step.lift == lift.number for step in steps)]
    figure, axes = _sheet(1.9 + 0.36 * len(lifts))
    end = max(step.end_s for step in steps) / 3600
    least = end / 250  # a mix of a minute in a day of hours is still seen
    colours = {"wait": NEUTRAL, "rise": LIT, "work": INK}
    for row, lift in enumerate(lifts):
        mine = [step for step in steps if step.lift == lift.number]
        spans = {
            "wait": (min(s.start_s for s in mine), next(s.end_s for s in mine if s.kind == "wait")),
            "rise": (min(s.start_s for s in mine if s.kind == "rise"), max(s.end_s for s in mine if s.kind == "rise")),
            "work": (min(s.start_s for s in mine), max(s.end_s for s in mine if s.kind == "pour")),
        }
        for kind, (start, stop) in spans.items():
            high = {"wait": 0.34, "rise": 0.58, "work": 0.58}[kind]
            width = max((stop - start) / 3600, least)
            axes.barh(row, width, left=start / 3600, height=high, color=_rgb(colours[kind]), linewidth=0)
        names = ", ".join(pour.name for pour in lift.pours[:4]) + (" …" if len(lift.pours) > 4 else "")
        mixes = sum(step.kind == "mix" for step in mine)
        words = (
            f"{names}: {mixes} mix{'es' if mixes > 1 else ''}, wait {units.time(spans['wait'][1] - spans['wait'][0])}"
        )
        right = spans["wait"][1] / 3600 + end / 120
        inside = right > 0.72 * end
        at = spans["wait"][0] / 3600 - end / 120 if inside else right
        axes.text(at, row, words, ha="right" if inside else "left", va="center", fontproperties=_SMALL, color=_rgb(INK))
    axes.set_yticks(range(len(lifts)), [f"Lift {lift.number}" for lift in lifts])
    axes.set_ylim(-0.7, len(lifts) - 0.3)
    axes.set_xlim(0, end * 1.02)
    axes.set_xlabel("hours from the first mix")
    handles = [axes.barh(0, 0, color=_rgb(colours[kind]), label=words) for kind, words in _KINDS]
    hands = plan.job.limits.hands
    who = "one person" if hands == 1 else f"{hands} people"
    _finish(figure, axes, (plan.job.name, "the day"), f"{clock(end * 3600)} with {who}", len(handles))
    return figure


_KINDS = (("work", "mix and pour"), ("rise", "rise"), ("wait", "wait, from its first mix until the next lift may come"))


def heat_chart(plan: Plan) -> Figure:
    """Hottest spot of each lift's core against time, nominal heat, and the temperatures it is checked against."""
    assert plan.computed is not None
    assert plan.computed.heating is not None
    result = plan.computed.heating.nominal
    figure, axes = _sheet(6.2)
    lifts = plan.lift_plan.lifts
    order = {pour.name: k for k, pour in enumerate(result.pours)}
    hours = result.time_s / 3600
    every = max(1, math.ceil(len(lifts) / LINES))
    for row, lift in enumerate(lifts):
        rows = [order[pour.name] for pour in lift.pours]
        core = np.nan_to_num(result.core_k[rows], nan=-np.inf).max(axis=0)
        core = np.where(np.isfinite(core), core - ZERO_CELSIUS_K, np.nan)
        colour = _rgb(_ladder(row / max(1, len(lifts) - 1)))
        named = row % every == 0 or row == len(lifts) - 1
        axes.plot(hours, core, color=colour, linewidth=2.0, label=f"lift {lift.number}" if named else None)
    grade = plan.foam.grade
    for value, words in (
        (grade.caution_k, "caution"),
        (grade.stop_k, "stop"),
        (plan.job.heat.release_k, "watched until below"),
    ):
        celsius = value - ZERO_CELSIUS_K
        axes.axhline(celsius, color=_rgb(QUIET), linewidth=1, linestyle=(0, (4, 3)))
        axes.text(
            float(hours[-1]), celsius + 0.012 * (grade.stop_k - ZERO_CELSIUS_K), f"{words}, {units.temperature(value)}",
            ha="right", va="bottom", fontproperties=_SMALL, color=_rgb(QUIET),
        )  # fmt: skip
    axes.set_xlim(0, float(hours[-1]))
    axes.set_xlabel("hours from the first mix")
    axes.set_ylabel("hottest core, °C")
    _fahrenheit(axes)
    worst = plan.computed.heating.high.peak_k
    under = f"likely heat of reaction; at its 95 % end up to {units.temperature(worst)}"
    _finish(figure, axes, (plan.job.name, "heat in the core of each lift"), under, min(len(lifts), LINES + 1))
    return figure


def days_chart(plan: Plan) -> Figure:
    """Hours to the last pour against the number of pours: every day found, and the one that is taken."""
    choice = plan.lift_plan.day
    assert choice is not None
    figure, axes = _sheet(4.4)
    pours = [len(day.stretches) for day in choice.front]
    hours = [day.hours for day in choice.front]
    kinds = (
        ("keeps the limit with its margins", _rgb(INK), [k for k, day in enumerate(choice.front) if day.keeps]),
        ("does not", _rgb(NEUTRAL), [k for k, day in enumerate(choice.front) if not day.keeps]),
        ("this plan", _rgb(LIT), [choice.chosen]),
    )
    for row, (words, colour, mine) in enumerate(kinds):
        if mine:
            axes.scatter(
                [pours[k] for k in mine], [hours[k] for k in mine], s=220 if row == 2 else 70, color=colour,
                zorder=2 if row == 2 else 3, label=words,
            )  # fmt: skip
    for count, value in zip(pours, hours, strict=True):
        axes.annotate(
            units.time(3600 * value), (count, value), xytext=(12, 0), textcoords="offset points", va="center",
            fontproperties=_SMALL, color=_rgb(INK),
        )  # fmt: skip
    axes.set_xlim(min(pours) - 0.5, max(pours) + 0.9)
    axes.set_ylim(0, 1.15 * max(hours) + 0.1)
    axes.set_xlabel("pours")
    axes.set_ylabel("hours to the last pour")
    price = units.time(plan.job.day.price_s)
    under = f"each pour more counts as {price}; {len(pours)} numbers of pours were searched"
    _finish(figure, axes, (plan.job.name, "days to choose from"), under, 3)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    _plain_ticks(axes)
    return figure


def cup_chart(cup: CupCurve, name: str) -> Figure:
    """Height, conversion and temperature of a cup against time, with its four times marked."""
    figure, axes = _sheet(6.2)
    minutes = cup.time_s / 60
    final = max(float(cup.gelling[-1]), 1e-9)
    curves = (
        (100 * cup.height_share, _rgb(LADDER[1]), "height, % of the whole rise"),
        (100 * cup.gelling / final, _rgb(SETTLED[0]), "gelling, % of where it ends"),
        (100 * cup.blowing, _rgb(NEUTRAL), "blowing, % of the water"),
    )
    for values, colour, words in curves:
        axes.plot(minutes, values, color=colour, linewidth=2.2, label=words)
    axes.set_ylabel("%")
    axes.set_ylim(0, 118)
    axes.set_xlabel("minutes from the start of mixing")
    axes.set_xlim(0, float(minutes[-1]))
    right = axes.twinx()
    celsius = cup.temperature_k - ZERO_CELSIUS_K
    right.plot(minutes, celsius, color=_rgb(LIT), linewidth=2.2)
    axes.plot([], [], color=_rgb(LIT), linewidth=2.2, label="core, °C (right)")
    right.set_ylabel("core, °C", fontproperties=_PLAIN, color=_rgb(INK))
    right.set_ylim(0, 1.18 * float(celsius.max()))
    _plain_ticks(right)
    times = (
        ("cream", cup.times.cream_s),
        ("gel", cup.times.gel_s),
        ("tack-free", cup.times.tack_free_s),
        ("end of rise", cup.times.rise_end_s),
    )
    for row, (words, seconds) in enumerate(times):
        if seconds is None:
            continue
        axes.axvline(seconds / 60, color=_rgb(QUIET), linewidth=1, linestyle=(0, (4, 3)))
        axes.text(
            seconds / 60, 117 - 4.2 * (row % 2), f" {words} {units.time(seconds)}", ha="left", va="top",
            fontproperties=_SMALL, color=_rgb(INK),
        )  # fmt: skip
    day = cup.conditions
    under = f"liquids {units.temperature(day.parts_k)}, {units.mass(cup.mass_kg)} in the cup, no heat lost"
    _finish(figure, axes, (name, "a cup"), under, 4)
    return figure


def save_chart(figure: Figure, path: Path) -> Path:
    """Write a chart as PNG; the same chart gives the same bytes."""
    try:
        FigureCanvasAgg(figure)
        figure.savefig(str(path), format="png", metadata={"Software": None}, facecolor=figure.get_facecolor())
    except OSError as error:
        raise FileError(f"{path} cannot be written ({error.strerror or error}): name another folder.") from None
    return path


def _sheet(height: float) -> tuple[Figure, Axes]:
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=_rgb(PAPER))
    figure.subplots_adjust(left=0.075, right=0.93, top=1 - 1.05 / height, bottom=0.62 / height)
    axes = figure.add_subplot()
    axes.set_facecolor(_rgb(PAPER))
    return figure, axes


def title_of(name: str, said: str, share: float) -> str:
    """Name and what the chart shows, the name cut so that both are no wider than a share of the chart.

    >>> title_of("Pump $5$", "the day", 0.9).replace(chr(92), "/"), len(title_of("W" * 300, "the day", 0.9)) < 80
    ('Pump /$5/$: the day', True)
    """

    def title(short: str) -> str:
        return f"{short if short == name else f'{short}…'}: {said}".replace("$", "\\$")

    name = shown(name)
    short = name[:120]
    while len(short) > 1 and TextPath((0, 0), title(short), prop=_BOLD).get_extents().width > 72 * WIDE * share:
        short = short[:-1]
    return title(short)


def _finish(figure: Figure, axes: Axes, title: tuple[str, str], under: str, columns: int) -> None:
    height = float(figure.get_size_inches()[1])
    figure.text(0.075, 1 - 0.42 / height, title_of(*title, 0.9), fontproperties=_BOLD, color=_rgb(INK))
    figure.text(0.075, 1 - 0.70 / height, under, fontproperties=_PLAIN, color=_rgb(QUIET))
    axes.grid(axis="x", color=_rgb(NEUTRAL), linewidth=0.6)
    axes.set_axisbelow(True)
    axes.xaxis.set_major_locator(MaxNLocator(10, steps=[1, 2, 5, 10]))
    _plain_ticks(axes)
    legend = axes.legend(
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=min(columns, 9),
        frameon=False,
        prop=_SMALL,
        columnspacing=1.1,
        handlelength=1.4,
        borderaxespad=0.2,
    )
    for text in legend.get_texts():
        text.set_color(_rgb(INK))


def _plain_ticks(axes: Axes) -> None:
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)
    axes.tick_params(length=0, colors=_rgb(INK))
    for label in [*axes.get_xticklabels(), *axes.get_yticklabels(), axes.xaxis.label, axes.yaxis.label]:
        label.set_fontproperties(_PLAIN)
        label.set_color(_rgb(INK))


def _fahrenheit(axes: Axes) -> None:
    def to(celsius: Any) -> Any:
        return celsius * 1.8 + 32

    def back(fahrenheit: Any) -> Any:
        return (fahrenheit - 32) / 1.8

    other = axes.secondary_yaxis("right", functions=(to, back))
    other.set_ylabel("°F", fontproperties=_PLAIN, color=_rgb(INK))
    other.spines["right"].set_visible(False)
    other.tick_params(length=0, colors=_rgb(INK))
    for label in other.get_yticklabels():
        label.set_fontproperties(_PLAIN)


def _ladder(share: float) -> tuple[int, int, int]:
    """A step of the pictures' ladder, without its palest, which would be lost on paper."""
    steps = np.array(LADDER[:-1], float)
    at = share * (len(steps) - 1)
    r, g, b = (float(np.interp(at, range(len(steps)), steps[:, k])) for k in range(3))
    return round(r), round(g), round(b)


def _rgb(colour: tuple[int, int, int]) -> tuple[float, float, float]:
    r, g, b = colour
    return r / 255, g / 255, b / 255


def styled_figure(
    panels: int, height: float, title: tuple[str, str]
) -> tuple[Figure, list[Axes], dict[str, Any], Any, Any]:
    """Panels side by side in the style of the charts: figure, axes, how text is set, quiet colour, colour of bars."""
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=_rgb(PAPER))
    axes = list(np.atleast_1d(figure.subplots(1, panels)))
    figure.subplots_adjust(left=0.2, right=0.985, top=1 - 1.0 / height, bottom=0.2 / height, wspace=0.12)
    figure.text(0.02, 1 - 0.5 / height, title_of(*title, 0.95), fontproperties=_BOLD, color=_rgb(INK))
    for one in axes:
        one.set_facecolor(_rgb(PAPER))
        _plain_ticks(one)
    return figure, axes, {"fontproperties": _SMALL, "color": _rgb(INK)}, _rgb(QUIET), _rgb(LIT)
