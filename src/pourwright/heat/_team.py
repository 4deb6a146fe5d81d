"""A few threads that do one stage after another; the kernels release the interpreter lock."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from types import TracebackType

import numpy as np

from pourwright.processors import thread_count


def parts(ends: np.ndarray, count: int) -> list[int]:
    """Cuts of a list whose items end at cumulative work ``ends`` into ``count`` parts of about the same work.

    >>> parts(np.array([0, 10, 20, 30, 40]), 2)
    [0, 2, 4]
    """
    wanted = np.linspace(ends[0], ends[-1], count + 1)
    cuts = np.searchsorted(ends, wanted[1:-1])
    return [0, *(int(c) for c in cuts), len(ends) - 1]


class Team:
    """Runs ``work(part)`` for each part at once; the caller's thread takes the last part."""

    def __init__(self, threads: int | None = None):
        self.size = threads or thread_count()
        self._pool = ThreadPoolExecutor(self.size - 1) if self.size > 1 else None

    def __enter__(self) -> Team:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool:
            self._pool.shutdown()

    def run(self, work: Callable[[int], None]) -> None:
        """All parts, then return."""
        if self._pool is None:
            work(0)
            return
        others = [self._pool.submit(work, part) for part in range(self.size - 1)]
        work(self.size - 1)
        for other in others:
            other.result()
