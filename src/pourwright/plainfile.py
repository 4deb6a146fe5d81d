"""Files as they may lie in anybody's folder: links that lead in a circle, pipes that nobody writes into, devices."""

from __future__ import annotations

import os
import stat
from pathlib import Path


def read_file(path: Path) -> bytes:
    """The bytes of a plain file; never waits for a pipe, never reads a device.

    Raises
    ------
    OSError
        As opening and reading raise it, and where it is no plain file.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(0, "it is not a plain file", str(path))
        return file.read()


def real(path: Path) -> Path:
    """Where a path leads, absolute; links that lead in a circle are left as they stand, and do not exist."""
    return Path(os.path.realpath(path))
