"""glTF (text with buffers beside it) and GLB (one binary file)."""

from __future__ import annotations

import base64
import binascii
import json
import struct
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import unquote

import numpy as np

from pourwright.errors import ShellError
from pourwright.plainfile import read_file, real
from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Expect, Sanitised, cut_short, not_that_kind

JSON_LIMIT_BYTES = 64_000_000
ENTRY_LIMIT = 1_000_000
"""Objects, lists and commas of the JSON: each becomes an object of a hundred bytes."""
BUFFER_LIMIT_BYTES = 1_000_000_000
NODE_LIMIT, DEPTH_LIMIT = 10_000, 200
COMPONENT = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
FLOAT, TRIANGLES, STRIP = 5126, 4, 5


def sanitise_glb(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The meshes of a GLB in a fresh GLB."""
    if len(data) < 20 or data[:4] != b"glTF":
        raise not_that_kind(name, "glb", "it does not begin as a GLB does")
    _, version, length = struct.unpack_from("<III", data)
    if version != 2:
        raise not_that_kind(name, "glb", f"it is of version {version}, and only 2 is read")
    if length > len(data):
        raise cut_short(name, f"it announces {length:,} bytes and holds {len(data):,}")
    text, binary, at = b"", b"", 12
    while at + 8 <= length:
        size, kind = struct.unpack_from("<II", data, at)
        if at + 8 + size > length:
            raise cut_short(name, "one of its chunks goes beyond its end")
        if kind == 0x4E4F534A and not text:
            text = data[at + 8 : at + 8 + size]
        elif kind == 0x004E4942 and not binary:
            binary = data[at + 8 : at + 8 + size]
        at += 8 + size
    return _plain(name, text, binary, folder, budget)


def sanitise_gltf(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The meshes of a glTF, its buffers read from beside it, in a fresh GLB."""
    return _plain(name, data, b"", folder, budget)


def _plain(name: str, text: bytes, binary: bytes, folder: Path, budget: Budget) -> Sanitised:
    try:
        return _rebuilt(name, text, binary, folder, budget)
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, OverflowError, RecursionError) as error:
        what = "its tree is too deep" if isinstance(error, RecursionError) else "its tables do not fit together"
        raise not_that_kind(name, "gltf", what) from None


def _tree(name: str, text: bytes) -> dict[str, Any]:
    if len(text) > JSON_LIMIT_BYTES:
        raise ShellError(f"{name} describes itself in {len(text) / 1e6:.0f} MB of text, which is not read.")
    entries = sum(text.count(mark) for mark in (b"{", b"[", b","))
    if entries > ENTRY_LIMIT:
        raise ShellError(
            f"{name} describes itself in {entries:,} entries; at most {ENTRY_LIMIT:,} are read: join it into one mesh."
        )
    try:
        tree = json.loads(text.decode("utf-8", errors="replace"))
    except ValueError:
        raise not_that_kind(name, "gltf", "its JSON cannot be read") from None
    if not isinstance(tree, dict) or not str(tree.get("asset", {}).get("version", "")).startswith("2"):
        raise not_that_kind(name, "gltf", "it is not glTF 2")
    return tree


def _rebuilt(name: str, text: bytes, binary: bytes, folder: Path, budget: Budget) -> Sanitised:
    tree = _tree(name, text)
    buffers = _buffers(name, tree, binary, folder)
    budget = replace(budget, size_bytes=len(text) + sum(map(len, buffers)))
    wanted = set(tree.get("extensionsRequired", []))
    if any("draco" in w or "meshopt" in w or "quantization" in w for w in wanted):
        raise ShellError(f"{name} is packed with {', '.join(sorted(wanted))[:80]}: export it without compression.")
    accessors, views, blob = _Accessors(name, tree, buffers), [], bytearray()
    out_accessors: list[dict[str, Any]] = []
    taken: dict[tuple[int, str], tuple[int, int]] = {}

    def take(index: int, shape: str) -> tuple[int, int]:
        if (index, shape) not in taken:  # one that many meshes use is kept once
            taken[index, shape] = copied(index, shape)
        return taken[index, shape]

    def copied(index: int, shape: str) -> tuple[int, int]:
        body, kind, count = accessors.read(index, shape)
        blob.extend(b"\0" * (-len(blob) % 4))
        views.append({"buffer": 0, "byteOffset": len(blob), "byteLength": len(body)})
        blob.extend(body)
        out_accessors.append({"bufferView": len(views) - 1, "componentType": kind, "count": count, "type": shape})
        return len(out_accessors) - 1, count

    meshes, weight = [], []
    for mesh in tree.get("meshes", []):
        plain, triangles, corners = [], 0, 0
        for primitive in mesh["primitives"]:
            mode = primitive.get("mode", TRIANGLES)
            if mode not in {TRIANGLES, STRIP}:
                continue  # points and lines are no surface
            if "KHR_draco_mesh_compression" in primitive.get("extensions", {}):
                raise ShellError(f"{name} is packed with Draco: export it without compression.")
            points, count = take(primitive["attributes"]["POSITION"], "VEC3")
            corners += count
            entry: dict[str, Any] = {"attributes": {"POSITION": points}, "mode": mode}
            if "indices" in primitive:
                entry["indices"], count = take(primitive["indices"], "SCALAR")
            triangles += count // 3 if mode == TRIANGLES else max(count - 2, 0)
            plain.append(entry)
        meshes.append({"primitives": plain})
        weight.append(_Weight(triangles, corners, len(plain)))
    nodes, roots = _nodes(name, tree, weight, budget)
    fresh: dict[str, Any] = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": roots}],
        "nodes": nodes,
        "meshes": meshes,
        "accessors": out_accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(blob)}],
    }
    return Sanitised(_glb(fresh, bytes(blob)), "glb", Expect(), "m")


class _Weight(NamedTuple):
    """What placing a mesh once adds."""

    triangles: int
    points: int
    bodies: int


class _Accessors:
    """Tables of numbers in the buffers, each checked against the bytes it claims."""

    def __init__(self, name: str, tree: dict[str, Any], buffers: list[bytes]):
        self.name, self.tree, self.buffers = name, tree, buffers
        self.total = 0

    def read(self, index: int, shape: str) -> tuple[bytes, int, int]:
        """Bytes without gaps, component type and count of one table."""
        if index < 0:
            raise IndexError
        entry = self.tree["accessors"][index]
        kind, count = entry["componentType"], int(entry["count"])
        if entry["type"] != shape or (shape == "VEC3" and kind != FLOAT) or kind not in COMPONENT:
            raise not_that_kind(self.name, "gltf", "its points are packed in a form that is not read")
        if "sparse" in entry or "bufferView" not in entry:
            raise not_that_kind(self.name, "gltf", "its tables are sparse, a form that is not read")
        view = self.tree["bufferViews"][entry["bufferView"]]
        item = COMPONENT[kind] * (3 if shape == "VEC3" else 1)
        step = int(view.get("byteStride", item))
        start = int(view.get("byteOffset", 0)) + int(entry.get("byteOffset", 0))
        end = start + (count - 1) * step + item
        buffer = self.buffers[view["buffer"]]
        if count < 1 or step < item or start < 0 or end > len(buffer):
            raise cut_short(self.name, f"a table of {count:,} entries goes beyond its buffer of {len(buffer):,} bytes")
        self.total += count * item
        if self.total > BUFFER_LIMIT_BYTES:
            raise ShellError(f"{self.name} holds more than {BUFFER_LIMIT_BYTES / 1e6:.0f} MB of points and faces.")
        if step == item:
            return buffer[start:end], kind, count
        table = np.frombuffer(buffer, np.uint8, (count - 1) * step + item, start)
        rows = np.lib.stride_tricks.as_strided(table, (count, item), (step, 1), writeable=False)
        return rows.tobytes(), kind, count


def _buffers(name: str, tree: dict[str, Any], binary: bytes, folder: Path) -> list[bytes]:
    out: list[bytes] = []
    total = 0
    for number, entry in enumerate(tree.get("buffers", [])):
        uri = entry.get("uri")
        if uri is None:
            if number:
                raise not_that_kind(name, "gltf", "a buffer says not where it is")
            body = binary
        elif uri.startswith("data:"):
            try:
                body = base64.b64decode(uri.split(",", 1)[1], validate=True)
            except (binascii.Error, IndexError):
                raise cut_short(name, "a buffer inside it cannot be decoded") from None
        else:
            body = _beside(name, folder, unquote(uri))
        total += len(body)
        if total > BUFFER_LIMIT_BYTES:
            raise ShellError(f"{name} holds more than {BUFFER_LIMIT_BYTES / 1e6:.0f} MB: thin the mesh out.")
        out.append(body)
    return out


def _beside(name: str, folder: Path, key: str) -> bytes:
    """A file that lies in the shell file's own folder or below it."""
    home = real(folder)
    words = repr(key[:80])
    if "\0" in key or "://" in key:
        raise ShellError(f"{name} refers to {words}, which is no file beside it: put everything into one folder.")
    try:
        path = real(home / key)
        if not path.is_relative_to(home):
            raise ShellError(f"{name} refers to {words}, which is outside its own folder: put it beside it.")
        if not path.is_file():
            raise ShellError(f"{name} needs {words}, which is not beside it: put it there.")
        if path.stat().st_size > BUFFER_LIMIT_BYTES:
            raise ShellError(f"{name} needs {words}, which is larger than {BUFFER_LIMIT_BYTES / 1e6:.0f} MB.")
        return read_file(path)
    except OSError as error:
        raise ShellError(f"{name} needs {words}, which cannot be read ({error.strerror or 'no path'}).") from None


def _nodes(
    name: str, tree: dict[str, Any], weight: list[_Weight], budget: Budget
) -> tuple[list[dict[str, Any]], list[int]]:
    """Nodes with their placing alone, and the roots; every node has one parent, as the format demands."""
    given = tree.get("nodes", [])
    if len(given) > NODE_LIMIT:
        raise ShellError(f"{name} places {len(given):,} objects; at most {NODE_LIMIT:,} are read: flatten it.")
    nodes: list[dict[str, Any]] = []
    for entry in given:
        plain = {key: entry[key] for key in ("translation", "rotation", "scale", "matrix") if key in entry}
        if "mesh" in entry:
            plain["mesh"] = int(entry["mesh"])
        if entry.get("children"):
            plain["children"] = [int(child) for child in entry["children"]]
        nodes.append(plain)
    scenes = tree.get("scenes", [])
    children = {child for node in nodes for child in node.get("children", [])}
    scene = scenes[tree.get("scene", 0)] if scenes else {}
    roots = [int(r) for r in scene.get("nodes", [])] or [n for n in range(len(nodes)) if n not in children]
    seen: set[int] = set()
    front, depth, total = roots, 0, np.zeros(3, np.int64)
    while front:
        depth += 1
        following: list[int] = []
        for node in front:
            if node in seen or not 0 <= node < len(nodes):
                raise not_that_kind(name, "gltf", "its nodes are no tree")
            seen.add(node)
            if "mesh" in nodes[node]:
                total += weight[nodes[node]["mesh"]]
            following += nodes[node].get("children", [])
        if depth > DEPTH_LIMIT:
            raise ShellError(f"{name} nests objects more than {DEPTH_LIMIT} deep: flatten it.")
        budget.check(name, *(int(value) for value in total))
        front = following
    return nodes, roots


def _glb(tree: dict[str, Any], blob: bytes) -> bytes:
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    blob += b"\0" * (-len(blob) % 4)
    size = 12 + 8 + len(text) + 8 + len(blob)
    return (
        struct.pack("<III", 0x46546C67, 2, size)
        + struct.pack("<II", len(text), 0x4E4F534A)
        + text
        + struct.pack("<II", len(blob), 0x004E4942)
        + blob
    )
