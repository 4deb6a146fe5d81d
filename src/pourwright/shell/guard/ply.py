"""PLY, binary and text, with triangles, quads and polygons mixed as they come."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from pourwright.shell.guard.expect import (
    TRIANGLE_LIMIT,
    Guarded,
    check_text_size,
    cut_short,
    not_that_kind,
    too_many,
)
from pourwright.shell.guard.plain import fans, numbers, plain

KINDS = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "int64": "i8", "uint64": "u8",
    "float16": "f2", "float": "f4", "float32": "f4", "double": "f8", "float64": "f8",
}  # fmt: skip
CORNERS = ("vertex_indices", "vertex_index")
HEADER_LIMIT_BYTES = 65_536
PROPERTY_LIMIT = 200
CORNER_LIMIT = 10_000


@dataclass
class _Property:
    name: str
    kind: str
    count_kind: str = ""  # of a list


@dataclass
class _Element:
    name: str
    count: int
    properties: list[_Property] = field(default_factory=list)

    @property
    def fixed(self) -> bool:
        return not any(p.count_kind for p in self.properties)


def guard_ply(name: str, data: bytes, folder: Path) -> Guarded:
    """The points and faces of a PLY."""
    match = re.search(rb"(?:^|[\r\n])end_header[ \t]*(?:\r\n|\n|\r)", data[:HEADER_LIMIT_BYTES])
    if data[:3].lower() != b"ply" or match is None:
        raise not_that_kind(name, "ply", "it has no PLY header")
    order, elements = _header(name, data[: match.end()].decode("ascii", errors="replace"))
    body = data[match.end() :]
    if order:
        reader: _Binary | _Text = _Binary(name, body, order)
    else:
        check_text_size(name, data)
        reader = _Text(name, body)
    points, faces = np.empty((0, 3)), np.empty((0, 3), np.int64)
    for element in elements:
        if element.name == "vertex":
            points = reader.points(element)
        elif element.name == "face" and element.count:
            corners, sizes = reader.polygons(element)
            if sizes.max(initial=0) > CORNER_LIMIT or sizes.min(initial=3) < 0:
                raise cut_short(name, f"a face has {int(sizes.max()):,} corners")
            if int(np.maximum(sizes - 2, 0).sum()) > TRIANGLE_LIMIT:
                raise too_many(name, int(np.maximum(sizes - 2, 0).sum()))
            faces = fans(corners, sizes)
        else:
            reader.skip(element)
    return plain(name, points, faces)


def _header(name: str, header: str) -> tuple[str, list[_Element]]:
    """Byte order ("" for text) and the elements."""
    order: str | None = None
    elements: list[_Element] = []
    for line in header.splitlines()[1:]:
        words = line.split()
        if not words or words[0] in {"comment", "obj_info", "end_header"}:
            continue
        if words[0] == "format" and len(words) >= 2:
            order = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}.get(words[1])
        elif words[0] == "element" and len(words) == 3 and words[2].isdigit() and len(words[2]) < 16:
            elements.append(_Element(words[1], int(words[2])))
        elif words[0] == "property" and elements and len(words) == 3 and words[1] in KINDS:
            elements[-1].properties.append(_Property(words[2], KINDS[words[1]]))
        elif words[:2] == ["property", "list"] and elements and len(words) == 5 and _is_list(*words[2:]):
            elements[-1].properties.append(_Property(words[4], KINDS[words[3]], KINDS[words[2]]))
        else:
            raise not_that_kind(name, "ply", f"its header has the line {line.strip()[:50]!r}")
    if order is None:
        raise not_that_kind(name, "ply", "its header names no format that is known")
    if sum(len(e.properties) for e in elements) > PROPERTY_LIMIT:
        raise not_that_kind(name, "ply", f"its header lists more than {PROPERTY_LIMIT} properties")
    if len({e.name for e in elements}) < len(elements) or any(e.count and not e.properties for e in elements):
        raise not_that_kind(name, "ply", "its header lists an element twice or without properties")
    for e in elements:
        if e.name == "face" and e.count > TRIANGLE_LIMIT:
            raise too_many(name, e.count)
    return order, elements


def _is_list(count: str, kind: str, name: str) -> bool:
    whole = KINDS.get(kind, "f")[0] != "f" or name not in CORNERS
    return kind in KINDS and whole and KINDS.get(count, "f")[0] != "f"


def _columns(name: str, element: _Element) -> list[int]:
    found = {p.name: k for k, p in enumerate(element.properties)}
    if not element.fixed or not {"x", "y", "z"} <= found.keys():
        raise not_that_kind(name, "ply", "its points have no x, y and z")
    return [found[axis] for axis in "xyz"]


def _corner_property(name: str, element: _Element) -> int:
    for k, p in enumerate(element.properties):
        if p.count_kind and p.name in CORNERS:
            return k
    raise not_that_kind(name, "ply", "its faces have no list of corners")


class _Binary:
    """Elements one after the other from bytes."""

    def __init__(self, name: str, body: bytes, order: str):
        self.name, self.body, self.order, self.at = name, body, order, 0

    def _take(self, dtype: np.dtype, count: int) -> np.ndarray:
        size = dtype.itemsize * count
        if self.at + size > len(self.body):
            raise cut_short(
                self.name,
                f"it announces {size / 1e6:,.1f} MB here and holds {(len(self.body) - self.at) / 1e6:,.1f} MB",
            )
        out = np.frombuffer(self.body, dtype, count, self.at)
        self.at += size
        return out

    def _dtype(self, element: _Element, sizes: list[int] | None = None) -> np.dtype:
        fields: list[tuple[str, str] | tuple[str, str, int]] = []
        for k, p in enumerate(element.properties):
            if p.count_kind:
                fields.append((f"n{k}", self.order + p.count_kind))
                fields.append((f"p{k}", self.order + p.kind, (sizes or [])[k]))
            else:
                fields.append((f"p{k}", self.order + p.kind))
        return np.dtype(fields)

    def points(self, element: _Element) -> np.ndarray:
        x, y, z = _columns(self.name, element)
        table = self._take(self._dtype(element), element.count)
        return np.stack([table[f"p{k}"].astype(np.float64) for k in (x, y, z)], axis=1)

    def polygons(self, element: _Element) -> tuple[np.ndarray, np.ndarray]:
        wanted = _corner_property(self.name, element)
        start = self.at
        sizes = self._row(element)[1]
        self.at = start
        dtype = self._dtype(element, sizes)
        if self.at + dtype.itemsize * element.count <= len(self.body):
            table = self._take(dtype, element.count)
            if all((table[f"n{k}"] == sizes[k]).all() for k, p in enumerate(element.properties) if p.count_kind):
                corners = table[f"p{wanted}"].astype(np.int64)
                return corners.ravel(), np.full(element.count, sizes[wanted], np.int64)
            self.at = start
        lists = [self._row(element, wanted)[0] for _ in range(element.count)]
        return np.concatenate(lists).astype(np.int64), np.array([len(c) for c in lists], np.int64)

    def _row(self, element: _Element, wanted: int = -1) -> tuple[np.ndarray, list[int]]:
        """One row of any element: the list ``wanted`` and the length of every property."""
        found, sizes = np.empty(0), []
        for k, p in enumerate(element.properties):
            count = 1
            if p.count_kind:
                count = int(self._take(np.dtype(self.order + p.count_kind), 1)[0])
                if not 0 <= count <= len(self.body):
                    raise cut_short(self.name, "a list announces more entries than the file has bytes")
            values = self._take(np.dtype(self.order + p.kind), count)
            sizes.append(count)
            if k == wanted:
                found = values
        return found, sizes

    def skip(self, element: _Element) -> None:
        if element.fixed:
            self._take(self._dtype(element), element.count)
        else:
            for _ in range(element.count):
                self._row(element)


class _Text:
    """Elements one after the other from text."""

    def __init__(self, name: str, body: bytes):
        self.name = name
        self.values = numbers(body)
        self.at = 0

    def _take(self, count: int) -> np.ndarray:
        if self.at + count > len(self.values):
            raise cut_short(
                self.name, f"it announces {self.at + count:,} numbers or more, and {len(self.values):,} can be read"
            )
        out = self.values[self.at : self.at + count]
        self.at += count
        return out

    def points(self, element: _Element) -> np.ndarray:
        columns = _columns(self.name, element)
        table = self._take(element.count * len(element.properties)).reshape(element.count, -1)
        return table[:, columns]

    def polygons(self, element: _Element) -> tuple[np.ndarray, np.ndarray]:
        wanted = _corner_property(self.name, element)
        if len(element.properties) == 1:
            first = int(self.values[self.at]) if self.at < len(self.values) else 0
            width = first + 1
            if 0 < first < CORNER_LIMIT and self.at + width * element.count <= len(self.values):
                table = self.values[self.at : self.at + width * element.count].reshape(element.count, width)
                if (table[:, 0] == first).all():
                    self.at += width * element.count
                    return _whole(self.name, table[:, 1:]).ravel(), np.full(element.count, first, np.int64)
        corners = [self._row(element, wanted) for _ in range(element.count)]
        return _whole(self.name, np.concatenate(corners)), np.array([len(c) for c in corners], np.int64)

    def _row(self, element: _Element, wanted: int = -1) -> np.ndarray:
        found = np.empty(0)
        for k, p in enumerate(element.properties):
            count = 1
            if p.count_kind:
                said = float(self._take(1)[0])
                count = int(said) if 0 <= said <= len(self.values) else len(self.values) + 1
            values = self._take(count)
            if k == wanted:
                found = values
        return found

    def skip(self, element: _Element) -> None:
        if element.fixed:
            self._take(element.count * len(element.properties))
        else:
            for _ in range(element.count):
                self._row(element)


def _whole(name: str, values: np.ndarray) -> np.ndarray:
    if not (np.abs(values) < 2**31).all():
        raise cut_short(name, "a face names a point that is not in the file")
    return values.astype(np.int64)
