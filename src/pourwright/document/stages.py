"""Folders in which files are prepared: each holds a lock as long as its program runs, and is swept only without.

A number of a process says nothing: it is another one in another container, and is given again. A lock goes with its
program, however that ends.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

LOCK, MARK = "pourwright.lock", "pourwright.txt"
"""The file that is locked, and the one by which such a folder is known; some systems remove a lock when it is free."""
_WORDS = "Pourwright prepares files here. Left behind, it may be deleted; the next run does so.\n"
PART = re.compile(r"\..*\.pourwright-part-\w+")
_TRIES = 20


@contextlib.contextmanager
def stage_in(beside: Path, name: str) -> Iterator[Path]:
    """An empty folder ``plan`` to prepare files in, inside one that is ours while the block runs; both stay.

    Parameters
    ----------
    beside : Path
        Where it is made.
    name : str
        Of the folder that the files are for.
    """
    part, lock = _begin(beside, name)
    try:
        stage = part / "plan"  # made by mkdir, so that it gets the rights people expect
        stage.mkdir()
        yield stage
    finally:
        lock.release()


def _begin(beside: Path, name: str) -> tuple[Path, FileLock]:
    for _ in range(_TRIES):  # another program may sweep it away before it is locked
        part = Path(tempfile.mkdtemp(prefix=f".{name[:40]}.pourwright-part-", dir=beside))
        lock = FileLock(part / LOCK, timeout=0)
        with contextlib.suppress(Timeout, FileNotFoundError):
            lock.acquire()
            if _plain(part / LOCK):
                (part / MARK).write_text(_WORDS, encoding="utf-8")
                return part, lock
            lock.release()
    raise OSError(0, "other programs keep removing what is prepared in it", str(beside))


def marked(part: Path) -> bool:
    """Whether a path is a folder of ours, itself and not a link, with its mark or still with its lock."""
    try:
        real = stat.S_ISDIR(part.lstat().st_mode)
    except OSError:
        return False
    return real and PART.fullmatch(part.name) is not None and (_plain(part / MARK) or _plain(part / LOCK))


def _plain(path: Path) -> bool:
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False


def sweep(beside: Path) -> None:
    """Remove what killed runs of this program left behind; nothing that is still worked in, nothing of others."""
    for entry in beside.iterdir():
        if marked(entry):
            if os.path.lexists(entry / LOCK) and not _plain(entry / LOCK):
                continue
            lock = FileLock(entry / LOCK, timeout=0)
            with contextlib.suppress(Timeout, OSError):
                lock.acquire()
                try:
                    shutil.rmtree(entry, ignore_errors=True)
                finally:
                    lock.release()
        elif PART.fullmatch(entry.name) and not entry.is_symlink():
            with contextlib.suppress(OSError):  # only where it is empty: killed before it was locked
                entry.rmdir()
