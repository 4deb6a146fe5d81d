"""PLY, binary and text, with triangles, quads and polygons mixed as they come."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Sanitised, cut_short, not_that_kind
from pourwright.sanitising.plain import fans, numbers, plain
from pourwright.sanitising.rows import Rows, walk_bytes, walk_numbers

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


def sanitise_ply(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The points and faces of a PLY."""
    match = re.search(rb"(?:^|[\r\n])end_header[ \t]*(?:\r\n|\n|\r)", data[:HEADER_LIMIT_BYTES])
    if data[:3].lower() != b"ply" or match is None:
        raise not_that_kind(name, "ply", "it has no PLY header")
    order, elements = _header(name, data[: match.end()].decode("ascii", errors="replace"))
    body = data[match.end() :]
    if order:
        reader: _Binary | _Text = _Binary(name, body, budget, order)
    else:
        budget.check_text(name, "ply", len(data))
        reader = _Text(name, body, budget)
    points, faces = np.empty((0, 3)), np.empty((0, 3), np.int64)
    for element in elements:
        if element.name == "vertex":
            points = reader.points(element)
        elif element.name == "face" and element.count:
            faces = reader.triangles(element)
        else:
            reader.skip(element)
    return plain(name, points, faces, budget)


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


class _Reader:
    """Elements one after the other from a body of bytes or of numbers; a row takes at least one of them."""

    def __init__(self, name: str, body: np.ndarray, budget: Budget):
        self.name, self.body, self.budget, self.at = name, body, budget, 0

    def _walk(self, rows: int, layout: Rows, corners: np.ndarray, sizes: np.ndarray) -> tuple[int, int, int, int]:
        raise NotImplementedError

    def _layout(self, element: _Element, wanted: int) -> Rows:
        kinds = [(p.kind, p.count_kind) for p in element.properties]
        item = np.array([np.dtype(kind).itemsize for kind, _ in kinds], np.int64)
        counts = np.array([np.dtype(count).itemsize if count else 0 for _, count in kinds], np.int64)
        signed = np.array([[count[:1] == "i", kind[0] == "i"] for kind, count in kinds], np.int64)
        return Rows(item, counts, signed, wanted, False)

    def _rows(self, element: _Element, wanted: int) -> tuple[np.ndarray, np.ndarray]:
        """Corners and sizes of the polygons in the list ``wanted``, row by row."""
        none = np.empty(0, np.int64)
        if element.count > len(self.body) - self.at:
            raise cut_short(self.name, f"it announces {element.count:,} rows of {element.name[:40]!r} and ends before")
        layout = self._layout(element, wanted)
        end, polygons, total, longest = self._walk(element.count, layout, none, none)
        if end < 0:
            raise cut_short(self.name, f"a row of {element.name[:40]!r} goes beyond its end")
        if longest > CORNER_LIMIT:
            raise cut_short(self.name, f"a face has {longest:,} corners")
        self.budget.check(self.name, total - 2 * polygons)
        corners, sizes = np.empty(total, np.int64), np.empty(polygons, np.int64)
        if polygons:
            self._walk(element.count, layout, corners, sizes)
        self.at = end
        return corners, sizes

    def triangles(self, element: _Element) -> np.ndarray:
        """The faces (m, 3), polygons cut into fans."""
        wanted = _corner_property(self.name, element)
        even = self._even(element, wanted)
        if even is not None:
            return even
        return fans(self.name, *self._rows(element, wanted), self.budget)

    def _even(self, element: _Element, wanted: int) -> np.ndarray | None:
        raise NotImplementedError

    def _fans_of(self, corners: np.ndarray) -> np.ndarray:
        """Triangles of polygons that all have as many corners, (m, k)."""
        rows, size = corners.shape
        if size < 3:
            return np.empty((0, 3), np.int64)
        if size > CORNER_LIMIT:
            raise cut_short(self.name, f"a face has {size:,} corners")
        self.budget.check(self.name, rows * (size - 2))
        if np.issubdtype(corners.dtype, np.floating) and not (np.abs(corners) < 2**31).all():
            raise cut_short(self.name, "a face names a point that is not in the file")
        whole = corners.astype(np.int64)
        return np.stack([whole[:, [0, k, k + 1]] for k in range(1, size - 1)], axis=1).reshape(-1, 3)


class _Binary(_Reader):
    """Elements one after the other from bytes."""

    def __init__(self, name: str, body: bytes, budget: Budget, order: str):
        super().__init__(name, np.frombuffer(body, np.uint8), budget)
        self.order = order

    def _take(self, dtype: np.dtype, count: int) -> np.ndarray:
        size = dtype.itemsize * count
        if self.at + size > len(self.body):
            raise cut_short(
                self.name,
                f"it announces {size / 1e6:,.1f} MB here and holds {(len(self.body) - self.at) / 1e6:,.1f} MB",
            )
        out = self.body[self.at : self.at + size].view(dtype)
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

    def _layout(self, element: _Element, wanted: int) -> Rows:
        return super()._layout(element, wanted)._replace(big=self.order == ">")

    def _walk(self, rows: int, layout: Rows, corners: np.ndarray, sizes: np.ndarray) -> tuple[int, int, int, int]:
        found: tuple[int, int, int, int] = walk_bytes(self.body, self.at, rows, layout, corners, sizes)
        return found

    def _even(self, element: _Element, wanted: int) -> np.ndarray | None:
        """Where every row is as long as the first one: all at one go."""
        start = self.at
        sizes = self._first_row(element)
        self.at = start
        dtype = self._dtype(element, sizes)
        if dtype.itemsize * element.count > len(self.body) - start:
            return None
        table = self._take(dtype, element.count)
        if not all((table[f"n{k}"] == sizes[k]).all() for k, p in enumerate(element.properties) if p.count_kind):
            self.at = start
            return None
        return self._fans_of(table[f"p{wanted}"].reshape(element.count, -1))

    def _first_row(self, element: _Element) -> list[int]:
        """How many entries each property has in the row that begins here."""
        sizes = []
        for p in element.properties:
            count = int(self._take(np.dtype(self.order + p.count_kind), 1)[0]) if p.count_kind else 1
            if not 0 <= count <= len(self.body):
                raise cut_short(self.name, "a list announces more entries than the file has bytes")
            self._take(np.dtype(self.order + p.kind), count)
            sizes.append(count)
        return sizes

    def skip(self, element: _Element) -> None:
        if element.fixed:
            self._take(self._dtype(element), element.count)
        elif element.count:
            self._rows(element, -1)


class _Text(_Reader):
    """Elements one after the other from text."""

    def __init__(self, name: str, body: bytes, budget: Budget):
        super().__init__(name, numbers(body), budget)

    def _take(self, count: int) -> np.ndarray:
        if self.at + count > len(self.body):
            raise cut_short(
                self.name, f"it announces {self.at + count:,} numbers or more, and {len(self.body):,} can be read"
            )
        out = self.body[self.at : self.at + count]
        self.at += count
        return out

    def points(self, element: _Element) -> np.ndarray:
        columns = _columns(self.name, element)
        table = self._take(element.count * len(element.properties)).reshape(element.count, -1)
        return table[:, columns]

    def _walk(self, rows: int, layout: Rows, corners: np.ndarray, sizes: np.ndarray) -> tuple[int, int, int, int]:
        found: tuple[int, int, int, int] = walk_numbers(self.body, self.at, rows, layout, corners, sizes)
        return found

    def _even(self, element: _Element, wanted: int) -> np.ndarray | None:
        if len(element.properties) > 1 or self.at >= len(self.body) or not 0 < self.body[self.at] < CORNER_LIMIT:
            return None
        size = int(self.body[self.at])
        end = self.at + (size + 1) * element.count
        if end > len(self.body):
            return None
        table = self.body[self.at : end].reshape(element.count, size + 1)
        if not (table[:, 0] == size).all():
            return None
        self.at = end
        return self._fans_of(table[:, 1:])

    def skip(self, element: _Element) -> None:
        if element.fixed:
            self._take(element.count * len(element.properties))
        elif element.count:
            self._rows(element, -1)
