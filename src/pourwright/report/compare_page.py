"""Alternatives as one table, one chart and JSON; over a limit is red, beaten in everything by another one grey."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.document.rounding import rounded
from pourwright.document.values import known
from pourwright.draw.chart_style import PANELS, SMALL, STRONG, grid_of_panels, plain_ticks, rgb, save_chart
from pourwright.draw.ink import QUIET
from pourwright.draw.paint import INK, LIT
from pourwright.plaintext import escaped_json, shown
from pourwright.plan import Alternative

Column = tuple[str, Callable[[Alternative], float], Callable[[float], str], bool]
COLUMNS: tuple[Column, ...] = (
    ("weight", lambda one: one.total_kg.nominal, units.mass, False),
    ("body stiffness", lambda one: one.body, lambda value: f"{units.digits(value)} times", True),
    ("panel stiffness", lambda one: one.panel, lambda value: f"{units.digits(value)} times", True),
    ("pours", lambda one: float(one.pours), lambda value: f"{value:.0f}", False),
    ("last pour", lambda one: one.last_h, lambda value: units.time(3600.0 * value), False),
    ("until cool", lambda one: one.hours, lambda value: units.time(3600.0 * value), False),
    ("above caution", lambda one: one.dose_h, lambda value: units.time(3600.0 * value), False),
    ("cost", lambda one: one.cost, lambda value: f"{value:.2f}" if math.isfinite(value) else "", False),
)
"""Head, value, how it is shown, whether more is better."""
BY_FORMULA = (
    "formulas only: no hours, and limits, lifts and stiffness may come out otherwise in a plan; without --quick "
    "each way is computed as the plan computes it"
)
SHORT_SEARCH = (
    "formulas and a short search for the day: limits, pours and hours may come out otherwise in a plan; without "
    "--quick each way is computed as the plan computes it"
)
GREY = "#a8aeb4"
LONGEST_IN = 1.9  # of a name in the chart
OVER = "#b3261e"


def columns_of(alternatives: Sequence[Alternative]) -> list[Column]:
    """The columns that say something: hours where they were computed, cost only with prices."""
    empty = {
        "until cool": not any(a.computed for a in alternatives),
        "last pour": not any(math.isfinite(a.last_h) for a in alternatives),
        "above caution": not any(math.isfinite(a.dose_h) for a in alternatives),
        "cost": not any(math.isfinite(a.cost) for a in alternatives),
    }
    return [column for column in COLUMNS if not empty.get(column[0], False)]


def verdict_words(one: Alternative) -> str:
    """What there is to say against one."""
    words = ["best: soonest at the last pour, each pour counted"] if one.best else []
    words += [f"over: {', '.join(one.over)}"] if one.over else []
    words += [f"not known: {', '.join(one.unknown)}"] if one.unknown else []
    if one.beaten_by:
        better = "the job as it is" if one.beaten_by == "as it is" else one.beaten_by
        words.append(f"{better} is as good or better in all")
    return "; ".join(words)


def print_compare(alternatives: Sequence[Alternative], console: Console) -> None:
    """The table. Names are never taken for markup."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    table.add_column("Alternative")
    columns = columns_of(alternatives)
    for head, *_ in columns:
        table.add_column(head[0].upper() + head[1:], justify="right")
    table.add_column("Against it")
    for one in alternatives:
        cells = [show(value(one)).replace(" (", "\n(", 1) for _, value, show, _ in columns]
        style = "red" if one.over else "bold" if one.best else "dim" if one.beaten_by else None
        table.add_row(*(Text(cell) for cell in [one.name, *cells, verdict_words(one)]), style=style)
    console.print(table)
    if not all(one.computed for one in alternatives):
        searched = any(math.isfinite(one.last_h) for one in alternatives)
        console.print(Text(SHORT_SEARCH if searched else BY_FORMULA))
    if not any(one.best for one in alternatives) and any(math.isfinite(one.last_h) for one in alternatives):
        console.print(Text("none is best: each is over a limit, or of it a limit is not known"))


def compare_json(alternatives: Sequence[Alternative]) -> str:
    """Everything, SI and hours; what is not known is null."""
    rows = []
    best = next((one.name for one in alternatives if one.best), None)
    for one in alternatives:
        row = asdict(one)
        for key, value in row.items():
            row[key] = known(value) if isinstance(value, float) else value
        rows.append(row)
    tree = rounded({"alternatives": rows, "best": best})
    return escaped_json(json.dumps(tree, indent=1, ensure_ascii=False, allow_nan=False)) + "\n"


def compare_chart(alternatives: Sequence[Alternative], name: str) -> Figure:
    """A panel for each column, a bar for each alternative."""
    columns = columns_of(alternatives)
    figure, panels = grid_of_panels(len(columns), 0.2 * len(alternatives), (name, "alternatives"), LONGEST_IN)
    for k, (panel, column) in enumerate(zip(panels, columns, strict=True)):
        _bars(panel, column, alternatives)
        first = k % PANELS == 0
        panel.set_yticks(range(len(alternatives)), [_short(one) if first else "" for one in alternatives])
        plain_ticks(panel)
        for label, one in zip(panel.get_yticklabels(), alternatives, strict=True):
            label.set_fontproperties(STRONG if one.best else SMALL)
    return figure


def _bars(panel: Axes, column: Column, alternatives: Sequence[Alternative]) -> None:
    head, value, show, more = column
    values = [value(one) for one in alternatives]
    high = max((v for v in values if math.isfinite(v)), default=1.0) or 1.0
    for row, (one, v) in enumerate(zip(alternatives, values, strict=True)):
        known = math.isfinite(v)
        colour = OVER if one.over else GREY if one.beaten_by else rgb(LIT)
        if known:
            panel.barh(row, v, height=0.5, color=colour, linewidth=0)
        said = (show(v) if known else "unknown").split(" (")[0]
        ink = rgb(QUIET if one.beaten_by else INK)
        panel.text((v if known else 0) + 0.04 * high, row, said, va="center", color=ink, fontproperties=SMALL)
    panel.set_xlim(0, 1.95 * high)
    panel.set_ylim(len(alternatives) - 0.4, -0.6)
    title = f"{head}, {'more' if more else 'less'} is better"
    panel.set_title(title, loc="left", fontproperties=SMALL, color=rgb(QUIET), pad=3)
    panel.set_xticks([])


def _short(one: Alternative) -> str:
    said = " (over)" if one.over else " (not known)" if one.unknown else " (best)" if one.best else ""
    most = 30 - len(said)
    name = shown(one.name)
    name = name if len(name) <= most else f"{name[: most - 1]}…"
    return name.replace("$", "\\$") + said


def draw_compare(alternatives: Sequence[Alternative], name: str, path: Path) -> Path:
    """Write the chart as PNG."""
    return save_chart(compare_chart(alternatives, name), path)
