"""OBJ and OFF."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Sanitised, cut_short, not_that_kind
from pourwright.sanitising.plain import NUMBER as _N
from pourwright.sanitising.plain import blocks, fans, joined, numbers, plain

_NUM = _N.encode()
NUMBER = re.compile(_NUM, re.IGNORECASE)
LINE = re.compile(rb"^[ \t]*[vf][ \t]", re.MULTILINE)
POINT = re.compile(rb"^v[ \t]+(%s)[ \t]+(%s)[ \t]+(%s)(?!\S)" % (_NUM, _NUM, _NUM), re.MULTILINE | re.IGNORECASE)
FACE = re.compile(
    rb"^f[ \t]+(\d{1,10})(?:/\S{0,99})?[ \t]+(\d{1,10})(?:/\S{0,99})?[ \t]+(\d{1,10})(?:/\S{0,99})?[ \t]*\r?$",
    re.MULTILINE,
)

Polygons = tuple[np.ndarray, np.ndarray, np.ndarray]
"""Points (n, 3), corners one after the other, and corners of each face."""


def sanitise_obj(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The points and faces of an OBJ: no materials, groups or references."""
    budget.check_text(name, "obj", len(data))
    points, corners, sizes = _plain_obj(data) or _any_obj(name, data, budget)
    if not len(points):
        raise not_that_kind(name, "obj", "it has no points (lines that begin with v)")
    if len(corners) and corners.min() < 0:
        raise cut_short(name, "a face names a point that is not in the file")
    return plain(name, points, fans(name, corners, sizes, budget), budget)


def _plain_obj(data: bytes) -> Polygons | None:
    """The usual OBJ at one go: triangles counted from 1; None for any other."""
    if b"\\" in data:
        return None
    tables, faces = [], []
    for block in blocks(data):
        here, there = POINT.findall(block), FACE.findall(block)
        if len(here) + len(there) != len(LINE.findall(block)):
            return None
        tables.append(numbers(b" ".join([word for point in here for word in point])))
        faces.append(numbers(b" ".join([word for face in there for word in face])) if there else np.empty(0))
        if len(tables[-1]) != 3 * len(here) or len(faces[-1]) != 3 * len(there) or faces[-1].max(initial=0) > 2**31:
            return None
        faces[-1] = faces[-1].astype(np.int64) - 1
    table, corners = joined(tables), joined(faces, np.int64)
    return (table.reshape(-1, 3), corners, np.full(len(corners) // 3, 3, np.int64)) if len(table) else None


def _any_obj(name: str, data: bytes, budget: Budget) -> Polygons:
    """Line by line: polygons, corners counted back from the last point, lines that go on."""
    budget.check_text(name, "any obj", len(data))
    points: list[float] = []
    corners: list[int] = []
    sizes: list[int] = []
    for line in data.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ").splitlines():
        head = line.split(None, 1)
        if len(head) < 2 or head[0] not in {b"v", b"f"}:
            continue
        words = head[1].split(b"#")[0].split()
        if head[0] == b"v":
            if len(words) < 3 or not all(NUMBER.fullmatch(w) for w in words[:3]):
                raise not_that_kind(name, "obj", f"point {len(points) // 3 + 1} does not have three numbers")
            points += [float(w) for w in words[:3]]
        elif len(words) >= 3:
            corners += [_corner(name, w, len(points) // 3) for w in words]
            sizes.append(len(words))
    return np.array(points).reshape(-1, 3), np.array(corners, np.int64), np.array(sizes, np.int64)


def _corner(name: str, word: bytes, points: int) -> int:
    """The point of a face corner ``7/1/3``, from 0; a negative one counts back from the last point so far."""
    text = word.split(b"/", 1)[0]
    if not re.fullmatch(rb"[-+]?\d{1,10}", text):
        raise not_that_kind(name, "obj", "a face names a point by something that is no whole number")
    index = int(text)
    return index + points if index < 0 else index - 1


def sanitise_off(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """The points and faces of an OFF."""
    budget.check_text(name, "off", len(data))
    lines = [line.split(b"#", 1)[0].strip() for line in data.splitlines()]
    lines = [line for line in lines if line]
    if not lines or not re.match(rb"C?OFF\b", lines[0]):
        raise not_that_kind(name, "off", "its first line is not OFF")
    rest = re.sub(rb"^C?OFF", b"", lines[0]).strip()
    body = ([rest] if rest else []) + lines[1:]
    counts = [_whole(word) for word in body[0].split(None, 2)[:2]] if body else []
    if len(counts) < 2 or None in counts:
        raise not_that_kind(name, "off", "the line of counts is missing")
    count, faces = (int(c or 0) for c in counts)
    budget.check(name, faces)
    if count + faces + 1 > len(body):
        raise cut_short(
            name, f"it announces {count:,} points and {faces:,} faces, but has {max(len(body) - 1, 0):,} lines"
        )
    points: list[float] = []
    for line in body[1 : count + 1]:
        words = line.split(None, 3)
        if len(words) < 3 or not all(NUMBER.fullmatch(w) for w in words[:3]):
            raise cut_short(name, "a point line does not have three numbers")
        points += [float(w) for w in words[:3]]
    corners, sizes = _off_faces(name, body[count + 1 : count + 1 + faces])
    return plain(name, np.array(points).reshape(-1, 3), fans(name, corners, sizes, budget), budget)


def _off_faces(name: str, lines: list[bytes]) -> tuple[np.ndarray, np.ndarray]:
    corners: list[int] = []
    sizes: list[int] = []
    for line in lines:
        words = line.split()
        size = _whole(words[0]) or 0
        own = [_whole(word) for word in words[1 : size + 1]]
        if len(own) < size or None in own:
            raise cut_short(name, "a face line has fewer corners than it says")
        sizes.append(size)
        corners += [int(c or 0) for c in own]
    return np.array(corners, np.int64), np.array(sizes, np.int64)


def _whole(word: bytes) -> int | None:
    return int(word) if re.fullmatch(rb"\d{1,9}", word) else None
