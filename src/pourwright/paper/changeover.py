"""A folder goes from one plan to the next as a whole: a change once begun is finished, by whoever comes next.

A file system moves one file in one step, never twenty. So the new files are brought to the disk beside the old ones
first; then `UNFINISHED` appears, in one step, and says which files are to be moved and which to go. From then on the
new plan is the folder's plan: everything that reads the folder finishes the move before it reads. When the last file
is in its place `UNFINISHED` goes.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import shutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from filelock import FileLock, Timeout

from pourwright.errors import FileError

UNFINISHED = "UNFINISHED.txt"
LOCK = ".plan.lock"
PATIENCE_S = 20.0
"""How long to wait for another writer."""
PART = re.compile(r"\..*\.part-(\d+)-")
"""Folders in which files are prepared, with the number of the process."""
_WORDS = """This folder is being changed from one plan to another. While this file is here, some of the files beside it
belong to the old plan and some to the new one: do not pour by them. If no program is at work on it, any command that
reads the folder finishes the change, like: pourwright weights FOLDER

"""
_PLAIN = re.compile(r"[\w.-]+")


def change_over(stage: Path, folder: Path, names: Sequence[str], gone: Callable[[], Iterable[str]]) -> None:
    """Move files into a folder and others out of it, so that the folder cannot stay between.

    Parameters
    ----------
    stage : Path
        A folder inside a folder named as `PART` inside ``folder``; holds the new files.
    folder : Path
    names : sequence of str
        The new files, in the order in which they are moved.
    gone : callable
        Gives the files of the old plan that are to go; asked when no other writer is at work.

    Raises
    ------
    FileError
        Another writer is at work, or a file is held open by another program. `UNFINISHED` stays if the change has
        begun, and the new files are kept until it can be finished.
    OSError
        Before the change has begun: nothing is changed.
    """
    digests = {}
    for name in names:
        with (stage / name).open("rb") as file:
            digests[name] = hashlib.file_digest(file, "sha256").hexdigest()
            os.fsync(file.fileno())
    with _alone(folder):
        _finish(folder)
        tree = {"from": stage.relative_to(folder).as_posix(), "files": digests, "gone": sorted({*gone()} - {*names})}
        note = stage.parent / UNFINISHED
        with note.open("w", encoding="utf-8", newline="\n") as file:
            file.write(_WORDS + json.dumps(tree) + "\n")
            file.flush()
            os.fsync(file.fileno())
        os.replace(note, folder / UNFINISHED)
        _to_disk(folder)
        _finish(folder)


def finish(folder: Path) -> None:
    """Finish a change that a killed program has begun; nothing to do is nothing done.

    Raises
    ------
    FileError
        It cannot be finished: a file is held open, the folder may not be written, or files are missing.
    """
    if (folder / UNFINISHED).is_file():
        with _alone(folder):
            _finish(folder)


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    try:
        with FileLock(folder / LOCK, timeout=PATIENCE_S):
            yield
    except Timeout:
        raise FileError(f"{folder} is being written by another program: try again.") from None
    except PermissionError:
        if (folder / UNFINISHED).is_file():
            raise FileError(f"{folder} holds parts of two plans and may not be written: change its rights.") from None
        raise


def _finish(folder: Path) -> None:
    """Move what is not moved yet; the lock is held."""
    path = folder / UNFINISHED
    try:
        tree = json.loads(path.read_text(encoding="utf-8").partition("\n\n")[2])
        stage, files, gone = folder / _inside(str(tree["from"])), dict(tree["files"]), list(tree["gone"])
        if not all(_PLAIN.fullmatch(str(name)) and name not in (".", "..") for name in [*files, *gone]):
            raise ValueError
    except FileNotFoundError:
        return
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        raise FileError(f"{path} is not as it was written: plan the piece again into a new folder.") from None
    try:
        for name in files:
            with contextlib.suppress(FileNotFoundError):  # moved already
                os.replace(stage / name, folder / name)
        for name in gone:
            (folder / name).unlink(missing_ok=True)
        for name, digest in files.items():
            if hashlib.sha256((folder / name).read_bytes()).hexdigest() != digest:
                raise FileError(f"{folder} holds parts of two plans ({name}): plan the piece again into a new folder.")
        _to_disk(folder)
        path.unlink()
    except OSError as error:
        raise FileError(
            f"{folder} holds parts of two plans ({error.filename or error}: {error.strerror or error}): close what has "
            "its files open and give the command again."
        ) from None
    shutil.rmtree(stage.parent, ignore_errors=True)


def _inside(place: str) -> Path:
    part, _, rest = place.partition("/")
    if not PART.match(part) or rest != "plan" or "\\" in part:
        raise ValueError(place)
    return Path(part) / rest


def _to_disk(folder: Path) -> None:
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        with contextlib.suppress(OSError):  # some file systems cannot
            os.fsync(handle)
        os.close(handle)
