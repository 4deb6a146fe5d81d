"""The style of the charts: colours and letters of the pictures, at the size they are printed.

A chart is as wide as the text of an A4 or Letter page, so that a point is a point on paper; none is below 8.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourwright.draw.ink import QUIET, font_file
from pourwright.draw.paint import INK, LADDER, NEUTRAL, PAPER
from pourwright.errors import FileError
from pourwright.plaintext import shown

WIDE, DPI = 7.1, 238
PANELS = 3  # side by side
PLAIN = FontProperties(fname=font_file("plain"), size=8.5)
STRONG = FontProperties(fname=font_file("bold"), size=8.5)
BOLD = FontProperties(fname=font_file("bold"), size=13)
SMALL = FontProperties(fname=font_file("plain"), size=8)


def save_chart(figure: Figure, path: Path) -> Path:
    """Write a chart as PNG; the same chart gives the same bytes."""
    try:
        FigureCanvasAgg(figure)
        figure.savefig(str(path), format="png", metadata={"Software": None}, facecolor=figure.get_facecolor())
    except OSError as error:
        raise FileError(f"{path} cannot be written ({error.strerror or error}): name another folder.") from None
    return path


def sheet(height: float) -> tuple[Figure, Axes]:
    """An empty chart, ``height`` inches tall."""
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=rgb(PAPER))
    figure.subplots_adjust(left=0.09, right=0.925, top=1 - 0.78 / height, bottom=0.42 / height)
    axes = figure.add_subplot()
    axes.set_facecolor(rgb(PAPER))
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
    while len(short) > 1 and TextPath((0, 0), title(short), prop=BOLD).get_extents().width > 72 * WIDE * share:
        short = short[:-1]
    return title(short)


def finish(figure: Figure, axes: Axes, title: tuple[str, str], under: str, columns: int) -> None:
    """Heads, grid and legend."""
    headed(figure, title, under)
    axes.grid(axis="x", color=rgb(NEUTRAL), linewidth=0.4)
    axes.set_axisbelow(True)
    axes.xaxis.set_major_locator(MaxNLocator(10, steps=[1, 2, 5, 10]))
    plain_ticks(axes)
    legend = axes.legend(
        loc="lower right",
        bbox_to_anchor=(1.0, 1.0),
        ncols=min(columns, 9),
        frameon=False,
        prop=SMALL,
        columnspacing=1.0,
        handlelength=1.2,
        handletextpad=0.5,
        borderaxespad=0.2,
    )
    for text in legend.get_texts():
        text.set_color(rgb(INK))


def headed(figure: Figure, title: tuple[str, str], under: str) -> None:
    """Name and what the chart shows, and a line below."""
    height = float(figure.get_size_inches()[1])
    figure.text(0.03, 1 - 0.26 / height, title_of(*title, 0.93), fontproperties=BOLD, color=rgb(INK))
    figure.text(0.03, 1 - 0.36 / height, under, va="top", linespacing=1.25, fontproperties=PLAIN, color=rgb(QUIET))


def by_the_clock(axes: Axes, start_h: float | None = None) -> None:
    """Hours along x written as hours and minutes; by the clock on the wall where they begin at ``start_h``."""
    begin = 0.0 if start_h is None else start_h

    def words(hours: float, _: object) -> str:
        minutes = round(60 * (hours + begin)) % (24 * 60 if start_h is not None else 10**9)
        return f"{minutes // 60}:{minutes % 60:02d}"

    span = float(np.ptp(axes.get_xlim()))
    steps = (1 / 12, 1 / 6, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 48)
    step = next((step for step in steps if span / step <= 12), 96)
    first = step * np.ceil(begin / step - 1e-9) - begin
    axes.set_xticks(np.arange(first, span + 1e-9, step))
    axes.xaxis.set_major_formatter(FuncFormatter(words))
    axes.set_xlabel("clock from the first mix, h:mm" if start_h is None else "clock on the wall")
    plain_ticks(axes)


def plain_ticks(axes: Axes) -> None:
    """No frame, plain letters."""
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)
    axes.tick_params(length=0, colors=rgb(INK))
    for label in [*axes.get_xticklabels(), *axes.get_yticklabels(), axes.xaxis.label, axes.yaxis.label]:
        label.set_fontproperties(PLAIN)
        label.set_color(rgb(INK))


def fahrenheit_beside(axes: Axes) -> None:
    """The same scale in °F on the right of one in °C."""

    def to(celsius: Any) -> Any:
        return celsius * 1.8 + 32

    def back(fahrenheit: Any) -> Any:
        return (fahrenheit - 32) / 1.8

    other = axes.secondary_yaxis("right", functions=(to, back))
    other.set_ylabel("°F", fontproperties=PLAIN, color=rgb(INK))
    other.spines["right"].set_visible(False)
    other.tick_params(length=0, colors=rgb(INK))
    for label in other.get_yticklabels():
        label.set_fontproperties(PLAIN)


def ladder_colour(share: float) -> tuple[int, int, int]:
    """A step of the pictures' ladder, without its palest, which would be lost on paper."""
    steps = np.array(LADDER[:-1], float)
    at = share * (len(steps) - 1)
    r, g, b = (float(np.interp(at, range(len(steps)), steps[:, k])) for k in range(3))
    return round(r), round(g), round(b)


def rgb(colour: tuple[int, int, int]) -> tuple[float, float, float]:
    """Shares from 0 to 1."""
    r, g, b = colour
    return r / 255, g / 255, b / 255


def grid_of_panels(count: int, tall_in: float, title: tuple[str, str], left_in: float) -> tuple[Figure, list[Axes]]:
    """``count`` panels of one height, `PANELS` a row, with ``left_in`` inches for names before each row."""
    rows = -(-count // PANELS)
    height = 0.5 + rows * (tall_in + 0.34)
    figure = Figure(figsize=(WIDE, height), dpi=DPI, facecolor=rgb(PAPER))
    figure.text(0.03, 1 - 0.26 / height, title_of(*title, 0.93), fontproperties=BOLD, color=rgb(INK))
    wide = (WIDE - left_in - 0.1) / PANELS
    axes = []
    for k in range(count):
        row, column = divmod(k, PANELS)
        top = 0.5 + row * (tall_in + 0.34) + 0.22
        box = ((left_in + column * wide) / WIDE, 1 - (top + tall_in) / height, 0.94 * wide / WIDE, tall_in / height)
        axes.append(figure.add_axes(box, facecolor=rgb(PAPER)))
    return figure, axes
