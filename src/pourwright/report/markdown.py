"""``plan.md``: the plan as plain text that reads well in a terminal and prints as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from pourwright import units
from pourwright.plaintext import shown
from pourwright.report.machine.shop import shop_parts
from pourwright.report.marked import escaped, wrapped
from pourwright.wording.asks import status_words
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

if TYPE_CHECKING:
    from pourwright.plan import Plan

BY_FORMULA = (
    "Figures not marked otherwise are formulas; pourwright stiffness computes them on the real shape, from the "
    "plan that is made."
)


def plan_markdown(plan: Plan, pictures: Sequence[str] = ()) -> str:
    """The text of ``plan.md``.

    Parameters
    ----------
    plan : Plan
    pictures : sequence of str
        File names of the pictures beside it.
    """
    place = f", {escaped(plan.job.place)}" if plan.job.place else ""
    lines = [f"# {escaped(plan.job.name)}{place}", "", *wrapped(f"**{status_words(plan)}**"), ""]
    lines += pairs(summary_lines(plan))
    if pictures:
        lines += ["", "Pictures: " + ", ".join(pictures)]
    lines += ["", "## Lifts", "", *_table(plan), ""]
    lines += ["## Holes, to be made before the first pour", "", *bullets(hole_lines(plan)), ""]
    lines += _by_machine(plan)
    for part in placed_in(plan):
        lines += [f"## {part.title}", "", *bullets(part.lines), ""]
        lines += [*columns(part.head, part.rows), ""] if part.rows else []
    for lift in plan.lift_plan.lifts:
        lines += [f"### {lift_title(lift)}", "", *wrapped(limit_words(lift)), ""]
        if skin_lines(lift, plan.lift_plan):
            lines += [*bullets(skin_lines(lift, plan.lift_plan)), ""]
        for pour in lift.pours:
            lines += [f"Pour {pour.name}", "", *bullets(pour_lines(plan.lift_plan, pour, plan.foam, spoken(plan))), ""]
    day = day_lines(plan)
    if day:
        lines += [f"## The day, from the start of the first {spoken(plan).mix}", "", *bullets(day), ""]
    if rows := day_rows(plan):
        lines += ["## Days to choose from", "", *columns(DAY_HEAD, rows), ""]
    if offers := offer_lines(plan):
        lines += ["## What would shorten the day", "", *bullets(offers), ""]
    if plan.computed.words:
        lines += ["## How it was found", "", *bullets(found_lines(plan)), ""]
    lines += ["## To buy", "", *wrapped(liquids_line(plan)), ""]
    lines += ["## Weight and balance", "", *pairs(weight_lines(plan)), ""]
    if plan.outcome.stiffness:
        lines += ["## Stiffness", "", *pairs(stiffness_lines(plan)), "", *wrapped(BY_FORMULA), ""]
    if plan.checks:
        lines += ["## Checks of the whole piece", "", *bullets(piece_check_lines(plan)), ""]
    lines += ["## Warnings", "", *(bullets(warning_lines(plan)) or ["none"]), ""]
    lines += ["## Cautions", "", *bullets(caution_lines(plan)), ""]
    if plan.job.assumed:
        lines += ["## Assumed, because the job does not say", "", *bullets(plan.job.assumed), ""]
    lines += ["## Made with", "", *pairs(sorted(plan.provenance.items()))]
    return shown("\n".join(lines)) + "\n"


def _by_machine(plan: Plan) -> list[str]:
    """Packing, shots, fixture and series of a part that a machine fills."""
    lines: list[str] = []
    for part in shop_parts(plan):
        lines += [f"## {part.title}", ""]
        for table in part.tables:
            lines += [*columns(table.heads, table.rows), ""]
        lines += [*pairs(part.pairs), ""] if part.pairs else []
        lines += [*bullets(part.lines), ""]
    return lines


def _table(plan: Plan) -> list[str]:
    sides = plan.job.grade.sides
    said = spoken(plan)
    amounts = [escaped(sides.a), escaped(sides.b), "shots" if said.machine else "cups"]
    head = ["pour", "up to", *amounts, f"wait from first {said.mix}", "governed by"]
    rows = [
        [
            pour.name,
            units.length(pour.top_m),
            units.liquid(pour.parts.a_m3),
            units.liquid(pour.parts.b_m3),
            str(pour.batches),
            "" if pour.poured else units.time(lift.wait_s),
            lift.limit,
        ]
        for lift in plan.lift_plan.lifts
        for pour in lift.pours
    ]
    return columns(head, rows)


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A table of a head and rows."""
    widths = [max(len(row[column]) for row in [head, *rows]) for column in range(len(head))]
    rule = "|" + "|".join("-" * (width + 2) for width in widths) + "|"
    body = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |" for row in rows
    ]
    top = "| " + " | ".join(cell.ljust(width) for cell, width in zip(head, widths, strict=True)) + " |"
    return [top, rule, *body]


def pairs(lines: Iterable[tuple[str, str]]) -> list[str]:
    """Bullets of a word and what there is to say."""
    return [part for name, words in lines for part in wrapped(f"- {name}: {escaped(words)}", "  ")]


def bullets(lines: Iterable[str]) -> list[str]:
    """Bullets."""
    return [part for line in lines for part in wrapped(f"- {escaped(line)}", "  ")]
