"""What a guard hands on, the limits, and the sentences all guards share."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.errors import ShellError

TRIANGLE_LIMIT = 20_000_000
TEXT_LIMIT_BYTES = 600_000_000
"""Text formats take several times their size in memory to read; beyond this a binary format is asked for."""


@dataclass(frozen=True, slots=True)
class Expect:
    """How many points and faces the file announces; None where it does not, ``least_faces`` where polygons are cut."""

    points: int | None = None
    faces: int | None = None
    least_faces: int | None = None


@dataclass(frozen=True, slots=True)
class Guarded:
    """Plain bytes for the reader, the format they are in, and what must come out of them."""

    data: bytes
    kind: str
    expect: Expect
    unit: str | None = None  # what the file states, as a key of the known units


def cut_short(name: str, what: str) -> ShellError:
    """The file ends before what it announces."""
    return ShellError(f"{name} is cut short or damaged: {what}; export or copy it again.")


def not_that_kind(name: str, kind: str, why: str) -> ShellError:
    """The file is not in the format of its ending."""
    return ShellError(f"{name} is not a readable .{kind} file: {why}; export it again.")


def too_many(name: str, count: int) -> ShellError:
    """More triangles than are read."""
    return ShellError(
        f"{name} announces {count:,} triangles; at most {TRIANGLE_LIMIT:,} are read: thin it out and export it again."
    )


def check_text_size(name: str, data: bytes) -> None:
    """Refuse a text file that is too large to be read as text."""
    if len(data) > TEXT_LIMIT_BYTES:
        raise ShellError(
            f"{name} holds {len(data) / 1e6:.0f} MB of text; at most {TEXT_LIMIT_BYTES / 1e6:.0f} MB is read: "
            "save it in a binary format (binary STL or PLY)."
        )
