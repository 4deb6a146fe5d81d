"""Reading a TOML file that may be hostile: its size, its lines and its depth are bounded before it is parsed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pourwright.errors import UsageError

LARGEST_BYTES = 65_536
LONGEST_LINE = 1_000  # a dotted key of some ten thousand parts takes the parser seconds
DEEPEST = 8


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a job file.

    Parameters
    ----------
    path : Path
        An ordinary file of at most `LARGEST_BYTES`.

    Returns
    -------
    dict
        Tables as TOML gives them, at most `DEEPEST` deep.

    Raises
    ------
    UsageError
        The file cannot be read or is no TOML.
    """
    return parse_toml(_text(path), path.name)


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """As `read_toml`, for text in hand; ``name`` is for the message.

    >>> parse_toml('[wall]\\nthickness = "5 mm"', "job.toml")
    {'wall': {'thickness': '5 mm'}}
    """
    if len(text.encode("utf-8", "replace")) > LARGEST_BYTES:
        raise UsageError(f"{name} is larger than {LARGEST_BYTES // 1024} KiB, which no job file is: give a job file.")
    longest = max(map(len, text.split("\n")))
    if longest > LONGEST_LINE:
        raise UsageError(f"{name} has a line of {longest} characters; a job file's lines have at most {LONGEST_LINE}.")
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        why = "nested too deeply" if isinstance(error, RecursionError) else " ".join(str(error).split())[:200]
        raise UsageError(f"{name} is not readable TOML: {why}.") from None
    if _depth(tables) > DEEPEST:
        raise UsageError(f"{name} is nested more than {DEEPEST} deep, which no job file is.")
    return tables


def parse_value(text: str) -> object:
    """The value that ``text`` spells in TOML, or the text itself.

    >>> parse_value("2"), parse_value("5 mm"), parse_value("[0, 0, 1]")
    (2, '5 mm', [0, 0, 1])
    """
    if "\n" in text or len(text) > LONGEST_LINE:
        return text
    try:
        value: object = tomllib.loads(f"value = {text}")["value"]
    except (ValueError, RecursionError):
        return text
    return value


def _text(path: Path) -> str:
    try:
        if path.is_dir():
            raise UsageError(f"{path} is a folder: give the job file itself.")
        if not path.exists():
            raise UsageError(f"{path} does not exist: give the path of a job file or a shell file.")
        if not path.is_file():
            raise UsageError(f"{path} is not an ordinary file: give the path of a job file.")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({error.strerror or error}): check the path and its rights.") from None
    except ValueError:  # a null character in the path
        raise UsageError(f"{str(path)!r} is not a path: give the path of a job file.") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UsageError(f"{path.name} is not text in UTF-8: save the job file as UTF-8.") from None


def _depth(value: object) -> int:
    """Depth of nested tables and arrays, counted without recursion and no further than needed."""
    level: list[object] = [value]
    depth = 0
    while level and depth <= DEEPEST:
        depth += 1
        below: list[object] = []
        for item in level:
            inside = item.values() if isinstance(item, Mapping) else item if isinstance(item, list) else ()
            below += [i for i in inside if isinstance(i, (Mapping, list))]
        level = below
    return depth
