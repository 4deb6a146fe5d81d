"""What the piece becomes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.outcome.parts import Part
from pourwright.ranges import Range


@dataclass(frozen=True, eq=False)
class StiffnessGain:
    """Stiffness ratios after / before, as (no bond, full bond) pairs."""

    name: str  # "whole body", "panel", "dent"
    unbonded: float
    bonded: float
    counted: float  # the one the plan counts for this skin and foam
    words: str
    method: str = "formula"  # or "finite elements", on the real shape


@dataclass(frozen=True, eq=False)
class Outcome:
    """Weight and balance; points in the shell file's axes. Read-only arrays."""

    foam_kg: Range
    skin_kg: Range
    total_kg: Range
    liquids_a_kg: float  # to buy: for the high end of the foam's weight, with trim and cup loss
    liquids_b_kg: float
    liquids_a_m3: float
    liquids_b_m3: float
    loss_share: float
    centre_before_m: np.ndarray
    centre_of_mass_m: np.ndarray
    after_lift_kg: tuple[Range, ...]  # running total after each lift
    after_lift_centre_m: np.ndarray  # (lifts, 3)
    stiffness: tuple[StiffnessGain, ...]
    gap_m: float  # that cooling opens at most behind a skin to which the foam does not stick
    parts: tuple[Part, ...] = ()  # every mass with its range, centre and inertia
