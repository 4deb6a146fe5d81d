"""What a record says, in sentences and tables, and what a sheet made from it says has changed."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.paper.document import PlanDocument
from pourwright.paper.sheet import Issue
from pourwright.plan import Plan
from pourwright.ranges import Range

HEIGHT_M, AMOUNT = 0.002, 0.01
"""A pour whose top or liquids moved by more than this is marked as changed."""


def yield_words(factor: Range, readings: int) -> str:
    """The yield in one sentence.

    >>> yield_words(Range(0.96, 1.04, 1.13), 3)
    'Foam in place weighs 1.04 times what was expected, 0.96 to 1.13 for the next pour, after 3 heights read.'
    >>> yield_words(Range(0.9, 1.0, 1.1), 0)
    'No height of an open pour was read yet: the yield is that of the job.'
    """
    if not readings:
        return "No height of an open pour was read yet: the yield is that of the job."
    low, middle, high = (f"{value:.2f}" for value in (factor.low, factor.nominal, factor.high))
    count = "1 height" if readings == 1 else f"{readings} heights"
    return (
        f"Foam in place weighs {middle} times what was expected, {low} to {high} for the next pour, after {count} read."
    )


def issue_of(
    number: int, before: PlanDocument, plan: Plan, said: Sequence[str], done: dict[str, tuple[str, ...]]
) -> Issue:
    """What a sheet made again says: ``said`` first, then how the pours that are left moved.

    Parameters
    ----------
    number : int
        Of the new sheet.
    before : PlanDocument
        The plan that was on the bench.
    plan : Plan
        The new one.
    said : sequence of str
        Yield, temperatures.
    done : dict
        Lines for each poured pour, by name.
    """
    old = {pour.name: pour for lift in before.lifts for pour in lift.pours if not pour.poured}
    new = {pour.name: pour for lift in plan.lift_plan.lifts for pour in lift.pours if not pour.poured}
    changed, lines = set(), list(said)
    for name, pour in new.items():
        was = old.get(name)
        if was is None:
            changed.add(name)
            lines.append(f"Pour {name} is new.")
            continue
        moved = abs(pour.top_m - was.top_m) > HEIGHT_M
        more = abs(pour.parts.total_kg - was.part_a_kg - was.part_b_kg) > AMOUNT * (was.part_a_kg + was.part_b_kg)
        ports = {landing.port.name for landing in pour.landings} != {landing.port for landing in was.landings}
        words = []
        if moved:
            words.append(f"rises to {units.tape(pour.top_m)}, not {units.tape(was.top_m)}")
        if more:
            kg = was.part_a_kg + was.part_b_kg
            words.append(f"takes {units.mass(pour.parts.total_kg)} of both parts, not {units.mass(kg)}")
        if ports:
            words.append(f"goes in at {', '.join(sorted({x.port.name for x in pour.landings})) or 'no port'}")
        if words:
            changed.add(name)
            lines.append(f"Pour {name} {'; '.join(words)}.")
    gone = [name for name in old if name not in new and name not in done]
    if gone:
        lines.append(f"No longer there: pour{'' if len(gone) == 1 else 's'} {', '.join(gone)}.")
    if not changed and not gone:
        lines.append("Nothing that is left has changed.")
    return Issue(number, tuple(lines), done, frozenset(changed))


def print_record(rows: Sequence[Sequence[str]], lines: Sequence[str], console: Console) -> None:
    """Entries as a table, then sentences. Text of the record is never taken for markup."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for head in ("No", "Pour", "What", "Part A", "Part B", "Reached", "When", "Note"):
        table.add_column(head)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)
    for line in lines:
        console.print(line, highlight=False, markup=False)
