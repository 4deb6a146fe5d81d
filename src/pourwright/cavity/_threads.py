"""Sharing slabs of the grid between threads; the kernels release the interpreter lock."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

R = TypeVar("R")


def thread_count() -> int:
    """Threads to use: ``POURWRIGHT_THREADS`` if set, else the processors this process may run on."""
    asked = os.environ.get("POURWRIGHT_THREADS", "")
    if asked.isdigit() and int(asked) > 0:
        return int(asked)
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system tells
        return os.cpu_count() or 1


def spans(length: int, step: int) -> list[tuple[int, int]]:
    """Consecutive half-open ranges of at most ``step`` that cover ``length``.

    The cuts depend on the grid alone, never on the number of threads, so that sums come out the same everywhere.

    >>> spans(5, 2)
    [(0, 2), (2, 4), (4, 5)]
    """
    return [(start, min(start + step, length)) for start in range(0, length, step)]


def run_spans(work: Callable[[int, int], R], ranges: Iterable[tuple[int, int]]) -> list[R]:
    """``work(start, stop)`` over all ranges, results in their order."""
    todo = list(ranges)
    threads = min(thread_count(), len(todo))
    if threads <= 1:
        return [work(start, stop) for start, stop in todo]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(lambda span: work(*span), todo))
