"""STL, binary and text."""

from __future__ import annotations

import re
import struct
from pathlib import Path

import numpy as np

from pourwright.sanitising.budget import Budget
from pourwright.sanitising.expect import Expect, Sanitised, cut_short, not_that_kind
from pourwright.sanitising.plain import blocks, joined, numbers, plain

HEAD, RECORD = 84, 50
NUMBER = rb"[^\s]{1,130}"
VERTEX = re.compile(rb"vertex[ \t]+(" + NUMBER + rb")[ \t]+(" + NUMBER + rb")[ \t]+(" + NUMBER + rb")", re.IGNORECASE)
WORD = re.compile(rb"(?<![a-z])vertex(?![a-z])", re.IGNORECASE)


def sanitise_stl(name: str, data: bytes, folder: Path, budget: Budget) -> Sanitised:
    """A binary STL cut to the length its count asks for, or a text STL as one solid."""
    count = struct.unpack_from("<I", data, 80)[0] if len(data) >= HEAD else None
    if count is not None and len(data) == HEAD + RECORD * count:
        return _binary(name, data, count, budget)
    if data[:512].lstrip().lower().startswith(b"solid") and b"facet" in data[:4096].lower():
        return _text(name, data, budget)
    if count is None:
        raise not_that_kind(name, "stl", f"{len(data)} bytes are fewer than its header has")
    if not data[:HEAD].strip(b"\0 ") or b"\0" in data[:4096]:
        if len(data) > HEAD + RECORD * count and count:
            return _binary(name, data[: HEAD + RECORD * count], count, budget)  # some exporters append their own notes
        raise cut_short(name, f"it announces {count:,} triangles, but holds {(len(data) - HEAD) // RECORD:,}")
    raise not_that_kind(name, "stl", "it is neither a binary STL nor a text that begins with solid and facet")


def _binary(name: str, data: bytes, count: int, budget: Budget) -> Sanitised:
    budget.check(name, count)
    return Sanitised(data, "stl", Expect(faces=count))


def _text(name: str, data: bytes, budget: Budget) -> Sanitised:
    budget.check_text(name, "stl", len(data))
    if b"endsolid" not in data[-4096:].lower():
        raise cut_short(name, "its last solid has no endsolid")
    found, said, read = 0, 0, []
    for block in blocks(data):
        corners = VERTEX.findall(block)
        found += len(corners)
        said += len(WORD.findall(block))
        read.append(numbers(b" ".join([word for corner in corners for word in corner])))
        if len(read[-1]) != 3 * len(corners):
            raise cut_short(name, "a corner is named by something that is no number")
    if found % 3 or found < said:
        raise cut_short(name, f"{said} corners are named and {found} can be read, which is no whole triangles")
    return plain(name, joined(read).reshape(-1, 3), np.arange(found).reshape(-1, 3), budget)
