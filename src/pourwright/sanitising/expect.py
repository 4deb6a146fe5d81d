"""What a guard hands on, and the sentences all guards share."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.errors import ShellError


@dataclass(frozen=True, slots=True)
class Expect:
    """How many points and faces the file announces; None where it does not, ``least_faces`` where polygons are cut."""

    points: int | None = None
    faces: int | None = None
    least_faces: int | None = None


@dataclass(frozen=True, slots=True)
class Sanitised:
    """Plain bytes for the reader, the format they are in, and what must come out of them."""

    data: bytes
    kind: str
    expect: Expect
    unit: str | None = None  # what the file states, as a key of the known units
    bodies: int | None = None  # separate meshes in the file, where the plain bytes hold them as one


def cut_short(name: str, what: str) -> ShellError:
    """The file ends before what it announces."""
    return ShellError(f"{name} is cut short or damaged: {what}; export or copy it again.")


def not_that_kind(name: str, kind: str, why: str) -> ShellError:
    """The file is not in the format of its ending."""
    return ShellError(f"{name} is not a readable .{kind} file: {why}; export it again.")
