"""The kinds of value a job file may hold: each reads text strictly, checks its range and can say what is allowed."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from pourwright import units
from pourwright.units import Kind, show

LONGEST_NAME = 80
"""Characters a name in a job file may have."""


class Table(BaseModel):
    """A table of the job file: unknown keys are refused, nothing is changed after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, hide_input_in_errors=True, defer_build=True)


@dataclass(frozen=True)
class Due:
    """A quantity with a unit between two SI bounds (both allowed)."""

    kind: Kind
    showing: Callable[[float], str]
    low: float
    high: float

    def __call__(self, value: object) -> float:
        """SI value of what the file says, or ``ValueError`` with what is allowed."""
        si = units.read(value, self.kind)
        if not self.low <= si <= self.high:
            raise ValueError(f"must be {self.range_words()}")
        return si

    def range_words(self) -> str:
        """The bounds in both systems."""
        return units.range_words(self.kind, self.showing, self.low, self.high)

    def words(self) -> str:
        """What may be written, for the documentation."""
        return f"{self.kind.name} with its unit, {self.range_words()}"


@dataclass(frozen=True)
class DueShare:
    """A share between two bounds, as a number or in per cent."""

    low: float
    high: float

    def __call__(self, value: object) -> float:
        """The share as a number, or ``ValueError`` with what is allowed."""
        share = units.read_share(value)
        if not self.low <= share <= self.high:
            raise ValueError(f"must be from {self.low:g} to {self.high:g}")
        return share

    def words(self) -> str:
        """What may be written, for the documentation."""
        return f'a number from {self.low:g} to {self.high:g}, or text in per cent like "8 %"'


@dataclass(frozen=True)
class DueMemory:
    """An amount of memory between two bounds in bytes."""

    low: int
    high: int

    def __call__(self, value: object) -> int:
        """Bytes, or ``ValueError`` with what is allowed."""
        size = units.read_memory(value)
        if not self.low <= size <= self.high:
            raise ValueError(f"must be {self.range_words()}")
        return size

    def range_words(self) -> str:
        """The bounds."""
        return f"from {self.low / 1e9:g} GB to {self.high / 1e9:g} GB"

    def words(self) -> str:
        """What may be written, for the documentation."""
        return f'an amount of memory like "1.5 GB", {self.range_words()}'


@dataclass(frozen=True)
class DueName:
    """One line of printable text."""

    longest: int = LONGEST_NAME

    def __call__(self, value: object) -> str:
        """The text without outer blanks, or ``ValueError`` with what is allowed."""
        if not isinstance(value, str):
            raise ValueError("must be text in quotes")
        text = unicodedata.normalize("NFC", value.strip())
        if not text or len(text) > self.longest:
            raise ValueError(f"must have 1 to {self.longest} characters")
        if not all(character.isprintable() for character in text):
            raise ValueError("must be one line without control characters")
        return text

    def words(self) -> str:
        """What may be written, for the documentation."""
        return f"one line of text, at most {self.longest} characters"


@dataclass(frozen=True)
class DueClock:
    """A time of day, as seconds after midnight."""

    def __call__(self, value: object) -> float:
        """Seconds, or ``ValueError`` with what is allowed."""
        found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", value.strip()) if isinstance(value, str) else None
        if found is None:
            raise ValueError(f"must be {self.words()}")
        return 3600.0 * int(found[1]) + 60.0 * int(found[2])

    def words(self) -> str:
        """What may be written, for the documentation."""
        return 'a time of day in 24 hours, like "08:00"'


@dataclass(frozen=True)
class DueDirection:
    """A direction in the shell file's axes."""

    def __call__(self, value: object) -> tuple[float, float, float]:
        """Unit vector, or ``ValueError`` with what is allowed."""
        if isinstance(value, str):
            text = value.strip().lower()
            if len(text) == 2 and text[0] in "+-" and text[1] in "xyz":
                sign = 1.0 if text[0] == "+" else -1.0
                x, y, z = (sign * (axis == text[1]) + 0.0 for axis in "xyz")
                return x, y, z
        elif isinstance(value, (list, tuple)) and len(value) == 3 and all(_is_number(v) for v in value):
            largest = max(abs(float(v)) for v in value)
            if largest > 0:
                scaled = [float(v) / largest for v in value]
                norm = math.hypot(*scaled)
                x, y, z = (v / norm + 0.0 for v in scaled)
                return x, y, z
        raise ValueError(f"must be {self.words()}")

    def words(self) -> str:
        """What may be written, for the documentation."""
        return '"+x", "-x", "+y", "-y", "+z", "-z", or three numbers like [0.0, 0.2, 1.0] that are not all zero'


@dataclass(frozen=True)
class DueParts:
    """Two positive numbers: parts of A to parts of B."""

    def __call__(self, value: object) -> tuple[float, float]:
        """The two numbers, or ``ValueError`` with what is allowed."""
        if isinstance(value, (list, tuple)) and len(value) == 2 and all(_is_number(v) for v in value):
            a, b = float(value[0]), float(value[1])
            if a > 0 and b > 0 and 0.1 <= a / b <= 10.0:
                return a, b
        raise ValueError(f"must be {self.words()}")

    def words(self) -> str:
        """What may be written, for the documentation."""
        return "parts of A and of B as two positive numbers like [1, 1], neither more than ten times the other"


@dataclass(frozen=True)
class DueNumber:
    """A bare number, for what has no unit."""

    low: float
    high: float
    whole: bool = False

    def __call__(self, value: object) -> float | int:
        """The number, or ``ValueError`` with what is allowed."""
        if not _is_number(value) or (self.whole and not isinstance(value, int)):
            raise ValueError(f"must be {self.words()}")
        number: float = value  # type: ignore[assignment]  # _is_number has seen it
        if not self.low <= number <= self.high:
            raise ValueError(f"must be {self.words()}")
        return number

    def words(self) -> str:
        """What may be written, for the documentation."""
        return f"a {'whole ' if self.whole else ''}number from {self.low:g} to {self.high:g}"


@dataclass(frozen=True)
class DueBool:
    """Yes or no."""

    def __call__(self, value: object) -> bool:
        """The answer, or ``ValueError`` with what is allowed."""
        if not isinstance(value, bool):
            raise ValueError(f"must be {self.words()}")
        return value

    def words(self) -> str:
        """What may be written, for the documentation."""
        return "true or false"


@dataclass(frozen=True)
class DueChoice:
    """One of a few words."""

    choices: tuple[str, ...]

    def __call__(self, value: object) -> str:
        """The word, or ``ValueError`` with what is allowed."""
        if value not in self.choices:
            raise ValueError(f"must be {self.words()}")
        return str(value)

    def words(self) -> str:
        """What may be written, for the documentation."""
        return "one of " + ", ".join(f'"{choice}"' for choice in self.choices)


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return False
    return abs(value) < 1e30  # false for NaN too; keeps float(int) from overflowing


def key(due: Any) -> Any:
    """Type annotation metadata for a field read by ``due``."""
    return BeforeValidator(due)


def taken(default: Any, about: str, assumed: str = "", **more: Any) -> Any:
    """A key that may be left out. ``assumed`` is what the plan says when it was."""
    return Field(default, description=about, json_schema_extra={"assumed": assumed} if assumed else None, **more)


def setting(default: Any, about: str, left_out: str) -> Any:
    """A key that says how the plan is worked out, and no fact of the trade. ``left_out``: the default in words."""
    return Field(default, description=about, json_schema_extra={"setting": left_out})


def needed(about: str) -> Any:
    """A key that may not be left out."""
    return Field(description=about)


def lengths(low: float, high: float) -> Any:
    """A length between two bounds [m]."""
    return key(Due(units.LENGTH, show.length, low, high))


Name = Annotated[str, key(DueName())]
Reference = Annotated[str, key(DueName(200))]
Direction = Annotated[tuple[float, float, float], key(DueDirection())]
MixParts = Annotated[tuple[float, float], key(DueParts())]
Flag = Annotated[bool, key(DueBool())]
