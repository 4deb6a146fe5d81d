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

FORMATS = ("stl", "obj", "ply", "glb", "gltf", "3mf", "off")
FILE_LIMIT_BYTES = 2_000_000_000
TRIANGLE_LIMIT = 20_000_000
THREEMF_UNITS = {
    "micron": "um",
    "millimeter": "mm",
    "millimeters": "mm",  # what the reader reports when the file is silent: the format's own default
    "centimeter": "cm",
    "inch": "in",
    "foot": "ft",
    "meter": "m",
}


@dataclass(frozen=True, eq=False)
class RawShell:
    """A file's triangles in the file's own numbers and axes, scene transforms applied, nothing mended."""

    source: str
    sha256: str
    unit: str | None  # what the file or its format's specification says
    vertices: np.ndarray  # (n, 3) float64
    faces: np.ndarray  # (m, 3) int64
    bodies: int  # separate meshes in the file


class _Folder(Resolver):
    """Serves files that lie beside the shell file, and nothing else: no other folder, no network."""

    def __init__(self, folder: Path):
        self.folder = folder.resolve()

    def get(self, key: str) -> bytes:
        path = (self.folder / str(key).strip()).resolve()
        if "://" in str(key) or not path.is_relative_to(self.folder):
            raise ShellError(f"the shell file refers to {key!r}, which is outside its own folder: put it beside it.")
        if not path.is_file():
            raise ShellError(f"the shell file needs {key!r}, which is not beside it.")
        if path.stat().st_size > FILE_LIMIT_BYTES:
            raise ShellError(f"{key!r} is larger than {FILE_LIMIT_BYTES / 1e9:.0f} GB.")
        return path.read_bytes()

    def write(self, name: str, data: Any) -> None:
        raise ShellError("a shell file is only read.")

    def namespaced(self, namespace: str) -> _Folder:
        return self

    def keys(self) -> list[str]:
        return []


def read_shell(path: Path | str) -> RawShell:
    """Read the triangles of a shell file.

    Parameters
    ----------
    path : path
        An STL (binary or text), OBJ, PLY, GLB, glTF, 3MF or OFF file.

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
    data = _bytes_of(path, kind)
    scene = _scene(path, kind, data)
    vertices, faces, bodies = _flatten(path.name, scene)
    unit = None
    if kind in {"glb", "gltf"}:
        unit = "m"  # the format's specification: all linear distances are metres
    elif kind == "3mf":
        said = str(scene.metadata.get("units", "")).lower()
        if said not in THREEMF_UNITS:
            raise ShellError(f"{path.name} states the unit {said[:40]!r}, which 3MF does not know.")
        unit = THREEMF_UNITS[said]
    _sane(path.name, vertices, faces)
    return RawShell(path.name, hashlib.sha256(data).hexdigest(), unit, vertices, faces, bodies)


def _bytes_of(path: Path, kind: str) -> bytes:
    try:
        if path.is_dir():
            raise UsageError(f"{path} is a folder: give the shell file itself.")
        if not path.exists():
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
        data = path.read_bytes()
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({error.strerror or error}): check the path and its rights.") from None
    except ValueError:
        raise UsageError(f"{str(path)!r} is not a path: give the path of a shell file.") from None
    if not data:
        raise ShellError(f"{path.name} is empty.")
    return data


def _scene(path: Path, kind: str, data: bytes) -> Any:
    options: dict[str, Any] = {"process": False}
    if kind in {"obj", "ply", "glb", "gltf"}:
        options["skip_materials"] = True
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return trimesh.load_scene(
                io.BytesIO(data), file_type=kind, resolver=_Folder(path.parent), allow_remote=False, **options
            )
    except ShellError:
        raise
    except MemoryError:
        raise ShellError(f"{path.name} asks for more memory than there is.") from None
    except Exception as error:
        raise ShellError(
            f"{path.name} is not a readable .{kind} file (damaged, cut short, or of another kind): "
            f"{_short(error)}; export it again."
        ) from None


def _short(error: Exception) -> str:
    words = " ".join(str(error).split())[:120].rstrip(".")
    return words or type(error).__name__


def _flatten(name: str, scene: Any) -> tuple[np.ndarray, np.ndarray, int]:
    """All bodies of a scene in one frame; a mirrored body keeps its outside outside."""
    pieces: list[tuple[np.ndarray, np.ndarray]] = []
    total = 0
    start = 0
    for node in sorted(scene.graph.nodes_geometry):
        transform, key = scene.graph[node]
        geometry = scene.geometry[key]
        faces = np.asarray(getattr(geometry, "faces", np.empty((0, 3))), dtype=np.int64)
        if not len(faces):
            continue
        total += len(faces)
        if total > TRIANGLE_LIMIT:
            raise ShellError(f"{name} holds more than {TRIANGLE_LIMIT // 1_000_000} million triangles: thin it out.")
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
