"""3MF: a zip archive of XML parts."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lxml import etree

from pourwright.errors import ShellError
from pourwright.shell.guard.expect import TRIANGLE_LIMIT, Expect, Guarded, cut_short, not_that_kind, too_many

UNPACKED_LIMIT_BYTES = 600_000_000
CHUNK_BYTES = 1_000_000
PART_LIMIT = 2_000
DEPTH_LIMIT = 32
UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}
XML: dict[str, Any] = {"resolve_entities": False, "no_network": True, "huge_tree": False, "load_dtd": False}


def guard_3mf(name: str, data: bytes, folder: Path) -> Guarded:
    """The model parts of a 3MF alone, unpacked within bounds, in an archive without compression."""
    try:
        parts = _model_parts(name, data)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as error:
        words = " ".join(str(error).split())[:100] or "the archive is damaged"
        raise not_that_kind(name, "3mf", f"it cannot be unpacked ({words})") from None
    root = next((n for n in parts if n.lower().lstrip("/").endswith("3d/3dmodel.model")), None)
    if root is None:
        raise not_that_kind(name, "3mf", "it has no part 3D/3dmodel.model")
    for text in parts.values():
        if b"<!DOCTYPE" in text or b"<!ENTITY" in text or b"\0" in text[:1000]:
            raise ShellError(
                f"{name} declares XML entities or another encoding, which a 3MF must not: export it again."
            )
    try:
        unit = _unit(name, parts[root])
        _count(name, parts, root)
    except etree.XMLSyntaxError as error:
        raise cut_short(name, f"its XML ends or breaks off ({' '.join(str(error).split())[:80]})") from None
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for part, text in parts.items():
            archive.writestr(zipfile.ZipInfo(part), text)
    return Guarded(out.getvalue(), "3mf", Expect(), unit)


def _model_parts(name: str, data: bytes) -> dict[str, bytes]:
    parts: dict[str, bytes] = {}
    total = 0
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        if len(entries) > PART_LIMIT:
            raise ShellError(f"{name} holds {len(entries):,} parts; at most {PART_LIMIT:,} are looked at.")
        for entry in entries:
            if not entry.filename.lower().endswith(".model"):
                continue
            if entry.filename in parts:
                raise not_that_kind(name, "3mf", f"it holds {entry.filename[:60]!r} twice")
            left = UNPACKED_LIMIT_BYTES - total
            if entry.file_size > left:
                raise _bomb(name)
            chunks, size = [], 0
            with archive.open(entry) as stream:
                while chunk := stream.read(CHUNK_BYTES):  # bit by bit: the announced size is not believed
                    chunks.append(chunk)
                    size += len(chunk)
                    if size > left:
                        raise _bomb(name)
            text = b"".join(chunks)
            total += len(text)
            parts[entry.filename] = text
    return parts


def _bomb(name: str) -> ShellError:
    return ShellError(
        f"{name} unpacks to more than {UNPACKED_LIMIT_BYTES / 1e6:.0f} MB, which is not read: thin the mesh out."
    )


def _unit(name: str, text: bytes) -> str:
    _, root = next(iter(etree.iterparse(io.BytesIO(text), events=("start",), **XML)))
    said = root.attrib.get("unit", "millimeter")  # the specification's default
    if said not in UNITS:
        raise ShellError(f"{name} states the unit {said[:40]!r}, which 3MF does not know: export it again.")
    return UNITS[said]


def _count(name: str, parts: dict[str, bytes], root: str) -> None:
    """Triangles with every instance counted; refuses objects that contain themselves or nest without end."""
    own: dict[str, int] = {}
    inside: dict[str, list[str]] = {}
    built: list[str] = []
    for part, text in parts.items():
        for kind, key, refers in _objects(text):
            if kind == "item":
                if part == root:
                    built.append(key)
            elif kind == "object":
                own[key] = own.get(key, 0) + int(refers[0])
                inside.setdefault(key, []).extend(refers[1:])
    weight: dict[str, tuple[int, int]] = {}

    def weigh(key: str, above: int) -> tuple[int, int]:
        if above > DEPTH_LIMIT:
            raise ShellError(f"{name} nests objects more than {DEPTH_LIMIT} deep or in a circle: flatten it.")
        if key not in weight:
            total, ways = own.get(key, 0), 1
            for other in inside.get(key, []):
                triangles, paths = weigh(other, above + 1)
                total, ways = total + triangles, ways + paths
            weight[key] = total, ways
        return weight[key]

    found = [weigh(key, 0) for key in built]
    triangles, ways = sum(t for t, _ in found), sum(w for _, w in found)
    if triangles > TRIANGLE_LIMIT:
        raise too_many(name, triangles)
    if ways > 100_000:
        raise ShellError(f"{name} places {ways:,} objects; at most 100,000 are read: flatten it.")


def _objects(text: bytes) -> Iterator[tuple[str, str, list[str]]]:
    """``("object", id, [triangles, contained ids ...])`` and ``("item", id, [])`` in the order of the part."""
    events = etree.iterparse(io.BytesIO(text), events=("start", "end"), **XML)
    inner: list[str] = []
    triangles, key = 0, ""
    for event, element in events:
        tag = re.sub(r"^\{.*\}", "", element.tag) if isinstance(element.tag, str) else ""
        if event == "start":
            if tag == "object":
                triangles, inner, key = 0, [], element.attrib.get("id", "")
            continue
        if tag == "triangle":
            triangles += 1
        elif tag == "component":
            inner.append(element.attrib.get("objectid", ""))
        elif tag == "object":
            yield "object", key, [str(triangles), *inner]
        elif tag == "item":
            yield "item", element.attrib.get("objectid", ""), []
        if tag in {"vertex", "triangle", "component", "object", "item"}:
            element.clear()
            while element.getprevious() is not None:
                del element.getparent()[0]
