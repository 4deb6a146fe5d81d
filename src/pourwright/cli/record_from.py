"""``pourwright record --from FILE``: what was typed into the boxes of the sheet on a phone."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from pourwright.errors import FileError
from pourwright.plainfile import read_file

MOST_BYTES = 1_000_000
Words = Annotated[str, StringConstraints(max_length=500)]

OF_COATS = ("rolls", "lies", "pins", "bare")
"""What is said of coats only."""


class BenchPour(BaseModel):
    """One pour as it was typed: the options of ``pourwright record`` by their names."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    pour: Words
    part_a: Words | None = Field(None, alias="a")
    part_b: Words | None = Field(None, alias="b")
    both: Words | None = None
    reached: Words | None = None
    dip: Words | None = None
    full: bool = False
    as_planned: bool = False
    at: Words | None = None
    parts: Words | None = None
    air: Words | None = None
    skin: Words | None = None
    probe: Words | None = None
    infrared: Words | None = None
    note: Words | None = None
    rolls: Words | None = None  # of coats
    lies: Words | None = None
    pins: dict[Words, Words] | None = None
    bare: Words | None = None


class Bench(BaseModel):
    """The file: which shell it is of, and its pours in the order of the sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    schema_: Literal["pourwright.bench/1"] = Field(alias="schema")
    shell_sha256: Words
    pours: tuple[BenchPour, ...] = Field(min_length=1, max_length=1000)


def read_bench(path: Path, shell_sha256: str) -> tuple[BenchPour, ...]:
    """The pours of a phone's file; ``-`` reads standard input.

    Raises
    ------
    FileError
        It cannot be read, is no such file, or is of another shell.
    """
    try:
        text = sys.stdin.read(MOST_BYTES) if str(path) == "-" else read_file(path)
    except OSError as error:
        raise FileError(f"{path} cannot be read ({error.strerror or error}).") from None
    try:
        bench = Bench.model_validate(json.loads(text))
    except (ValueError, RecursionError) as error:
        raise FileError(
            f"{path} is no file that the sheet makes on a phone ({_why(error)}): save it there again."
        ) from None
    if bench.shell_sha256 != shell_sha256:
        raise FileError(f"{path} was filled in on the sheet of another shell: nothing was recorded.")
    return bench.pours


def _why(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors(include_url=False, include_input=False)[0]
        return f"{'.'.join(str(part) for part in first['loc']) or 'file'}: {first['msg'].lower()}"
    return "it is not JSON"
