"""A page for the installer, the rigger or the boat shop: one list of sections that the terminal and the file share."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich import box
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from pourwright import units
from pourwright.plaintext import shown
from pourwright.report.marked import WIDTH, escaped, wrapped
from pourwright.wording.checks import ESTIMATE

if TYPE_CHECKING:
    from rich.console import Console

    from pourwright.document.made import Source

_HELD = "\x00"


@dataclass(frozen=True)
class Rows:
    """A table: heads and rows of text."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Section:
    """A heading with lines, or with a table, or with both."""

    title: str
    lines: tuple[str, ...] = ()
    table: Rows | None = None


@dataclass(frozen=True)
class Page:
    """Everything that is said about one question."""

    name: str  # of the piece
    place: str
    title: str
    sections: tuple[Section, ...]
    warnings: tuple[str, ...]
    made_from: str  # which plan


def page_markdown(page: Page, pictures: Sequence[str] = ()) -> str:
    """The page as Markdown that reads well as it stands.

    Parameters
    ----------
    page : Page
    pictures : sequence of str
        File names of pictures beside it.
    """
    place = f", {escaped(page.place)}" if page.place else ""
    lines = [f"# {escaped(page.name)}{place}: {escaped(page.title)}", "", *wrapped(f"**{ESTIMATE}**"), ""]
    for picture in pictures:
        lines += [f"![{escaped(page.title)}]({picture})", ""]
    lines += [
        "## Warnings",
        "",
        *([_part for line in page.warnings for _part in _bullet(units.in_both(line))] or ["none"]),
        "",
    ]
    for section in page.sections:
        lines += [f"## {section.title}", ""]
        if section.table is not None:
            lines += [*_table(section.table), ""]
        if section.lines:
            lines += [*(part for line in section.lines for part in _bullet(units.in_both(line))), ""]
    lines += wrapped(page.made_from)
    return shown("\n".join(lines)).rstrip() + "\n"


def print_page(page: Page, console: Console) -> None:
    """Print the page; text of the job is never taken for markup."""
    width = console.width if console.is_terminal else WIDTH + 20
    place = f", {page.place}" if page.place else ""
    console.print(Text(f"{page.name}{place}: {page.title}", style="bold"))
    console.print(Text(ESTIMATE, style="italic"))
    console.print()
    console.print(Text("Warnings", style="bold"))
    for line in page.warnings or ("none",):
        _print_line(units.in_both(line), console, width)
    for section in page.sections:
        console.print()
        console.print(Text(section.title, style="bold"))
        if section.table is not None:
            grid = Grid(box=box.SIMPLE_HEAD, pad_edge=False)
            for k, head in enumerate(section.table.heads):
                grid.add_column(Text(head), justify="left" if k == 0 else "right")
            for row in section.table.rows:
                grid.add_row(*(Text(cell) for cell in row))
            with console.capture() as caught:
                console.print(grid)
            for row_text in caught.get().splitlines():  # no line ends in blanks
                console.print(Text.from_ansi(row_text.rstrip()), soft_wrap=True)
        for line in section.lines:
            _print_line(units.in_both(line), console, width)
    console.print()
    console.print(Text(page.made_from))


def _print_line(line: str, console: Console, width: int) -> None:
    held = re.sub(r"(?<=\d) (?=[^\d\s])", _HELD, line)
    room = max(20, width - 4)
    rows = textwrap.wrap(held, room, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
    for k, row in enumerate(rows or [""]):
        text = Text(("- " if k == 0 else "") + row.replace(_HELD, " "))
        console.print(Padding(text, (0, 0, 0, 2), expand=False), soft_wrap=True)


def _bullet(line: str) -> list[str]:
    return wrapped(f"- {escaped(line)}", "  ")


def _table(table: Rows) -> list[str]:
    rows = [tuple(escaped(cell) for cell in row) for row in (table.heads, *table.rows)]
    widths = [max(len(row[k]) for row in rows) for k in range(len(table.heads))]
    drawn = ["| " + " | ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)) + " |" for row in rows]
    return [drawn[0], "|" + "|".join("-" * (width + 2) for width in widths) + "|", *drawn[1:]]


def made_from(plan: Source) -> str:
    """Which plan a page belongs to."""
    return f"Made from the plan of {plan.file} (sha256 {plan.sha256[:12]}), job {plan.job_sha256[:12]}, {plan.program}."
