"""Which files of a folder are the program's own: those whose content it has written down, and no others.

`written.json` names every file that the program wrote into a folder, with the SHA-256 of its content. Nothing else is
replaced or removed: not what has such a name, not what another file says is a plan's.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import stat
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from pourwright.plainfile import read_file

LEDGER = "written.json"
SCHEMA = "pourwright.written/1"
PLAN = "plan.json"
PLAN_SCHEMA = "pourwright.plan/"
OTHER = "no file"
"""Instead of the digest of a folder, a link, a device."""
_OURS = re.compile(r"[\w-]+\.(json|png|md|csv|html|gif|svg|dxf|npz)")
_DIGEST = re.compile(r"[0-9a-f]{64}")

Digests = dict[str, tuple[str, ...]]


def digest_of(path: Path) -> str | None:
    """SHA-256 of a file; None where there is none, `OTHER` where it is no plain file or cannot be read."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return OTHER
        return hashlib.sha256(read_file(path)).hexdigest()
    except FileNotFoundError:
        return None
    except OSError:
        return OTHER


def ledger_of(folder: Path) -> Digests:
    """Digests that each file may have; empty where nothing was written down."""
    try:
        tree = json.loads(read_file(folder / LEDGER))
        if tree["schema"] != SCHEMA:
            return {}
        return checked(tree["files"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}


def checked(said: object) -> Digests:
    """Names of ours with digests, as they were written; anything else raises `ValueError`."""
    if not isinstance(said, dict):
        raise ValueError(said)
    for name, digests in said.items():
        if not _OURS.fullmatch(name) or not isinstance(digests, list):
            raise ValueError(name)
        if not all(isinstance(digest, str) and _DIGEST.fullmatch(digest) for digest in digests):
            raise ValueError(name)
    return {name: tuple(digests) for name, digests in said.items()}


def ledger_text(digests: Mapping[str, Iterable[str]]) -> str:
    """The text of ``written.json``."""
    tree = {"schema": SCHEMA, "files": {name: list(digests[name]) for name in sorted(digests)}}
    return json.dumps(tree, indent=1) + "\n"


def holds_plan(folder: Path) -> bool:
    """Whether ``plan.json`` in a folder is one of this program's, of whatever version."""
    try:
        said = json.loads(read_file(folder / PLAN))["schema"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return False
    return isinstance(said, str) and said.startswith(PLAN_SCHEMA)


def strange(folder: Path, names: Iterable[str], known: Digests | None = None) -> list[str]:
    """Those of ``names`` that are there and not as this program wrote them."""
    known = ledger_of(folder) if known is None else known
    return [name for name in names if digest_of(folder / name) not in (None, *known.get(name, ()))]


def strange_words(folder: Path, names: list[str]) -> str:
    """What to do about them, in one sentence."""
    several = len(names) > 1
    return (
        f"{', '.join(names)} in {folder} {'are' if several else 'is'} not as Pourwright wrote "
        f"{'them' if several else 'it'}: move {'them' if several else 'it'} away, or name another folder."
    )


def write_own(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder and write them down; each appears whole or not at all. The caller keeps others out.

    They are written down first, beside what was there, so that a killed run leaves only files that are known.
    """
    known = ledger_of(folder)
    for name, content in files.items():
        now = digest_of(folder / name)
        old = (now,) if now is not None and now in known.get(name, ()) else ()
        known[name] = tuple(dict.fromkeys((hashlib.sha256(content).hexdigest(), *old)))
    write_whole(folder / LEDGER, ledger_text(known).encode())
    for name, content in files.items():
        write_whole(folder / name, content)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file beside its place and move it there."""
    handle, part = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(part, 0o644)
        os.replace(part, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(part)
        raise
