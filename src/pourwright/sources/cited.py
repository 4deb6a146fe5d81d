"""A number together with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Standing(StrEnum):
    """How a value is known. The words are printed as they stand."""

    PUBLISHED = "published"
    MEMORY = "from memory"
    PRACTICE = "common practice, no source"
    JUDGEMENT = "our judgement, no published source"
    DATA_SHEET = "data sheet"
    JOB = "given in the job"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class Cited:
    """One number and its standing.

    ``value`` is in SI, in the unit that ``unit`` names (for people; the field's name carries it too).
    ``spread`` is a plus-or-minus share of the value, 0 when unknown.
    """

    value: float
    unit: str
    standing: Standing
    source: str = ""
    locator: str = ""
    spread: float = 0.0
    note: str = ""
    printed: str = ""  # the value as its source prints it, where that is not SI
    key: str = ""  # of the source in references.bib

    def words(self) -> str:
        """The source in a few words, for a plan or a sheet."""
        where = f"{self.source}, {self.locator}" if self.locator else self.source
        return f"{self.standing.value}: {where}" if where else self.standing.value
