"""3MF: a zip archive of XML parts."""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import Path
from typing import NamedTuple
from xml.parsers import expat

import numpy as np

from pourwright.errors import ShellError
from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Sanitised, cut_short, not_that_kind
from pourwright.sanitising.model import Key, Model, read_model
from pourwright.sanitising.plain import plain

UNPACKED_BYTES, UNPACKED_RATIO, UNPACKED_LIMIT_BYTES = 100_000_000, 25, 600_000_000
"""Text that any archive may unpack to, times its own size that a larger one may, and the end of it. Meshes pack 5 to 12
times (measured), regular ones 30."""
CHUNK_BYTES = 1_000_000
PART_LIMIT = 2_000
DEPTH_LIMIT = 32
UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}


class _Placed(NamedTuple):
    """What an object adds wherever it is placed, what it contains counted in; an empty one is a body too."""

    triangles: int
    points: int
    bodies: int


def sanitise_3mf(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The meshes of a 3MF as they are placed, unpacked within bounds, as one."""
    try:
        parts = _model_parts(name, data)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as error:
        words = " ".join(str(error).split())[:100] or "the archive is damaged"
        raise not_that_kind(name, "3mf", f"it cannot be unpacked ({words})") from None
    root = next((n for n in parts if n.lower().endswith("3d/3dmodel.model")), None)
    if root is None:
        raise not_that_kind(name, "3mf", "it has no part 3D/3dmodel.model")
    model = Model()
    for part in list(parts):
        text = parts.pop(part)
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text or b"\0" in text[:1000]:
            raise ShellError(
                f"{name} declares XML entities or another encoding, which a 3MF must not: export it again."
            )
        try:
            read_model(name, text, part, part == root, model, budget)
        except expat.ExpatError as error:
            raise cut_short(name, f"its XML ends or breaks off ({' '.join(str(error).split())[:80]})") from None
    if model.unit not in UNITS:
        raise ShellError(f"{name} states the unit {model.unit[:40]!r}, which 3MF does not know: export it again.")
    _weigh(name, model, budget)
    points, faces, bodies = _placed(model)
    return plain(name, points, faces, budget, UNITS[model.unit], bodies)


def _model_parts(name: str, data: bytes) -> dict[str, bytes]:
    """The text of each model part by its path in the archive, without a slash before it."""
    parts: dict[str, bytes] = {}
    most = min(UNPACKED_LIMIT_BYTES, max(UNPACKED_BYTES, UNPACKED_RATIO * len(data)))
    total = 0
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        if len(entries) > PART_LIMIT:
            raise ShellError(f"{name} holds {len(entries):,} parts; at most {PART_LIMIT:,} are looked at.")
        for entry in entries:
            part = entry.filename.lstrip("/")
            if not part.lower().endswith(".model"):
                continue
            if part in parts:
                raise not_that_kind(name, "3mf", f"it holds {entry.filename[:60]!r} twice")
            if entry.file_size > most - total:
                raise _bomb(name, most)
            text = bytearray()
            with archive.open(entry) as stream:
                while chunk := stream.read(CHUNK_BYTES):  # bit by bit: the announced size is not believed
                    text += chunk
                    if len(text) > most - total:
                        raise _bomb(name, most)
            total += len(text)
            parts[part] = bytes(text)
    return parts


def _bomb(name: str, most: int) -> ShellError:
    return ShellError(f"{name} unpacks to more than {most / 1e6:.0f} MB, which is not read: thin the mesh out.")


def _weigh(name: str, model: Model, budget: Budget) -> None:
    """Refuse objects that contain themselves, nest without end, or come to more than may be asked for."""
    known: dict[Key, _Placed] = {}

    def weigh(key: Key, above: int) -> _Placed:
        if above > DEPTH_LIMIT:
            raise ShellError(f"{name} nests objects more than {DEPTH_LIMIT} deep or in a circle: flatten it.")
        if key not in known:
            parts = [weigh(other, above + 1) for other, _ in model.inside.get(key, ())]
            own = model.meshes.get(key)
            if own is not None:
                parts.append(_Placed(len(own.faces) // 3, len(own.points) // 3, 1))
            known[key] = _sum(parts) if parts else _Placed(0, 0, 1)
        return known[key]

    budget.check(name, *_sum([weigh(key, 0) for key, _ in model.built]))


def _sum(parts: list[_Placed]) -> _Placed:
    return _Placed(sum(p.triangles for p in parts), sum(p.points for p in parts), sum(p.bodies for p in parts))


def _placed(model: Model) -> tuple[np.ndarray, np.ndarray, int]:
    """Points (n, 3) and faces (m, 3) of everything that is built, and from how many meshes."""
    points: list[np.ndarray] = [np.empty((0, 3))]
    faces: list[np.ndarray] = [np.empty((0, 3), np.int64)]
    start = 0
    front = [(key, move) for key, move in reversed(model.built)]
    while front:
        key, move = front.pop()
        own = model.meshes.get(key)
        if own is not None and len(own.faces):
            corners = np.array(own.faces, np.int64).reshape(-1, 3)
            bare = np.array(own.points).reshape(-1, 3)
            corners = np.where((corners < 0) | (corners >= len(bare)), -1 - start, corners)  # found out when all is one
            if np.linalg.det(move[:, :3]) < 0:
                corners = corners[:, ::-1]  # a mirrored body keeps its outside outside
            points.append(bare @ move[:, :3].T + move[:, 3])
            faces.append(corners + start)
            start += len(bare)
        front += [(other, _after(move, inner)) for other, inner in reversed(model.inside.get(key, []))]
    return np.concatenate(points), np.concatenate(faces), len(points) - 1


def _after(outer: np.ndarray, inner: np.ndarray) -> np.ndarray:
    """Two placings (3, 4) one after the other, the inner one first."""
    return np.column_stack([outer[:, :3] @ inner[:, :3], outer[:, :3] @ inner[:, 3] + outer[:, 3]])
