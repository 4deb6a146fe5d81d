"""What takes long to make is kept on disk: asked again for the same file or figures, it is read back, not made again.

In the user's own cache, which nobody else can write, under the digest of all that it was made of: the bytes of the
file, what was asked, this program's source and the versions of the libraries that it was made with.
``POURWRIGHT_KEPT=no`` in the environment keeps nothing and reads nothing. Whatever is wrong with what is kept, it is
made anew.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import inspect
import os
import pickle
import sys
import tempfile
import zlib
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from threading import Thread
from typing import Any, ParamSpec, TypeVar

import numpy as np

from pourwright import caches
from pourwright.plainfile import read_file
from pourwright.version import VERSION

P = ParamSpec("P")
T = TypeVar("T")

SWITCH = "POURWRIGHT_KEPT"
LEVEL = 1  # of zlib: grids of cells shrink to a fiftieth, and reading them takes no longer than from a disk
LARGEST, MOST_BYTES, MOST = 400_000_000, 500_000_000, 60
"""Bytes that one result may have in memory to be kept; bytes and files of all that is kept, the last used staying."""
LIBRARIES = (
    "numpy",
    "scipy",
    "trimesh",
    "manifold3d",
    "numba",
    "shapely",
    "pyacvd",
    "pyvista",
    "vtk",
    "fast-simplification",
)
WHOLE_FILES = {".stl", ".obj", ".ply", ".off", ".3mf", ".glb"}
"""Files that hold all of a shell; others name more files."""


def kept(function: Callable[P, T]) -> Callable[P, T]:
    """Read back what ``function`` gave for the same arguments before, in any process of this user.

    The function depends on nothing but its arguments: numbers, words, arrays, frozen dataclasses and tuples of them. A
    path stands for the bytes of the file there; an argument named ``progress`` or ``tell`` counts for nothing. Errors
    are never kept.
    """
    names = inspect.signature(function)
    place = f"{function.__module__}.{function.__qualname__}"

    @functools.wraps(function)
    def made(*args: P.args, **kwargs: P.kwargs) -> T:
        bound = names.bind(*args, **kwargs)
        bound.apply_defaults()
        given = {name: value for name, value in bound.arguments.items() if name not in ("progress", "tell")}
        file = _file(place, given)
        if file is None:
            return function(*args, **kwargs)
        found = _read(file)
        if found is not None:
            out: T = found[0]
            return out
        out = function(*args, **kwargs)
        if _file(place, given) == file:  # a file that was changed meanwhile is another one
            Thread(target=_write, args=(file, out)).start()
        return out

    return made


def folder() -> Path | None:
    """The folder of all that is kept; None where nothing is to be kept, or nothing can be."""
    return caches.own() if os.environ.get(SWITCH, "") != "no" else None


def _file(place: str, given: dict[str, Any]) -> Path | None:
    """Where the result is kept; None where it cannot be."""
    own = folder()
    if own is None:
        return None
    digest = hashlib.sha256(f"{place} {_program()}".encode())
    try:
        _feed(digest, given)
    except (OSError, TypeError):
        return None
    return own / "made" / digest.hexdigest()


def _feed(digest: Any, value: Any) -> None:
    """Add a value to a digest: equal values alike, others never. TypeError where it cannot be told what a value is."""
    if isinstance(value, Path):
        if value.suffix.lower() not in WHOLE_FILES:
            raise TypeError(f"{value} may name other files")
        digest.update(f"file {value.name!r} {hashlib.sha256(read_file(value)).hexdigest()};".encode())
    elif isinstance(value, np.ndarray) and not value.dtype.hasobject:
        digest.update(f"array {value.dtype.str} {value.shape};".encode())
        digest.update(np.ascontiguousarray(value).view(np.uint8).reshape(-1) if value.size else b"")
    elif value is None or isinstance(value, (str, bytes, int, float)):  # and what is made of these: enumerations, flags
        digest.update(f"{type(value).__qualname__} {value!r};".encode())
    elif isinstance(value, (tuple, dict)):
        digest.update(f"{type(value).__qualname__} {len(value)};".encode())
        for one in value.items() if isinstance(value, dict) else value:
            _feed(digest, one)
    elif is_dataclass(value) and not isinstance(value, type):
        digest.update(f"{type(value).__qualname__};".encode())
        for field in fields(value):
            _feed(digest, getattr(value, field.name))
    else:
        raise TypeError(f"no digest of a {type(value).__qualname__}")


@functools.cache
def _program() -> str:
    """What runs: its version, the size and the time of each of its source files, and what libraries it runs on."""
    digest = hashlib.sha256(f"{VERSION} {sys.version}".encode())
    for folder, folders, files in os.walk(Path(__file__).parent):
        folders.sort()
        for name in sorted(files):
            if name.endswith((".py", ".toml")):
                found = os.stat(os.path.join(folder, name))
                digest.update(f"{folder}/{name} {found.st_size} {found.st_mtime_ns}".encode())
    for library in LIBRARIES:
        with contextlib.suppress(PackageNotFoundError):
            digest.update(f"{library} {version(library)}".encode())
    return digest.hexdigest()


def _read(file: Path) -> tuple[Any] | None:
    with contextlib.suppress(Exception):
        data = read_file(file)
        os.utime(file)
        heads: list[bytes] = []
        at = 0
        buffers: list[bytes | bytearray] = []
        while at < len(data):
            size, whole, frozen = (int.from_bytes(data[at + 8 * k : at + 8 * k + 8], "little") for k in range(3))
            raw = zlib.decompress(data[at + 24 : at + 24 + size], bufsize=whole)
            heads.append(raw) if not heads else buffers.append(raw if frozen else bytearray(raw))
            at += 24 + size
        return (pickle.loads(heads[0], buffers=buffers),)
    return None


def _write(file: Path, result: Any) -> None:
    """Keep a result: what the pickle says, then its arrays, each shrunk and with its size; those frozen stay so."""
    with contextlib.suppress(Exception):
        buffers: list[pickle.PickleBuffer] = []
        head = pickle.dumps(result, protocol=5, buffer_callback=buffers.append)
        raws = [buffer.raw() for buffer in buffers]
        if len(head) + sum(raw.nbytes for raw in raws) > LARGEST:
            return
        file.parent.mkdir(mode=0o700, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=file.parent, prefix="new-")
        try:
            with os.fdopen(handle, "wb") as out:
                for raw, frozen in [(memoryview(head), 1), *((raw, int(raw.readonly)) for raw in raws)]:
                    small = zlib.compress(raw, LEVEL)
                    out.write(b"".join(n.to_bytes(8, "little") for n in (len(small), raw.nbytes, frozen)))
                    out.write(small)
            os.replace(name, file)
        except BaseException:
            os.unlink(name)
            raise
        _sweep(file.parent)


def _sweep(folder: Path) -> None:
    """Remove what was not used for longest, beyond what may be kept, and what a killed run left half-written."""
    files = []
    for file in folder.iterdir():
        with contextlib.suppress(OSError):
            found = file.stat()
            files.append((found.st_mtime_ns, found.st_size, file))
    total = 0
    for k, (_, size, file) in enumerate(sorted(files, reverse=True)):
        total += size
        if k >= MOST or total > MOST_BYTES:
            with contextlib.suppress(OSError):
                file.unlink()
