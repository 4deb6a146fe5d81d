"""OBJ and OFF."""

from __future__ import annotations

import re
from pathlib import Path

from pourwright.errors import ShellError
from pourwright.shell.guard.expect import (
    TRIANGLE_LIMIT,
    Expect,
    Guarded,
    check_text_size,
    cut_short,
    not_that_kind,
    too_many,
)

NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?|[-+]?(?:nan|inf)(?:inity)?", re.IGNORECASE)


def guard_obj(name: str, data: bytes, folder: Path) -> Guarded:
    """Points and faces of an OBJ: no materials, groups or references; every face by counted indices from 1."""
    check_text_size(name, data)
    points: list[bytes] = []
    faces: list[bytes] = []
    least = 0
    for line in data.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ").splitlines():
        head = line.split(None, 1)
        if len(head) < 2 or head[0] not in {b"v", b"f"}:
            continue
        words = head[1].split(b"#")[0].split()
        if head[0] == b"v":
            if len(words) < 3 or not all(NUMBER.fullmatch(w) for w in words[:3]):
                raise not_that_kind(name, "obj", f"point {len(points) + 1} does not have three numbers")
            points.append(b"v " + b" ".join(words[:3]))
        elif len(words) >= 3:
            faces.append(b"f " + b" ".join(_corner(name, w, len(points)) for w in words))
            least += len(words) - 2
            if least > TRIANGLE_LIMIT:
                raise too_many(name, least)
    if not points:
        raise not_that_kind(name, "obj", "it has no points (lines that begin with v)")
    return Guarded(b"\n".join([*points, *faces, b""]), "obj", Expect(faces=least))


def _corner(name: str, word: bytes, points: int) -> bytes:
    """The point of a face corner ``7/1/3`` as a number from 1; a negative one counts back from the last point."""
    text = word.split(b"/", 1)[0]
    try:
        index = int(text)
    except ValueError:
        raise not_that_kind(name, "obj", "a face names a point by something that is no whole number") from None
    if index < 0:
        index += points + 1
    if index < 1:
        raise cut_short(name, "a face names a point that is not in the file")
    return b"%d" % index


def guard_off(name: str, data: bytes, folder: Path) -> Guarded:
    """An OFF without comments whose counts are those of its lines."""
    check_text_size(name, data)
    lines = [line.split(b"#")[0].strip() for line in data.splitlines()]
    lines = [line for line in lines if line]
    if not lines or not re.match(rb"C?OFF\b", lines[0]):
        raise not_that_kind(name, "off", "its first line is not OFF")
    rest = re.sub(rb"^C?OFF", b"", lines[0]).strip()
    body = ([rest] if rest else []) + lines[1:]
    try:
        count, faces = (int(word) for word in body[0].split()[:2])
    except (ValueError, IndexError):
        raise not_that_kind(name, "off", "the line of counts is missing") from None
    if faces > TRIANGLE_LIMIT:
        raise too_many(name, faces)
    if count < 0 or faces < 0 or count + faces + 1 > len(body):
        raise cut_short(
            name, f"it announces {count:,} points and {faces:,} faces, but has {max(len(body) - 1, 0):,} lines"
        )
    least = 0
    for line in body[count + 1 : count + 1 + faces]:
        words = line.split()
        corners = _whole(words[0])
        if corners is None or not 3 <= corners < len(words):
            raise cut_short(name, "a face line has fewer corners than it says")
        least += corners - 2
    if least > TRIANGLE_LIMIT:
        raise too_many(name, least)
    for line in body[1 : count + 1]:
        words = line.split()
        if len(words) < 3 or not all(NUMBER.fullmatch(w) for w in words[:3]):
            raise cut_short(name, "a point line does not have three numbers")
    plain = [b"OFF", b"%d %d 0" % (count, faces), *body[1 : count + faces + 1], b""]
    try:
        return Guarded(b"\n".join(plain), "off", Expect(points=count, faces=least))
    except MemoryError:  # pragma: no cover - depends on the machine
        raise ShellError(f"{name} asks for more memory than there is.") from None


def _whole(word: bytes) -> int | None:
    return int(word) if re.fullmatch(rb"\d{1,9}", word) else None
