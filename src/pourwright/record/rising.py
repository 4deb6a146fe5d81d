"""The rise of what is left, through the holes as they are there."""

from __future__ import annotations

from dataclasses import replace

from pourwright.evaluation import Evaluation
from pourwright.lifts import Division, Kept, Vent
from pourwright.plan import Case, Refined, rises_of


def can_be_followed(kept: tuple[Kept, ...]) -> bool:
    """Whether the pours of a begun job can be followed as they rise: sheets of old do not say where air gathers."""
    return all(vent.node >= 0 for one in kept for vent in one.vents)


def risen_through(division: Division, refined: Refined, case: Case) -> Evaluation:
    """What was computed for a division, with its rise through the holes as they are there.

    Parameters
    ----------
    division : Division
        With holes that are drilled as they are, see `settled`.
    refined : Refined
        The same before that: rise and skin by the vents that it would have.
    case : Case
    """
    found = refined.plan.evaluation
    if _holes(division) == _holes(refined.division):
        return found
    return replace(found, rises=rises_of(division, case))


def _holes(division: Division) -> list[tuple[str, int, float, int]]:
    vents: dict[str, Vent] = {vent.name: vent for lift in division.lifts for p in lift.pours for vent in p.vents}
    return sorted((vent.name, vent.node, vent.hole_m, vent.holes) for vent in vents.values())
