"""The plan in the terminal: a table of lifts, every warning, every caution. Widths follow the terminal."""

from __future__ import annotations

from collections.abc import Iterable

from rich import box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.lifts import Pour
from pourwright.paper.lines import (
    lift_title,
    liquids_line,
    piece_check_lines,
    pour_lines,
    stiffness_lines,
    summary_lines,
    weight_lines,
)
from pourwright.paper.words import DO_NOT_POUR, limit_words, status_words
from pourwright.plan import Plan

NARROW = 100
"""Below this many columns the table of lifts leaves out temperature and pressure (they stand with each pour)."""


def print_plan(plan: Plan, console: Console) -> None:
    """Print the whole plan. Text from the job is never taken for markup."""
    console.print(plan_tables(plan, console.width), highlight=False, markup=False)


def plan_tables(plan: Plan, width: int) -> RenderableType:
    """What `print_plan` prints, for a terminal of ``width`` columns."""
    parts: list[RenderableType] = [_title(plan), _pairs(summary_lines(plan)), Text()]
    parts += [lift_table(plan, width), Text()]
    for lift in plan.lift_plan.lifts:
        parts += [Text(lift_title(lift), style="bold"), Padding(Text(limit_words(lift)), (0, 0, 0, 2))]
        for pour in lift.pours:
            parts.append(Padding(Text(f"pour {pour.name}", style="bold"), (0, 0, 0, 2)))
            parts.append(Padding(_list(pour_lines(pour)), (0, 0, 0, 4)))
    parts += [Text(), Text("To buy", style="bold"), Padding(Text(liquids_line(plan)), (0, 0, 0, 2))]
    parts += _block("Weight and balance", [_pairs(weight_lines(plan))])
    if plan.outcome.stiffness:
        parts += _block("Stiffness", [_pairs(stiffness_lines(plan))])
    if plan.checks:
        parts += _block("Checks of the whole piece", [_list(piece_check_lines(plan))])
    if plan.warnings:
        parts += _block("Warnings", [_list(plan.warnings)], style="bold yellow")
    parts += _block("Cautions", [_list(plan.cautions)], style="bold yellow")
    if plan.job.assumed:
        parts += _block("Assumed, because the job does not say", [_list(plan.job.assumed)])
    return Group(*parts)


def lift_table(plan: Plan, width: int) -> Table:
    """One row a pour: amounts, cups, wait and what bound the lift, metric above the other system."""
    wide = width >= NARROW
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for name in ("Pour", "Up to", "Cavity", "Part A", "Part B", "Cups"):
        table.add_column(name, justify="left" if name == "Pour" else "right", no_wrap=name == "Pour")
    if wide:
        table.add_column("Hottest", justify="right")
        table.add_column("Pressure", justify="right")
    table.add_column("Wait", justify="right")
    table.add_column("Bound by")
    for lift in plan.lift_plan.lifts:
        for pour in lift.pours:
            cells = _row(pour, wide)
            over = any(check.verdict == "over" for check in pour.checks)
            bound = f"{lift.limit}\nOVER" if over else lift.limit
            table.add_row(*(Text(cell) for cell in cells), Text(bound), style="red" if over else None)
    return table


def _row(pour: Pour, wide: bool) -> list[str]:
    cells = [
        pour.name,
        _stacked(units.length(pour.top_m)),
        _stacked(units.volume(pour.volume_m3)),
        _stacked(units.liquid(pour.parts.a_m3)),
        _stacked(units.liquid(pour.parts.b_m3)),
        str(pour.batches),
    ]
    if wide:
        cells += [
            _stacked(units.temperature(pour.peak_k.nominal)),
            _stacked(units.pressure(pour.peak_pressure_pa.high)),
        ]
    return [*cells, units.time(pour.wait_s)]


def _stacked(text: str) -> str:
    return text.replace(" (", "\n(", 1)


def _title(plan: Plan) -> Text:
    text = Text(plan.job.name, style="bold")
    if plan.job.place:
        text.append(f", {plan.job.place}", style="not bold")
    status = status_words(plan)
    text.append("\n")
    text.append(status, style="bold red" if status.startswith(DO_NOT_POUR) else "bold green")
    return text


def _block(title: str, inside: list[RenderableType], style: str = "bold") -> list[RenderableType]:
    return [Text(), Text(title, style=style), *(Padding(item, (0, 0, 0, 2)) for item in inside)]


def _pairs(lines: Iterable[tuple[str, str]]) -> Table:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True, style="dim")
    table.add_column()
    for name, words in lines:
        table.add_row(Text(name), Text(words))
    return table


def _list(lines: Iterable[str]) -> Table:
    table = Table.grid(padding=(0, 1, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column()
    for line in lines:
        table.add_row(Text("-"), Text(line))
    return table
