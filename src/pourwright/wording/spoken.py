"""How a page names the work: mixed in cups by people, or shot by a machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pourwright.plan import Plan


@dataclass(frozen=True, slots=True)
class Spoken:
    """Words of one way of working."""

    begin: str  # what the times of a pour count from
    begins: str
    mix: str  # one of them
    empty: str  # when a port can be shut
    before: str  # a pour that begins
    machine: bool


BY_HAND = Spoken("the start of mixing", "mixing begins", "mix", "as soon as the cup is empty", "is mixed", False)
BY_MACHINE = Spoken("the start of its shot", "its shot begins", "shot", "as soon as its shot is in", "is shot", True)


def spoken(plan: Plan) -> Spoken:
    """The words for a plan."""
    return BY_MACHINE if plan.job.machine is not None else BY_HAND
