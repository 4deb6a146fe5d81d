"""A folder goes from one plan to the next as a whole: a change once begun is finished by the next that writes there.

A file system moves one file in one step, never twenty. So the new files are brought to the disk beside the old ones
first; then `UNFINISHED` appears, in one step, and says which files are to be moved and which to go. From then on the
new plan is the folder's plan: who writes into the folder finishes the move first, and who only reads reads the new
`plan.json` where it is, and changes nothing. When the last file is in its place `UNFINISHED` goes.

Files are replaced and removed only where their content is known to be the program's own (`ledger`).
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path

from filelock import FileLock, Timeout

from pourwright.document.ledger import (
    LEDGER,
    OTHER,
    PLAN,
    Digests,
    checked,
    digest_of,
    ledger_of,
    ledger_text,
    strange,
    strange_words,
)
from pourwright.document.stages import PART, marked
from pourwright.errors import FileError
from pourwright.plainfile import read_file

UNFINISHED = "UNFINISHED.txt"
LOCK = ".plan.lock"
PATIENCE_S = 20.0
"""How long to wait for another writer."""
STAYS = ("turn.json", "turn.png")
"""Files of ours that are true of the piece whatever its plan is."""
_LOOKS = 5  # how often a plan is looked for while another program moves it
_WORDS = """This folder is being changed from one plan to another. While this file is here, some of the files beside it
belong to the old plan and some to the new one: do not pour by them. If no program is at work on it, give the command
that was broken off again (pourwright plan or pourwright record): it finishes the change first.

"""


def change_over(stage: Path, folder: Path, names: Sequence[str]) -> None:
    """Move files into a folder and those of the earlier plan out of it, so that the folder cannot stay between.

    Parameters
    ----------
    stage : Path
        A folder ``plan`` inside one of `stages` inside ``folder``; holds the new files, and gets their ledger.
    folder : Path
    names : sequence of str
        The new files, in the order in which they are moved.

    Raises
    ------
    FileError
        A file that is not as it was written would be replaced; another writer is at work; or a file is held open by
        another program. `UNFINISHED` stays if the change has begun, and the new files are kept until it can be
        finished.
    OSError
        Before the change has begun: nothing is changed.
    """
    with alone(folder):
        _finish(folder)
        known = ledger_of(folder)
        stays = {name: known[name] for name in STAYS if name in known}
        digests = write_ledger(stage, names, stays)
        ours = {name: known.get(name, ()) for name in names}
        blocked = strange(folder, names, {name: (*old, digests[name]) for name, old in ours.items()})
        if blocked:
            raise FileError(strange_words(folder, blocked))
        now = digest_of(folder / LEDGER)
        over = {**ours, LEDGER: () if now is None else (now,)}
        gone = {name: old for name, old in known.items() if name not in digests and name not in STAYS}
        tree = {"from": stage.relative_to(folder).as_posix(), "files": digests, "over": over, "gone": gone}
        note = stage.parent / UNFINISHED
        with note.open("w", encoding="utf-8", newline="\n") as file:
            file.write(_WORDS + json.dumps(tree) + "\n")
            file.flush()
            os.fsync(file.fileno())
        os.replace(note, folder / UNFINISHED)
        _to_disk(folder)
        _finish(folder)


def write_ledger(stage: Path, names: Sequence[str], more: Digests | None = None) -> dict[str, str]:
    """Write down the files of a stage; digests of all, the ledger among them, before ``plan.json``."""
    digests = {}
    for name in names:
        with (stage / name).open("rb") as file:
            digests[name] = hashlib.file_digest(file, "sha256").hexdigest()
            os.fsync(file.fileno())
    text = ledger_text({**(more or {}), **{name: (digest,) for name, digest in digests.items()}}).encode()
    with (stage / LEDGER).open("wb") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    last = digests.pop(PLAN, None)
    digests[LEDGER] = hashlib.sha256(text).hexdigest()
    if last is not None:
        digests[PLAN] = last
    return digests


def finish(folder: Path) -> None:
    """Finish a change that a killed program has begun; nothing to do is nothing done.

    Raises
    ------
    FileError
        It cannot be finished: a file is held open, the folder may not be written, or files are missing.
    """
    if unfinished(folder):
        with alone(folder):
            _finish(folder)


def plan_file(path: Path | str) -> tuple[Path, bytes]:
    """Which file a plan's folder, or its ``plan.json``, names, and what it holds, see `plan_bytes`.

    Raises
    ------
    FileError
        It cannot be read.
    """
    path = Path(path)
    if path.is_dir():
        path = path / PLAN
    try:
        return path, plan_bytes(path)
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror or error}): give a folder that holds a plan."
        ) from None


def plan_bytes(path: Path) -> bytes:
    """What ``plan.json`` holds, or, while a change is unfinished, the one that the folder is being changed to.

    Changes nothing.

    Raises
    ------
    FileError
        What is there is not as it was written.
    OSError
        As reading raises it.
    """
    for _ in range(_LOOKS):  # another program may just be moving it
        note = _note(path.parent) if path.name == PLAN else None
        if note is None:
            return read_file(path)
        stage, files, _, _ = note
        for place in (stage / PLAN, path):
            with contextlib.suppress(OSError):
                found = read_file(place)
                if hashlib.sha256(found).hexdigest() == files.get(PLAN):
                    return found
    raise FileError(f"{path.parent} holds parts of two plans ({PLAN}): plan the piece again into a new folder.")


def unfinished(folder: Path) -> bool:
    """Whether a folder is between two plans."""
    return os.path.lexists(folder / UNFINISHED)


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """No other writer is at work on the folder's plan meanwhile."""
    if digest_of(folder / LOCK) == OTHER:
        raise FileError(f"{folder / LOCK} is not the lock that Pourwright leaves there: move it away.")
    try:
        with FileLock(folder / LOCK, timeout=PATIENCE_S):
            yield
    except Timeout:
        raise FileError(f"{folder} is being written by another program: try again.") from None
    except PermissionError:
        if unfinished(folder):
            raise FileError(f"{folder} holds parts of two plans and may not be written: change its rights.") from None
        raise


def _note(folder: Path) -> tuple[Path, dict[str, str], Digests, Digests] | None:
    """What `UNFINISHED` says: where the new files are, their digests, what they may replace, what goes."""
    path = folder / UNFINISHED
    try:
        tree = json.loads(read_file(path).decode().partition("\n\n")[2])
        files = checked({name: [digest] for name, digest in dict(tree["files"]).items()})
        over, gone = checked(tree["over"]), checked(tree["gone"])
        return folder / _inside(str(tree["from"])), {name: one for name, (one,) in files.items()}, over, gone
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        raise FileError(f"{path} is not as it was written: plan the piece again into a new folder.") from None


def _finish(folder: Path) -> None:
    """Move what is not moved yet; the lock is held."""
    note = _note(folder)
    if note is None:
        return
    stage, files, over, gone = note
    if marked(stage.parent) and not stage.is_symlink():
        for name, digest in files.items():
            if digest_of(stage / name) == digest:  # not moved yet
                if strange(folder, [name], {name: (digest, *over.get(name, ()))}):
                    raise FileError(strange_words(folder, [name]))
                _move(stage / name, folder / name)
    for name, digests in gone.items():
        if digest_of(folder / name) in digests:
            with _told(folder):
                (folder / name).unlink(missing_ok=True)
    for name, digest in files.items():
        if digest_of(folder / name) != digest:
            raise FileError(f"{folder} holds parts of two plans ({name}): plan the piece again into a new folder.")
    with _told(folder):
        _to_disk(folder)
        (folder / UNFINISHED).unlink()
    if marked(stage.parent):
        shutil.rmtree(stage.parent, ignore_errors=True)


def _move(old: Path, new: Path) -> None:
    with _told(new.parent):
        os.replace(old, new)


@contextlib.contextmanager
def _told(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise FileError(
            f"{folder} holds parts of two plans ({error.filename or error}: {error.strerror or error}): close what has "
            "its files open and give the command again."
        ) from None


def _inside(place: str) -> Path:
    part, _, rest = place.partition("/")
    if not PART.fullmatch(part) or rest != "plan" or "\\" in part:
        raise ValueError(place)
    return Path(part) / rest


def _to_disk(folder: Path) -> None:
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        with contextlib.suppress(OSError):  # some file systems cannot
            os.fsync(handle)
        os.close(handle)
