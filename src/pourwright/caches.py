"""Where libraries may keep what they make again: in the user's own folder, else in a temporary one, else nowhere.

A service account has no home, a container no folder that may be written. Neither may stop a command.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
import stat
import tempfile
from functools import cache
from pathlib import Path

_FOLDERS = {"XDG_CACHE_HOME": ".cache", "XDG_CONFIG_HOME": ".config"}
"""What libraries ask for and where it is in a home (numba, matplotlib, ezdxf, the graphics driver)."""


PLACES = ("/dev/shm",)
"""Tried where the system names no temporary folder that can be written."""
NO_PLACE = "no folder can be written, not even a temporary one: set TMPDIR to one that can"


def settle() -> bool:
    """Send libraries to a temporary folder where the user's own one may not be written; before they are imported.

    Changes the environment of this process and of those it starts. False where there is no such folder: then some
    libraries cannot be used.
    """
    lost = False
    for name, place in _FOLDERS.items() if os.name == "posix" else ():
        if writable(Path(os.environ.get(name) or os.path.expanduser(f"~/{place}"))):
            continue
        folder = temporary()
        lost |= folder is None
        if folder is not None:
            os.environ[name] = str(folder)
    return not lost or writable(Path(os.environ.get("MPLCONFIGDIR", "")))


def writable(folder: Path) -> bool:
    """Whether a folder may be written, or made."""
    if not folder.is_absolute():  # no home is known: "~" stayed as it is
        return False
    above = next((place for place in (folder, *folder.parents) if os.path.lexists(place)), folder)
    return above.is_dir() and os.access(above, os.W_OK | os.X_OK)


@cache
def temporary() -> Path | None:
    """A folder below the system's temporary one that only this user can write; None where there can be none.

    What is compiled is kept there and run again, so a folder that others could have filled is never taken.
    """
    if os.name != "posix":
        return _fresh(None)
    user = os.geteuid()
    for place in (None, *PLACES):
        with contextlib.suppress(OSError):
            folder = Path(place or tempfile.gettempdir()) / f"pourwright-{user}"
            if _made_own(folder):
                return folder
            return _fresh(place)
    return None


def _made_own(folder: Path) -> bool:
    """Makes a folder where there is none; whether only this user can write in it."""
    folder.mkdir(mode=0o700, exist_ok=True)
    found = folder.lstat()
    own = stat.S_ISDIR(found.st_mode) and found.st_uid == os.geteuid() and not found.st_mode & 0o077
    return own and writable(folder)


@cache
def own() -> Path | None:
    """A folder in the user's cache that only this user can write, for what is read back as it was; None: there is none.

    Elsewhere than on POSIX there is none either, as nothing is known of rights there.
    """
    if os.name != "posix":
        return None
    above = Path(os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache"))
    with contextlib.suppress(OSError):
        folder = above / "pourwright"
        if writable(above):
            above.mkdir(mode=0o700, parents=True, exist_ok=True)
            if _made_own(folder):
                return folder
    return None


def _fresh(place: str | None) -> Path:
    folder = tempfile.mkdtemp(prefix="pourwright-", dir=place)
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)
