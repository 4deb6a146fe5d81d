"""Alternatives as one table, one chart and JSON; over a limit is red, beaten in everything by another one grey."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from matplotlib.figure import Figure
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.document.plan_json import rounded
from pourwright.document.values import known
from pourwright.draw.chart_style import save_chart, styled_figure
from pourwright.plaintext import escaped_json, shown
from pourwright.plan import Alternative

Column = tuple[str, Callable[[Alternative], float], Callable[[float], str], bool]
COLUMNS: tuple[Column, ...] = (
    ("weight", lambda one: one.total_kg.nominal, units.mass, False),
    ("body stiffness", lambda one: one.body, lambda value: f"{units.digits(value)} times", True),
    ("panel stiffness", lambda one: one.panel, lambda value: f"{units.digits(value)} times", True),
    ("lifts", lambda one: float(one.lifts), lambda value: f"{value:.0f}", False),
    ("hours", lambda one: one.hours, lambda value: units.time(3600.0 * value), False),
    ("cost", lambda one: one.cost, lambda value: f"{value:.2f}" if math.isfinite(value) else "", False),
)
"""Head, value, how it is shown, whether more is better."""
CLOSED_FORMS = (
    "formulas only: no hours, and limits, lifts and stiffness may come out otherwise in a plan; without --quick "
    "each way is computed as the plan computes it"
)
GREY = "#a8aeb4"
OVER = "#b3261e"


def columns_of(alternatives: Sequence[Alternative]) -> list[Column]:
    """The columns that say something: hours where they were computed, cost only with prices."""
    empty = {
        "hours": not any(a.computed for a in alternatives),
        "cost": not any(math.isfinite(a.cost) for a in alternatives),
    }
    return [column for column in COLUMNS if not empty.get(column[0], False)]


def verdict_words(one: Alternative) -> str:
    """What there is to say against one."""
    words = [f"over: {', '.join(one.over)}"] if one.over else []
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
        style = "red" if one.over else "dim" if one.beaten_by else None
        table.add_row(*(Text(cell) for cell in [one.name, *cells, verdict_words(one)]), style=style)
    console.print(table)
    if not all(one.computed for one in alternatives):
        console.print(Text(CLOSED_FORMS))


def compare_json(alternatives: Sequence[Alternative]) -> str:
    """Everything, SI and hours; what is not known is null."""
    rows = []
    for one in alternatives:
        row = asdict(one)
        for key, value in row.items():
            row[key] = known(value) if isinstance(value, float) else value
        rows.append(row)
    return (
        escaped_json(json.dumps(rounded({"alternatives": rows}), indent=1, ensure_ascii=False, allow_nan=False)) + "\n"
    )


def compare_chart(alternatives: Sequence[Alternative], name: str) -> Figure:
    """A panel for each column, a bar for each alternative."""
    columns = columns_of(alternatives)
    figure, axes, words, quiet, bar = styled_figure(
        len(columns), 1.5 + 0.42 * len(alternatives), (name, "alternatives")
    )
    rows = range(len(alternatives))
    for k, (head, value, show, more) in enumerate(columns):
        panel = axes[k]
        values = [value(one) for one in alternatives]
        high = max((v for v in values if math.isfinite(v)), default=1.0) or 1.0
        for row, (one, v) in enumerate(zip(alternatives, values, strict=True)):
            colour = OVER if one.over else GREY if one.beaten_by else bar
            if math.isfinite(v):
                panel.barh(row, v, height=0.5, color=colour, linewidth=0)
            said = (show(v) or "unknown").split(" (")[0]
            panel.text(
                (v if math.isfinite(v) else 0) + 0.03 * high,
                row,
                said,
                va="center",
                color=quiet if one.beaten_by else words["color"],
                fontproperties=words["fontproperties"],
            )
        panel.set_xlim(0, 1.75 * high)
        panel.set_ylim(len(alternatives) - 0.4, -0.6)
        panel.set_title(
            f"{head}, {'more' if more else 'less'} is better",
            loc="left",
            fontproperties=words["fontproperties"],
            color=quiet,
        )
        panel.set_xticks([])
        panel.set_yticks(rows, [_short(one) for one in alternatives] if k == 0 else [""] * len(alternatives))
        for label in panel.get_yticklabels():
            label.set(**words)
    return figure


def _short(one: Alternative) -> str:
    said = " (over a limit)" if one.over else " (a limit not known)" if one.unknown else ""
    most = min(30, 44 - len(said))
    name = shown(one.name)
    name = name if len(name) <= most else f"{name[: most - 1]}…"
    return name.replace("$", "\\$") + said


def draw_compare(alternatives: Sequence[Alternative], name: str, path: Path) -> Path:
    """Write the chart as PNG."""
    return save_chart(compare_chart(alternatives, name), path)
