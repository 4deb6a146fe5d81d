"""What a record says, in sentences and tables, and what a sheet made from it says has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourwright import units
from pourwright.document.model import PlanDocument
from pourwright.document.plan_json import plan_document
from pourwright.plan import Plan
from pourwright.ranges import Range
from pourwright.report.record_changes import changes_of
from pourwright.report.sheet import Issue


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


def reading_words(
    before_k: Range, after_k: Range, counts: tuple[int, int], cooled: tuple[int, float, float] | None,
    over: Mapping[str, float], stop_k: float,
) -> list[str]:  # fmt: skip
    """What readings of heat in the foam came to.

    Parameters
    ----------
    before_k, after_k : Range
        The rise [K], 95 % ends.
    counts : tuple of int
        Readings of probes, of surfaces.
    cooled : tuple, optional
        Readings of cores an hour after their peak, factor on the diffusivity, standard deviation of its logarithm.
    over : mapping
        Pours whose core was read over ``stop_k``, with the reading [K].
    stop_k : float
    """
    lines = []
    if any(counts):
        kinds = [f"{n} of {what}" for n, what in zip(counts, ("a probe", "a surface"), strict=True) if n]
        ends = [f"{units.difference(rise.low)} to {units.difference(rise.high)}" for rise in (before_k, after_k)]
        lines.append(
            f"The foam warms itself by {ends[1]} (95 %), taken before was {ends[0]}; readings: {' and '.join(kinds)}. "
            "What is left is planned with that. It moves no limit of the supplier or of the job."
        )
    if cooled is not None:
        _, factor, spread = cooled
        lines.append(
            f"Its core cools {factor:.2f} times as fast as was taken, give or take {spread:.0%}, by readings an hour "
            "after its peak."
        )
    for pour, value in over.items():
        lines.append(
            f"STOP: the core of pour {pour} was read at {units.temperature(value)}, over the stop temperature of "
            f"{units.temperature(stop_k)}. Pour nothing on it before it has cooled, do not open it, keep watch for "
            "smoke, and ask the supplier before the next mix."
        )
    return lines


def issue_of(
    number: int, before: PlanDocument, plan: Plan, said: Sequence[str], done: dict[str, tuple[str, ...]]
) -> Issue:
    """What a sheet made again says: ``said`` first, then everything that is not as it was.

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
    lines, changed = changes_of(before, plan_document(plan), done)
    return Issue(number, (*said, *(lines or ["Nothing that is left has changed."])), done, changed)


def print_record(rows: Sequence[Sequence[str]], lines: Sequence[str], console: Console, sides: tuple[str, str]) -> None:
    """Entries as a table, the liquids headed ``sides``, then sentences. Texts of the record are no markup."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False)
    for head in ("No", "Pour", "What", *sides, "Reached", "When", "Note"):
        table.add_column(head)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)
    for line in lines:
        console.print(line, highlight=False, markup=False)
