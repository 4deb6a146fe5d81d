"""Processors that this process may use: a container or a batch queue often allows fewer than the machine has."""

from __future__ import annotations

import os


def allowed() -> int:
    """Processors that this process may run on; where the system does not tell, all of the machine."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:
        return os.cpu_count() or 1


def thread_count() -> int:
    """Threads to use: ``POURWRIGHT_THREADS`` if set, else the processors that are allowed."""
    asked = os.environ.get("POURWRIGHT_THREADS", "")
    return int(asked) if asked.isdigit() and int(asked) > 0 else allowed()
