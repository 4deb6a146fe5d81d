"""The plan in the terminal: a table of lifts, every warning, every caution. Widths follow the terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from rich import box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.foam import Sides
from pourwright.lifts import Lift, Pour
from pourwright.plan import LinedPlan, Plan
from pourwright.report.machine.shop import shop_parts
from pourwright.wording.asks import refused_or_unknown, status_words
from pourwright.wording.computed import day_lines
from pourwright.wording.day import DAY_HEAD, day_rows, offer_lines
from pourwright.wording.lifts import (
    caution_lines,
    found_lines,
    hole_lines,
    lift_title,
    liquids_line,
    piece_check_lines,
    pour_lines,
    stiffness_lines,
    summary_lines,
    warning_lines,
    weight_lines,
)
from pourwright.wording.placed import placed_in
from pourwright.wording.skin import skin_lines
from pourwright.wording.spoken import spoken
from pourwright.wording.status import limit_words

ROOMY = 76
"""From this many columns no amount in the table of lifts is broken over lines."""


@dataclass(frozen=True)
class Column:
    """A column of the table of lifts; left out on terminals narrower than ``least_width`` (each pour tells it all)."""

    head: str
    cell: Callable[[Lift, Pour], str]
    least_width: int = 0
    justify: Literal["left", "right"] = "right"


COLUMNS = (
    Column("Pour", lambda lift, pour: pour.name, justify="left"),
    Column("Up to", lambda lift, pour: _stacked(units.length(pour.top_m))),
    Column("Cavity", lambda lift, pour: _stacked(units.volume(pour.volume_m3)), 90),
    Column("Part A", lambda lift, pour: _stacked(units.liquid(pour.parts.a_m3))),
    Column("Part B", lambda lift, pour: _stacked(units.liquid(pour.parts.b_m3))),
    Column("Batches", lambda lift, pour: str(pour.batches)),
    Column("Core,\nexpected", lambda lift, pour: _stacked(units.temperature(pour.peak_k.nominal)), 112),
    Column("Pressure,\nat most", lambda lift, pour: _stacked(units.pressure(pour.peak_pressure_pa.high)), 112),
    Column("Wait from\nfirst mix", lambda lift, pour: "" if pour.poured else units.time(lift.wait_s)),
    Column("Governed by", lambda lift, pour: _bound(lift, pour), justify="left"),
)


def print_plan(plan: Plan, console: Console) -> None:
    """Print the whole plan. Text from the job is never taken for markup; into a file no line ends in blanks."""
    if console.is_terminal:
        console.print(plan_tables(plan, console.width), highlight=False, markup=False)
        return
    with console.capture() as captured:
        console.print(plan_tables(plan, console.width), highlight=False, markup=False)
    console.file.write("".join(f"{line.rstrip()}\n" for line in captured.get().splitlines()))


def plan_tables(plan: Plan, width: int) -> RenderableType:
    """What `print_plan` prints, for a terminal of ``width`` columns."""
    own, body = _lined(plan) if isinstance(plan, LinedPlan) else ([], _lifted(plan, width))
    parts: list[RenderableType] = [_title(plan), _pairs(summary_lines(plan) + own), Text(), *body]
    parts += [Text(), Text("To buy", style="bold"), Padding(Text(liquids_line(plan)), (0, 0, 0, 2))]
    parts += _block("Weight and balance", [_pairs(weight_lines(plan))])
    if plan.outcome.stiffness:
        parts += _block("Stiffness", [_pairs(stiffness_lines(plan))])
    if plan.checks:
        parts += _block("Checks of the whole piece", [_list(piece_check_lines(plan))])
    if warning_lines(plan):
        parts += _block("Warnings", [_list(warning_lines(plan))], style="bold yellow")
    parts += _block("Cautions", [_list(caution_lines(plan))], style="bold yellow")
    if plan.job.assumed:
        parts += _block("Assumed, because the job does not say", [_list(plan.job.assumed)])
    return Group(*parts)


def _lined(plan: LinedPlan) -> tuple[list[tuple[str, str]], list[RenderableType]]:
    """What a lining has of its own in the summary; its coats and positions."""
    import pourwright.wording.lining as words  # slow to load, and few plans are lined

    parts: list[RenderableType] = [_plain(words.coat_head(plan), words.coat_rows(plan))]
    parts += _block("How each coat is laid", [_list(words.how_lines(plan))])
    parts += _block(words.rolls_title(plan), [_plain(words.position_head(plan), words.position_rows(plan))])
    return words.lining_lines(plan), parts + _block("What stays hollow", [_list(words.hollow_lines(plan))])


def _plain(head: Iterable[str], rows: Iterable[Sequence[str]]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0))
    for name in head:
        table.add_column(name)
    for row in rows:
        table.add_row(*row)
    return table


def _lifted(plan: Plan, width: int) -> list[RenderableType]:
    """Lifts, their pours and the day."""
    parts: list[RenderableType] = [lift_table(plan, width)]
    parts += _block("Holes, to be made before the first pour", [_list(hole_lines(plan))])
    parts += _shot(plan)
    for part in placed_in(plan):
        said: list[RenderableType] = [_list(part.lines), *([_plain(part.head, part.rows)] if part.rows else [])]
        parts += _block(part.title, said)
    parts.append(Text())
    for lift in plan.lift_plan.lifts:
        parts += [Text(lift_title(lift), style="bold"), Padding(Text(limit_words(lift)), (0, 0, 0, 2))]
        if skin_lines(lift, plan.lift_plan):
            parts.append(Padding(_list(skin_lines(lift, plan.lift_plan)), (0, 0, 0, 4)))
        for pour in lift.pours:
            parts.append(Padding(Text(f"pour {pour.name}", style="bold"), (0, 0, 0, 2)))
            parts.append(Padding(_list(pour_lines(plan.lift_plan, pour, plan.foam, spoken(plan))), (0, 0, 0, 4)))
    day = day_lines(plan)
    if day:
        parts += _block(f"The day, from the start of the first {spoken(plan).mix}", [_list(day)])
    if rows := day_rows(plan):
        parts += _block("Days to choose from", [_days(rows)])
    if offers := offer_lines(plan):
        parts += _block("What would shorten the day", [_list(offers)])
    if plan.computed.words:
        parts += _block("How it was found", [_list(found_lines(plan))])
    return parts


def _shot(plan: Plan) -> list[RenderableType]:
    """Packing, shots, fixture and series of a part that a machine fills."""
    out: list[RenderableType] = []
    for part in shop_parts(plan):
        inside: list[RenderableType] = [_plain(table.heads, table.rows) for table in part.tables]
        inside += [_pairs(part.pairs)] if part.pairs else []
        out += _block(part.title, [*inside, _list(part.lines)])
    return out


def _days(rows: list[tuple[str, ...]]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for head in DAY_HEAD:
        table.add_column(head)
    for row in rows:
        table.add_row(*row, style="bold" if row[-1] == "this plan" else None)
    return table


def lift_table(plan: Plan, width: int) -> Table:
    """One row a pour: amounts, cups, wait and what bound the lift, metric above the other system."""
    columns = [column for column in COLUMNS if width >= column.least_width]
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    heads = dict(zip(Sides().heads, plan.job.grade.sides.heads, strict=True))
    if plan.job.machine is not None:
        heads |= {"Batches": "Shots", "Wait from\nfirst mix": "Wait from\nfirst shot"}
    for column in columns:
        table.add_column(
            heads.get(column.head, column.head),
            justify=column.justify,
            no_wrap=width >= ROOMY and column.head != "Governed by",
        )
    for lift in plan.lift_plan.lifts:
        for pour in lift.pours:
            over = any(check.verdict == "over" for check in pour.checks)
            table.add_row(*(Text(column.cell(lift, pour)) for column in columns), style="red" if over else None)
    return table


def _bound(lift: Lift, pour: Pour) -> str:
    verdicts = {check.verdict for check in pour.checks}
    notes = {"over": "OVER", "unknown": "not all known"}
    return "\n".join([lift.limit, *(word for verdict, word in notes.items() if verdict in verdicts)])


def _stacked(text: str) -> str:
    return text.replace(" (", "\n(", 1)


def _title(plan: Plan) -> Text:
    text = Text(plan.job.name, style="bold")
    if plan.job.place:
        text.append(f", {plan.job.place}", style="not bold")
    status = status_words(plan)
    text.append("\n")
    text.append(status, style="bold red" if refused_or_unknown(plan) else "bold green")
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
