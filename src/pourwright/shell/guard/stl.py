"""STL, binary and text."""

from __future__ import annotations

import re
import struct
from pathlib import Path

import numpy as np

from pourwright.shell.guard.expect import (
    TRIANGLE_LIMIT,
    Expect,
    Guarded,
    check_text_size,
    cut_short,
    not_that_kind,
    too_many,
)
from pourwright.shell.guard.plain import numbers, plain

HEAD, RECORD = 84, 50
NUMBER = rb"[^\s]+"
VERTEX = re.compile(rb"vertex[ \t]+(" + NUMBER + rb")[ \t]+(" + NUMBER + rb")[ \t]+(" + NUMBER + rb")", re.IGNORECASE)


def guard_stl(name: str, data: bytes, folder: Path) -> Guarded:
    """A binary STL cut to the length its count asks for, or a text STL as one solid."""
    count = struct.unpack_from("<I", data, 80)[0] if len(data) >= HEAD else None
    if count is not None and len(data) == HEAD + RECORD * count:
        return _binary(name, data, count)
    if data[:512].lstrip().lower().startswith(b"solid") and b"facet" in data[:4096].lower():
        return _text(name, data)
    if count is None:
        raise not_that_kind(name, "stl", f"{len(data)} bytes are fewer than its header has")
    if not data[:HEAD].strip(b"\0 ") or b"\0" in data[:4096]:
        if len(data) > HEAD + RECORD * count and count:
            return _binary(name, data[: HEAD + RECORD * count], count)  # some exporters append their own notes
        raise cut_short(name, f"it announces {count:,} triangles, but holds {(len(data) - HEAD) // RECORD:,}")
    raise not_that_kind(name, "stl", "it is neither a binary STL nor a text that begins with solid and facet")


def _binary(name: str, data: bytes, count: int) -> Guarded:
    if count > TRIANGLE_LIMIT:
        raise too_many(name, count)
    return Guarded(data, "stl", Expect(faces=count))


def _text(name: str, data: bytes) -> Guarded:
    check_text_size(name, data)
    if b"endsolid" not in data[-4096:].lower():
        raise cut_short(name, "its last solid has no endsolid")
    corners = VERTEX.findall(data)
    said = len(re.findall(rb"(?<![a-z])vertex(?![a-z])", data, re.IGNORECASE))
    if len(corners) % 3 or len(corners) < said:
        raise cut_short(name, f"{said} corners are named and {len(corners)} can be read, which is no whole triangles")
    if len(corners) // 3 > TRIANGLE_LIMIT:
        raise too_many(name, len(corners) // 3)
    values = numbers(b" ".join([word for corner in corners for word in corner]))
    if len(values) != 3 * len(corners):
        raise cut_short(name, "a corner is named by something that is no number")
    return plain(name, values.reshape(-1, 3), np.arange(len(corners)).reshape(-1, 3))
