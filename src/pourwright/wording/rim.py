"""The rim that the foam of a pour is measured down from: one rule for the sheet and for the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

LEVEL_M = 0.003
"""What ends no lower is level with its rim: no stick tells it [m]; our judgement."""


@dataclass(frozen=True, slots=True)
class Rim:
    """The rim of a hole that a pour goes in through."""

    name: str
    height_m: float  # above the base


class HasLandings(Protocol):
    """A pour of a plan, or of a ``plan.json`` that was read back."""

    @property
    def name(self) -> str:
        """As the sheet has it."""

    @property
    def together(self) -> Sequence[str]:
        """Pours that rise with it."""

    @property
    def landings(self) -> Sequence[Any]:
        """Where its liquid lands."""

    @property
    def top_m(self) -> float:
        """Its top above the base."""


class HasHoles(Protocol):
    """A ``plan.json`` that was read back."""

    @property
    def ports(self) -> Sequence[Any]:
        """With the pour in which each is closed."""


class HasClosings(Protocol):
    """The lifts of a plan."""

    @property
    def closings(self) -> Sequence[Any]:
        """Which hole is closed in which pour."""


def rim_of(pour: HasLandings, plan: HasHoles | HasClosings) -> Rim | None:
    """The first of its holes that lies above its top and stays open while it rises; None where none does.

    No stick goes down a hole that is bunged before its foam has risen.

    >>> from types import SimpleNamespace as N
    >>> sides = [N(port=name, measures=N(from_base_m=z)) for name, z in (("P1", 0.3), ("P2", 0.9), ("P3", 1.1))]
    >>> pour = N(name="2a", together=(), landings=sides, top_m=0.5)
    >>> rim_of(pour, N(closings=[]))
    Rim(name='P2', height_m=0.9)
    >>> rim_of(pour, N(closings=[N(hole="P2", inside="2a")]))
    Rim(name='P3', height_m=1.1)
    """
    rising, shut = (pour.name, *pour.together), set[str]()
    for one in getattr(plan, "closings", ()):
        shut |= {one.hole} if one.inside in rising else set()
    for one in getattr(plan, "ports", ()):
        shut |= {one.name} if getattr(one, "closed_in", None) in rising else set()
    for landing in pour.landings:
        name, height = landing.port, float(landing.measures.from_base_m)
        name = name if isinstance(name, str) else name.name
        if height > pour.top_m and name not in shut:
            return Rim(name, height)
    return None
