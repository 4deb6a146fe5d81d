"""The outside face of a planned piece, kept beside ``plan.json``: an answer need not read and judge the mesh again."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import numpy as np

from pourwright.document.ledger import digest_of, ledger_of
from pourwright.outcome import Surface
from pourwright.plainfile import read_file

FILE = "surface.npz"
LEVEL = 1


def surface_bytes(surface: Surface, sha256: str) -> bytes:
    """What ``surface.npz`` holds: vertices [m], faces, caps, faces of the hollow, digest of the shell file."""
    arrays: dict[str, np.ndarray] = {
        "vertices_m": np.asarray(surface.vertices_m, np.float64),
        "faces": np.asarray(surface.faces, np.int32),
        "cap": np.asarray(surface.cap, np.bool_),
        "inside": np.asarray(surface.inside, np.int32),
        "shell": np.frombuffer(bytes.fromhex(sha256), np.uint8),
    }
    out = io.BytesIO()
    # As numpy would pack it, but by the quick level: a twentieth larger, in a sixth of the time; dated 1980 always.
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, array in arrays.items():
            held = io.BytesIO()
            np.lib.format.write_array(held, array, allow_pickle=False)
            pack.writestr(zipfile.ZipInfo(f"{name}.npy"), held.getvalue(), zipfile.ZIP_DEFLATED, LEVEL)
    return out.getvalue()


def kept_surface(folder: Path, sha256: str) -> Surface | None:
    """The surface in a plan's folder; None where there is none as the program wrote it, of that shell."""
    try:
        data = read_file(folder / FILE)
        if hashlib.sha256(data).hexdigest() not in ledger_of(folder).get(FILE, ()):
            return None
        with np.load(io.BytesIO(data), allow_pickle=False) as held:
            if held["shell"].tobytes().hex() != sha256:
                return None
            names = ("vertices_m", "faces", "cap", "inside")  # an older file has no inside: the mesh is read again
            arrays = [held[name].astype(np.int64) if name in ("faces", "inside") else held[name] for name in names]
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return None
    for array in arrays:
        array.setflags(write=False)
    return Surface(*arrays)


def surface_there(folder: Path, sha256: str, file: str, place: str, shell: Path | None = None) -> Surface | None:
    """The same, but where a shell file that is named, or lies where it did when the plan was written, is another."""
    there = shell_file(folder, file, place, shell)
    return kept_surface(folder, sha256) if there is None or digest_of(there) == sha256 else None


def shell_file(folder: Path, file: str, place: str, shell: Path | None = None) -> Path | None:
    """The shell file that is named; without one where it was when the plan was written, or in the plan's folder."""
    places = [shell] if shell is not None else [folder / place] if place else []
    places += [folder / file] if shell is None else []
    return next((place for place in places if place.is_file()), None)
