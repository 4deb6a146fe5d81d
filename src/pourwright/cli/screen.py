"""What goes to the screen: tables to standard output, progress and errors to standard error."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Iterable, Iterator

from rich.console import Console, ConsoleOptions, RenderableType
from rich.progress import BarColumn, TaskID, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bars
from rich.segment import Segment

from pourwright.cli.interrupts import INTERRUPTS
from pourwright.errors import FileError
from pourwright.plaintext import shown, shown_line
from pourwright.progress import Progress

PIPED_WIDTH = 120
"""Columns when nobody's terminal says how many there are."""


class Screen(Console):
    """A console on which texts from outside move no cursor: whatever is printed goes through `shown`."""

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """What is printed, piece by piece."""
        for segment in super().render(renderable, options):
            yield segment if segment.control else Segment(shown(segment.text), segment.style)


def output() -> Console:
    """Console for results: as wide as the terminal, without colour when piped, "?" for what it cannot spell."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    return Screen(file=sys.stdout, width=None if sys.stdout.isatty() else PIPED_WIDTH, highlight=False)


def say(words: str) -> None:
    """One sentence on standard error, behind the program's name."""
    with contextlib.suppress(OSError):  # nobody can be told
        print(f"pourwright: {shown_line(words)}", file=sys.stderr, flush=True)


class _Guarded(io.TextIOWrapper):
    """Standard output; where it cannot be written that is an error of ours, which says so."""

    def write(self, text: str, /) -> int:
        with _told():
            return super().write(text)

    def flush(self) -> None:
        with _told():
            super().flush()


@contextlib.contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:  # its reader has gone: no error
        raise
    except OSError as error:
        raise FileError(
            f"standard output cannot be written ({error.strerror or error}): send it to another place"
        ) from None


@contextlib.contextmanager
def guarded_output() -> Iterator[None]:
    """While active, what cannot be written to standard output raises `FileError`."""
    real = sys.stdout
    if real is None:  # closed by who called
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
        yield
        return
    if type(real) is not io.TextIOWrapper:  # a test's
        yield
        return
    guarded = _Guarded(
        real.buffer, real.encoding, real.errors, line_buffering=real.line_buffering, write_through=real.write_through
    )
    sys.stdout = guarded
    try:
        yield
    finally:
        sys.stdout = real
        try:
            guarded.detach()
        except (OSError, FileError):
            to_nobody()
            guarded.detach()


def to_nobody() -> None:
    """Send what is left for standard output nowhere: it could not be written, and would be tried again at the end."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


@contextlib.contextmanager
def progress_shown(wanted: bool) -> Iterator[Progress]:
    """A listener that draws one bar a step on standard error, silent where that is no terminal or not wanted."""
    if not wanted or not watched():
        yield _unshown
        return
    console = Screen(file=sys.stderr, highlight=False)
    columns = (TextColumn("{task.description}", markup=False), BarColumn(bar_width=30), TimeElapsedColumn())
    with Bars(*columns, console=console, transient=True) as bars:
        tasks: dict[str, TaskID] = {}

        def tell(step: str, done: float) -> None:
            INTERRUPTS.check()
            if step not in tasks:
                for earlier in tasks.values():
                    bars.update(earlier, completed=1.0)
                tasks[step] = bars.add_task(shown_line(step), total=1.0)
            bars.update(tasks[step], completed=done)

        yield tell


def watched() -> bool:
    """Whether a person sees the bars of the steps: on a terminal."""
    return sys.stderr.isatty()


def _unshown(step: str, done: float) -> None:
    INTERRUPTS.check()
