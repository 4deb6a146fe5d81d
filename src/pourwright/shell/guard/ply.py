"""PLY, binary and text."""

from __future__ import annotations

import re
from pathlib import Path

from pourwright.shell.guard.expect import (
    TRIANGLE_LIMIT,
    Expect,
    Guarded,
    check_text_size,
    cut_short,
    not_that_kind,
    too_many,
)

SIZES = {
    **dict.fromkeys(("char", "uchar", "int8", "uint8"), 1),
    **dict.fromkeys(("short", "ushort", "int16", "uint16", "float16"), 2),
    **dict.fromkeys(("int", "uint", "int32", "uint32", "float", "float32"), 4),
    **dict.fromkeys(("int64", "uint64", "float64", "double"), 8),
}
HEADER_LIMIT_BYTES = 65_536
PROPERTY_LIMIT = 200


def guard_ply(name: str, data: bytes, folder: Path) -> Guarded:
    """A PLY whose header is short, known and no larger than what follows it."""
    match = re.search(rb"(?:^|[\r\n])end_header[ \t]*(?:\r\n|\n|\r)", data[:HEADER_LIMIT_BYTES])
    if not data[:3].lower() == b"ply" or match is None:
        raise not_that_kind(name, "ply", "it has no PLY header")
    header = data[: match.end()].decode("ascii", errors="replace")
    body = data[match.end() :]
    text, counts, smallest = _header(name, header)
    rows = sum(counts.values())
    faces = counts.get("face", 0)
    if faces > TRIANGLE_LIMIT:
        raise too_many(name, faces)
    if text:
        check_text_size(name, data)
        lines = [line for line in body.splitlines() if line.strip()]
        if len(lines) < rows:
            raise cut_short(name, f"it announces {rows:,} lines of points and faces, but has {len(lines):,}")
        body = b"\n".join(lines[:rows]) + b"\n"
        body = body.decode("ascii", errors="replace").encode("ascii", errors="replace")
    elif smallest > len(body):
        raise cut_short(name, f"it announces {smallest / 1e6:,.1f} MB or more, but holds {len(body) / 1e6:,.1f} MB")
    plain = "\n".join(
        line
        for line in (raw.strip() for raw in header.splitlines())
        if line and not line.lower().startswith(("comment", "obj_info"))
    )
    return Guarded(
        plain.encode("ascii", errors="replace") + b"\n" + body,
        "ply",
        Expect(points=counts.get("vertex", 0), least_faces=faces),
    )


def _header(name: str, header: str) -> tuple[bool, dict[str, int], int]:
    """Whether it is text, the count of each element, and the fewest bytes a binary body can have."""
    text = False
    counts: dict[str, int] = {}
    smallest, properties = 0, 0
    count, element = 0, ""
    for line in header.splitlines()[1:]:
        words = line.split()
        if not words or words[0] in {"comment", "obj_info", "end_header"}:
            continue
        if words[0] == "format" and len(words) >= 2:
            if words[1] not in {"ascii", "binary_little_endian", "binary_big_endian"}:
                raise not_that_kind(name, "ply", f"its format is {words[1][:30]!r}")
            text = words[1] == "ascii"
        elif words[0] == "element" and len(words) == 3 and words[2].isdigit() and len(words[2]) < 16:
            element, count = words[1], int(words[2])
            if element in counts:
                raise not_that_kind(name, "ply", f"its header lists {element[:30]!r} twice")
            counts[element] = count
        elif words[0] == "property" and len(words) in {3, 5} and element:
            properties += 1
            kinds = words[2:4] if words[1] == "list" else words[1:2]
            if (words[1] == "list") != (len(words) == 5) or any(k not in SIZES for k in kinds):
                raise not_that_kind(name, "ply", f"its header has the unknown property {line.strip()[:50]!r}")
            smallest += count * SIZES[kinds[0]]
        else:
            raise not_that_kind(name, "ply", f"its header has the line {line.strip()[:50]!r}")
    if properties > PROPERTY_LIMIT:
        raise not_that_kind(name, "ply", f"its header lists {properties} properties")
    return text, counts, smallest
