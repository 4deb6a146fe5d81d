"""The loops that commands call, compiled ahead of them and in several processes at once.

``loops.txt`` lists them with the types they are called with; ``python docs/make_loops.py`` makes it from commands that
are run. What is not in it, or no longer fits, is compiled when it is first called, as without it.
"""

from __future__ import annotations

import contextlib
import importlib
import multiprocessing
import os
import signal
from collections import defaultdict
from collections.abc import Iterable, Sequence
from importlib import resources

from pourwright.progress import Progress, silent

LIST = "loops.txt"
STEP = "compiling, once after installation"
MOST_PROCESSES = 4
"""Each holds a compiler, 250 MB."""
PROBE = "pourwright.cavity._label"
"""A module whose loops every plan calls: where none of them is kept, none of the others is."""

OTHERS = ("pourwright.lining.", "pourwright.outcome.")
"""Modules whose loops no plan of a solid piece calls."""

Room = tuple[str, tuple[tuple[str, str], ...]]
"""A module, and name and types of each of its loops."""


def listed() -> list[Room]:
    """Modules of the list, those with most to compile first."""
    rooms: dict[str, list[tuple[str, str]]] = defaultdict(list)
    text = resources.files("pourwright").joinpath(LIST).read_text(encoding="utf-8")
    for line in text.splitlines():
        if line and not line.startswith("#"):
            place, types = line.split(" ", 1)
            module, name = place.split(":")
            rooms[module].append((name, types))
    return sorted(((module, tuple(loops)) for module, loops in rooms.items()), key=lambda room: (-len(room[1]), room))


def is_cold() -> bool:
    """Whether loops can be kept on disk, and none is: nothing has been planned since installation."""
    from pourwright.compiled import kept_loops

    return kept_loops(importlib.import_module(PROBE)) == 0


def at_first_use(progress: Progress) -> None:
    """Compile all at once where nothing has been compiled yet and there are processors to share it: half the wait."""
    if (os.cpu_count() or 1) > 1 and is_cold():
        with contextlib.suppress(OSError):  # no room for another process: each loop is compiled when it is called
            warm(progress, [room for room in listed() if not room[0].startswith(OTHERS)])


def warm(
    progress: Progress = silent, rooms: Sequence[Room] | None = None, *, processes: int | None = None
) -> tuple[int, int]:
    """Compile all that is listed and not kept yet.

    Parameters
    ----------
    progress : Progress
        Told how far it is; what it raises ends the work.
    rooms : sequence of Room, optional
        Those only.
    processes : int, optional
        As many as there are processors, if left out, and 4 at most.

    Returns
    -------
    (int, int)
        Loops that are kept now, and those that could not be compiled: they no longer are as the list says.
    """
    rooms = listed() if rooms is None else rooms
    total = sum(len(loops) for _, loops in rooms)
    count = processes or min(MOST_PROCESSES, os.cpu_count() or 1, len(rooms))
    progress(STEP, 0.0)
    if count == 1:
        return _gathered(map(_compiled, rooms), total, progress)
    with multiprocessing.get_context("spawn").Pool(count, _undisturbed) as pool:
        waiting = [pool.apply_async(_compiled, (room,)) for room in rooms]
        done = [0, 0]
        while waiting:
            waiting[0].wait(0.2)
            for answer in [one for one in waiting if one.ready()]:
                waiting.remove(answer)
                done = [a + b for a, b in zip(done, answer.get(), strict=True)]
            progress(STEP, sum(done) / total)
        return done[0], done[1]


def _gathered(answers: Iterable[tuple[int, int]], total: int, progress: Progress) -> tuple[int, int]:
    made = failed = 0
    for good, bad in answers:
        made, failed = made + good, failed + bad
        progress(STEP, (made + failed) / total)
    return made, failed


def _undisturbed() -> None:
    """Ctrl-C is for the process that waits, which ends this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _compiled(room: Room) -> tuple[int, int]:
    from pourwright.compiled import compile_for

    module, loops = room
    made = 0
    for name, types in loops:
        with contextlib.suppress(Exception):  # of whatever kind: the loop is compiled, or said not to be, when called
            compile_for(getattr(importlib.import_module(module), name), types)
            made += 1
    return made, len(loops) - made
