"""Reading shell files: the only place that calls trimesh's readers."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from trimesh.resolvers import Resolver

from pourwright.errors import ShellError, UsageError
from pourwright.plainfile import read_file, real
from pourwright.sanitising import MEMORY_BYTES, SANITISERS, Budget, Expect, Sanitised, cut_short

FORMATS = ("stl", "obj", "ply", "glb", "gltf", "3mf", "off")
FILE_LIMIT_BYTES = 2_000_000_000


@dataclass(frozen=True, eq=False)
class RawShell:
    """A file's triangles in the file's own numbers and axes, scene transforms applied, nothing mended."""

    source: str
    sha256: str
    unit: str | None  # what the file or its format's specification says
    vertices: np.ndarray  # (n, 3) float64
    faces: np.ndarray  # (m, 3) int64
    bodies: int  # separate meshes in the file


class _Nothing(Resolver):
    """Serves no file: the guard has put everything needed into the bytes."""

    def __init__(self) -> None:
        pass

    def get(self, key: str) -> bytes:
        raise FileNotFoundError(key)

    def write(self, name: str, data: Any) -> None:
        raise FileNotFoundError(name)

    def namespaced(self, namespace: str) -> _Nothing:
        return self

    def keys(self) -> list[str]:
        return []


@np.errstate(over="ignore", invalid="ignore")
def read_shell(path: Path | str, memory_bytes: int = MEMORY_BYTES) -> RawShell:
    """Read the triangles of a shell file.

    Parameters
    ----------
    path : path
        An STL (binary or text), OBJ, PLY, GLB, glTF, 3MF or OFF file.
    memory_bytes : int
        What reading, tidying and surveying it may take beside what the program takes itself; estimated beforehand.

    Returns
    -------
    RawShell
        Vertices (n, 3) and faces (m, 3) in the file's numbers; finite, every index in range.

    Raises
    ------
    UsageError
        The path does not name a readable file of a known kind.
    ShellError
        What is in the file is not a mesh of triangles.
    """
    path = Path(path)
    kind = path.suffix.lower().lstrip(".")
    data = _bytes_of(path, kind, memory_bytes)
    try:
        guarded = SANITISERS[kind](path.name, data, path.parent, Budget(len(data), memory_bytes))
        scene = _scene(path.name, guarded)
        vertices, faces, bodies = _flatten(path.name, scene)
    except MemoryError:
        raise ShellError(f"{path.name} asks for more memory than there is: thin it out.") from None
    _complete(path.name, guarded.expect, len(vertices), len(faces))
    _sane(path.name, vertices, faces)
    digest = hashlib.sha256(data).hexdigest()
    return RawShell(path.name, digest, guarded.unit, vertices, faces, guarded.bodies or bodies)


def _bytes_of(path: Path, kind: str, memory_bytes: int) -> bytes:
    try:
        home = real(path.parent)
        if path.is_symlink() and not real(path).is_relative_to(home):
            raise UsageError(f"{path} is a link to another folder: give the path of the file itself.")
        if path.is_dir():
            raise UsageError(f"{path} is a folder: give the shell file itself.")
        if not path.exists():
            if path.is_symlink():
                raise UsageError(f"{path} is a link that leads to no file: give the path of a shell file.")
            raise UsageError(f"{path} does not exist: give the path of a shell file.")
        if not path.is_file():
            raise UsageError(f"{path} is not an ordinary file: give the path of a shell file.")
        if kind not in FORMATS:
            raise UsageError(
                f"{path.name} ends in {path.suffix or 'nothing'!r}: a shell file is one of "
                + ", ".join(f".{f}" for f in FORMATS)
                + "."
            )
        size = path.stat().st_size
        if size > FILE_LIMIT_BYTES:
            raise ShellError(
                f"{path.name} holds {size / 1e9:.1f} GB; at most {FILE_LIMIT_BYTES / 1e9:.0f} GB is read: thin it out."
            )
        Budget(size, memory_bytes).check_size(path.name)
        data = read_file(path)
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({error.strerror or error}): check the path and its rights.") from None
    except ValueError:
        raise UsageError(f"{str(path)!r} is not a path: give the path of a shell file.") from None
    if not data:
        raise ShellError(f"{path.name} is empty.")
    return data


def _scene(name: str, guarded: Sanitised) -> Any:
    options: dict[str, Any] = {"process": False}
    if guarded.kind in {"ply", "glb"}:
        options["skip_materials"] = True
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return trimesh.load_scene(
                io.BytesIO(guarded.data), file_type=guarded.kind, resolver=_Nothing(), allow_remote=False, **options
            )
    except MemoryError:
        raise
    except Exception as error:
        raise ShellError(
            f"{name} is damaged or of another kind than its ending says ({_short(error)}): export it again."
        ) from None


def _complete(name: str, expect: Expect, points: int, faces: int) -> None:
    """Raise where fewer points or faces came out than the file announces."""
    for what, said, found in (
        ("points", expect.points, points),
        ("triangles", expect.faces, faces),
        ("faces", expect.least_faces, faces),
    ):
        if said is not None and found < said:
            raise cut_short(name, f"it announces {said:,} {what}, but {found:,} can be read")


def _short(error: Exception) -> str:
    words = " ".join(str(error).split())[:120].rstrip(".")
    return words or type(error).__name__


def _flatten(name: str, scene: Any) -> tuple[np.ndarray, np.ndarray, int]:
    """All bodies of a scene in one frame; a mirrored body keeps its outside outside."""
    pieces: list[tuple[np.ndarray, np.ndarray]] = []
    start = 0
    for node in sorted(scene.graph.nodes_geometry):
        transform, key = scene.graph[node]
        geometry = scene.geometry[key]
        faces = np.asarray(getattr(geometry, "faces", np.empty((0, 3))), dtype=np.int64)
        if not len(faces):
            continue
        points = np.asarray(geometry.vertices, dtype=np.float64)
        if faces.ndim != 2 or faces.shape[1] != 3 or points.ndim != 2 or points.shape[1] != 3:
            raise ShellError(f"{name} holds faces that are not triangles: export it as triangles.")
        if faces.min() < 0 or faces.max() >= len(points):
            raise ShellError(f"{name} is damaged: its faces name points that are not in the file; export it again.")
        if not np.array_equal(transform, np.eye(4)):
            points = points @ transform[:3, :3].T + transform[:3, 3]
            if np.linalg.det(transform[:3, :3]) < 0:
                faces = faces[:, ::-1]
        pieces.append((points, faces + start))
        start += len(points)
    if not pieces:
        points_only = any(len(getattr(g, "vertices", ())) for g in scene.geometry.values())
        what = "points but no triangles" if points_only else "no triangles"
        raise ShellError(f"{name} holds {what}: export the surface of the shell as triangles.")
    vertices = np.concatenate([p for p, _ in pieces])
    return vertices, np.concatenate([f for _, f in pieces]), len(pieces)


def _sane(name: str, vertices: np.ndarray, faces: np.ndarray) -> None:
    bad = ~np.isfinite(vertices).all(axis=1)
    if bad.any():
        used = np.zeros(len(vertices), bool)
        used[faces] = True
        count = int((bad & used).sum())
        if count:
            raise ShellError(
                f"{name} holds {count} of {len(vertices)} points that are not numbers "
                "(NaN or infinite): export it again."
            )
