"""The XML of a 3MF's model part: meshes, what objects contain, what is built."""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.parsers import expat

import numpy as np

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import cut_short

ELEMENTS_PER_TRIANGLE = 4
"""A triangle and its half of a vertex are one and a half, three where they are closed by a tag of their own."""
STRETCH_LIMIT_BYTES = 1_000_000
"""Text without the end of a tag: more attributes, comment or words than any mesh has."""
LOOK_BYTES = 16_000_000

Key = tuple[str, str]
"""Part and object id."""


class Mesh(NamedTuple):
    """Points and corners one after the other."""

    points: array[float]
    faces: array[int]


@dataclass
class Model:
    """What the parts read so far hold; placings are (3, 4): a turn and a shift."""

    unit: str = ""
    meshes: dict[Key, Mesh] = field(default_factory=dict)
    inside: dict[Key, list[tuple[Key, np.ndarray]]] = field(default_factory=dict)
    built: list[tuple[Key, np.ndarray]] = field(default_factory=list)


def read_model(name: str, text: bytes, part: str, is_root: bool, model: Model, budget: Budget) -> None:
    """Read one part into ``model``. No tree is made: an element that says nothing of the shape costs no memory.

    Raises
    ------
    ShellError
        More elements than the file's size allows, or a number that is none.
    ExpatError
        What is no XML.
    """
    _check_size(name, text, budget)
    reader = _Reader(name, part, is_root, model, budget)
    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler, parser.EndElementHandler = reader.start, reader.end
    parser.buffer_text = False
    parser.Parse(text, True)
    if is_root and not model.unit:
        model.unit = "millimeter"  # the specification's default


def _check_size(name: str, text: bytes, budget: Budget) -> None:
    elements = text.count(b"<")
    most = ELEMENTS_PER_TRIANGLE * budget.triangles
    if elements > most:
        raise cut_short(name, f"it holds {elements:,} XML elements, and no more than {most:,} are read")
    last = 0
    for start in range(0, len(text), LOOK_BYTES):
        ends = start + np.flatnonzero(np.frombuffer(text[start : start + LOOK_BYTES], np.uint8) == ord(">"))
        edges = np.concatenate([[last], ends, [] if start + LOOK_BYTES < len(text) else [len(text)]])
        if np.diff(edges).max(initial=0) > STRETCH_LIMIT_BYTES:
            raise cut_short(
                name, f"its XML goes on for more than {STRETCH_LIMIT_BYTES:,} characters without a tag's end"
            )
        last = int(ends[-1]) if len(ends) else last


class _Reader:
    def __init__(self, name: str, part: str, is_root: bool, model: Model, budget: Budget):
        self.name, self.part, self.is_root, self.model, self.budget = name, part, is_root, model, budget
        self.key: Key = (part, "")
        self.mesh: Mesh | None = None

    def start(self, tag: str, said: dict[str, str]) -> None:
        """An element begins."""
        kind = tag.rpartition("}")[2]
        if self.mesh is not None:
            if kind == "triangle":
                self.mesh.faces.extend([self._index(said.get(corner, "")) for corner in ("v1", "v2", "v3")])
                if len(self.mesh.faces) > 3 * self.budget.triangles:
                    self.budget.check(self.name, len(self.mesh.faces) // 3)
            elif kind == "vertex":
                self.mesh.points.extend([self._number(said.get(axis, "")) for axis in ("x", "y", "z")])
        elif kind == "object":
            self.key = (self.part, said.get("id", ""))
        elif kind == "mesh":
            self.mesh = self.model.meshes.setdefault(self.key, Mesh(array("d"), array("q")))
        elif kind == "component":
            self.model.inside.setdefault(self.key, []).append(self._placing(said))
        elif kind == "item" and self.is_root:
            self.model.built.append(self._placing(said))
        elif kind == "model" and self.is_root and not self.model.unit:
            self.model.unit = said.get("unit", "millimeter")

    def end(self, tag: str) -> None:
        """An element ends."""
        if tag.rpartition("}")[2] == "mesh":
            self.mesh = None

    def _placing(self, said: dict[str, str]) -> tuple[Key, np.ndarray]:
        path = next((value.lstrip("/") for key, value in said.items() if key.rpartition("}")[2] == "path"), self.part)
        return (path, said.get("objectid", "")), self._move(said.get("transform", ""))

    def _move(self, text: str) -> np.ndarray:
        """A placing (3, 4) from twelve numbers, row by row of the format's transposed matrix."""
        if not text:
            return np.eye(3, 4)
        words = text.split(None, 12)
        if len(words) != 12:
            raise cut_short(self.name, f"a placing has {len(words)} numbers instead of 12")
        return np.array([self._number(word) for word in words]).reshape(4, 3).T

    def _number(self, text: str) -> float:
        if len(text) <= 130:
            try:
                value = float(text)
            except ValueError:
                pass
            else:
                if "_" not in text:
                    return value
        raise cut_short(self.name, f"a point has the coordinate {text[:20]!r}, which is no number")

    def _index(self, text: str) -> int:
        if text.isdecimal() and len(text) < 11:
            return int(text)
        raise cut_short(self.name, f"a triangle names the point {text[:20]!r}, which is no number")
