"""The rim that the foam of a pour is measured down from: one rule for the sheet and for the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol


@dataclass(frozen=True, slots=True)
class Rim:
    """The rim of a hole that a pour goes in through."""

    name: str
    height_m: float  # above the base


class HasLandings(Protocol):
    """A pour of a plan, or of a ``plan.json`` that was read back."""

    @property
    def landings(self) -> Sequence[Any]:
        """Where its liquid lands."""

    @property
    def top_m(self) -> float:
        """Its top above the base."""


def rim_of(pour: HasLandings) -> Rim | None:
    """The first of its holes that lies above its top; None where none does.

    >>> from types import SimpleNamespace as N
    >>> low, high = (N(port=name, measures=N(from_base_m=z)) for name, z in (("P1", 0.3), ("P2", 0.9)))
    >>> rim_of(N(landings=[low, high], top_m=0.5))
    Rim(name='P2', height_m=0.9)
    """
    for landing in pour.landings:
        height = float(landing.measures.from_base_m)
        if height > pour.top_m:
            return Rim(landing.port if isinstance(landing.port, str) else landing.port.name, height)
    return None
