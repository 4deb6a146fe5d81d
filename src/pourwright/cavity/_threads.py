"""Sharing slabs of the grid between threads; the kernels release the interpreter lock."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from pourwright.processors import thread_count

R = TypeVar("R")


def spans(length: int, step: int) -> list[tuple[int, int]]:
    """Consecutive half-open ranges of at most ``step`` that cover ``length``.

    The cuts depend on the grid alone, never on the number of threads, so that sums come out the same everywhere.

    >>> spans(5, 2)
    [(0, 2), (2, 4), (4, 5)]
    """
    return [(start, min(start + step, length)) for start in range(0, length, step)]


def run_spans(
    work: Callable[[int, int], R], ranges: Iterable[tuple[int, int]], tell: Callable[[float], None] | None = None
) -> list[R]:
    """``work(start, stop)`` over all ranges, results in their order.

    ``tell`` hears the share that is done after each; if it raises, what has not begun is left undone.
    """
    todo = list(ranges)
    threads = min(thread_count(), len(todo))
    out: list[R] = []
    if threads <= 1:
        for start, stop in todo:
            out.append(work(start, stop))
            if tell:
                tell(len(out) / len(todo))
        return out
    with ThreadPoolExecutor(threads) as pool:
        waiting = [pool.submit(work, start, stop) for start, stop in todo]
        try:
            for one in waiting:
                out.append(one.result())
                if tell:
                    tell(len(out) / len(todo))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return out
