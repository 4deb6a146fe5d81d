"""The loops that commands call, compiled ahead of them and in several processes at once.

``loops.txt`` lists them with the types they are called with; ``python docs/make_loops.py`` makes it from commands that
are run. What is not in it, or no longer fits, is compiled when it is first called, as without it.
"""

from __future__ import annotations

import contextlib
import importlib
import multiprocessing
import signal
from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from importlib import resources
from typing import NamedTuple

from pourwright import processors
from pourwright.errors import PourwrightError
from pourwright.progress import Progress, silent

LIST = "loops.txt"
STEP = "compiling, once after installation"
MOST_PROCESSES = 4
"""Each holds a compiler, 250 MB."""
ENDED = (
    "a process that compiled was ended before it was done, as a system does that is short of memory: "
    "run pourwright warm --processes 1, or leave it; then each loop is compiled when it is first called"
)
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
    if processors.allowed() > 1 and is_cold():
        with contextlib.suppress(PourwrightError):  # no room for processes: each loop is compiled when it is called
            warm(progress, [room for room in listed() if not room[0].startswith(OTHERS)])


class Warmed(NamedTuple):
    """How many loops are kept on disk now, how many were compiled but are kept nowhere, and how many could not be.

    What could not be compiled is no longer as the list says.
    """

    kept: int
    lost: int
    missing: int


def warm(progress: Progress = silent, rooms: Sequence[Room] | None = None, *, processes: int | None = None) -> Warmed:
    """Compile all that is listed and not kept yet.

    Parameters
    ----------
    progress : Progress
        Told how far it is; what it raises ends the work.
    rooms : sequence of Room, optional
        Those only.
    processes : int, optional
        As many as there are processors that are allowed, if left out, and 4 at most.

    Returns
    -------
    Warmed

    Raises
    ------
    PourwrightError
        No process could be started, or one was ended from outside.
    """
    rooms = listed() if rooms is None else rooms
    total = sum(len(loops) for _, loops in rooms)
    count = processes or min(MOST_PROCESSES, processors.allowed(), len(rooms))
    progress(STEP, 0.0)
    done = Warmed(0, 0, 0)
    for more in map(_compiled, rooms) if count == 1 else _at_once(rooms, count):
        done = Warmed(*map(sum, zip(done, more, strict=True)))
        progress(STEP, sum(done) / max(total, 1))
    return done


def _at_once(rooms: Sequence[Room], count: int) -> Iterator[Warmed]:
    """The answer of each room as it comes, one of nothing five times a second while none does.

    ``count`` processes compile; where nobody listens any more they are ended.
    """
    before = multiprocessing.active_children()
    pool = ProcessPoolExecutor(count, multiprocessing.get_context("spawn"), _undisturbed)
    done = False
    try:
        waiting = {pool.submit(_compiled, room) for room in rooms}
        while waiting:
            ready, waiting = wait(waiting, 0.2, FIRST_COMPLETED)
            yield from [one.result() for one in ready] or [Warmed(0, 0, 0)]
        done = True
    except (BrokenProcessPool, OSError) as error:
        raise PourwrightError(ENDED) from error
    finally:
        for one in [] if done else multiprocessing.active_children():
            if one not in before:
                one.terminate()
        pool.shutdown(cancel_futures=True)


def _undisturbed() -> None:
    """Ctrl-C is for the process that waits, which ends this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _compiled(room: Room) -> Warmed:
    from pourwright.compiled import compile_for, kept_loops

    module, loops = room
    made = kept = 0
    for name, types in loops:
        with contextlib.suppress(Exception):  # of whatever kind: the loop is compiled, or said not to be, when called
            compile_for(getattr(importlib.import_module(module), name), types)
            made += 1
    if made:
        kept = min(made, kept_loops(importlib.import_module(module)) or 0)
    return Warmed(kept, made - kept, len(loops) - made)
