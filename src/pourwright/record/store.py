"""The record file: replaced whole, under a lock, and on the disk before anyone is told that it is written."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable, Sequence
from itertools import count
from pathlib import Path

from filelock import FileLock, Timeout
from pydantic import ValidationError

from pourwright.errors import FileError
from pourwright.plainfile import read_file
from pourwright.plaintext import escaped_json
from pourwright.record.model import SCHEMA, Entry, Record
from pourwright.record.place import RECORD_FILE

LOCK_FILE = ".record.lock"
PATIENCE_S = 20.0
"""How long a writer waits for another one."""


def read_record(folder: Path) -> Record | None:
    """The record in a plan's folder; None where nothing was recorded yet.

    Raises
    ------
    FileError
        It cannot be read, or is no record of this schema. It is never replaced then.
    """
    path = folder / RECORD_FILE
    try:
        return Record.model_validate_json(read_file(path))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FileError(f"{path} cannot be read ({error.strerror or error}): mend its rights.") from None
    except ValidationError:
        raise FileError(
            f"{path} is not a record in the schema {SCHEMA}: move it away and record again; it was left as it is."
        ) from None


def update(folder: Path, change: Callable[[Record | None], Record]) -> Record:
    """Read, change and write the record while no other writer can; returns what was written.

    The new file is written beside the old one, brought to the disk, and takes its name in one step; then the folder is
    brought to the disk. Killed at any moment, the old or the new record is there, whole.

    Raises
    ------
    FileError
        The folder cannot be written, or another writer held the lock for `PATIENCE_S`.
    """
    try:
        with FileLock(folder / LOCK_FILE, timeout=PATIENCE_S):
            record = change(read_record(folder))
            _write(folder / RECORD_FILE, escaped_json(record.model_dump_json(by_alias=True, indent=1)) + "\n")
            return record
    except Timeout:
        raise FileError(f"{folder / RECORD_FILE} is being written by another program: try again.") from None
    except OSError as error:
        raise FileError(f"{folder / RECORD_FILE} cannot be written ({error.strerror or error}).") from None


def set_aside(folder: Path) -> Path | None:
    """Give the record another name, so that the folder has none: ``record-1.json`` or the next number; None: no record.

    It is never read, so one that is broken can be set aside too, and never deleted.

    Raises
    ------
    FileError
        As for `update`.
    """
    path = folder / RECORD_FILE
    if not path.exists():
        return None
    try:
        with FileLock(folder / LOCK_FILE, timeout=PATIENCE_S):
            beside = next(folder / f"record-{k}.json" for k in count(1) if not (folder / f"record-{k}.json").exists())
            path.rename(beside)
            _to_disk(folder)
            return beside
    except Timeout:
        raise FileError(f"{path} is being written by another program: try again.") from None
    except OSError as error:
        raise FileError(f"{path} cannot be renamed ({error.strerror or error}): nothing was changed.") from None


def take_back(folder: Path, beside: Path) -> None:
    """Undo `set_aside`; a record that was begun since is left, and the one set aside keeps its name."""
    with FileLock(folder / LOCK_FILE, timeout=PATIENCE_S):
        if not (folder / RECORD_FILE).exists():
            beside.rename(folder / RECORD_FILE)
            _to_disk(folder)


def add_entry(folder: Path, shell_sha256: str, make: Callable[[int, Record], Entry]) -> Record:
    """Add one entry; ``make`` gets its number and the record as it is, and may refuse by raising."""
    return add_entries(folder, shell_sha256, [make])


def add_entries(folder: Path, shell_sha256: str, makes: Sequence[Callable[[int, Record], Entry]]) -> Record:
    """Add entries, all or none: each of ``makes`` gets its number and the record with those before it."""

    def change(old: Record | None) -> Record:
        record = old if old is not None else Record(schema=SCHEMA, shell_sha256=shell_sha256)
        for make in makes:
            entry = make(len(record.entries) + 1, record)
            record = record.model_copy(update={"entries": (*record.entries, entry)})
        return record

    return update(folder, change)


def _write(path: Path, text: str) -> None:
    for left in path.parent.glob(f".{path.name}.part-*"):  # of a killed writer: the lock is ours
        left.unlink(missing_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.part-", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _to_disk(path.parent)


def _to_disk(folder: Path) -> None:
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        with contextlib.suppress(OSError):  # some file systems cannot
            os.fsync(handle)
        os.close(handle)
