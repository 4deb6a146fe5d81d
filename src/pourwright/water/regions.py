"""Foam of a boat chamber by chamber, and what it loses to water over the years."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.outcome import Boat, FoamSolid


@dataclass(frozen=True, eq=False)
class FoamRegion:
    """The foam of one chamber."""

    number: int  # 1 is the largest
    share: float  # of all foam
    foam_m3: float  # at the lowest yield
    carries_kg: float  # that, at its densest, less what it takes up
    middle_m: np.ndarray  # (3,) as the boat stands
    rest_m3: float  # foam of all others, at the lowest yield


@dataclass(frozen=True, slots=True)
class Allowance:
    """Buoyancy that the foam may lose to water."""

    share: float  # that is counted; nan: not known, and none is counted
    reference: str
    basic_bears: float  # share at which basic flotation is just kept; below zero: not even with dry foam; nan: no foam
    level_bears: float


def regions_of(foam: FoamSolid, foam_m3: float, lift_kg_m3: float, frame: PourFrame) -> tuple[FoamRegion, ...]:
    """The foam chamber by chamber, largest first; empty where chambers are not known.

    Parameters
    ----------
    foam : FoamSolid
    foam_m3 : float
        All of it at its lowest yield, which every chamber shares alike.
    lift_kg_m3 : float
        What a cubic metre carries.
    frame : PourFrame
        As the boat stands.
    """
    whole = sum(chamber.volume_m3 for chamber in foam.chambers)
    return tuple(
        FoamRegion(
            number=number,
            share=chamber.volume_m3 / whole,
            foam_m3=foam_m3 * chamber.volume_m3 / whole,
            carries_kg=lift_kg_m3 * foam_m3 * chamber.volume_m3 / whole,
            middle_m=frame.to_standing(chamber.middle_m),
            rest_m3=foam_m3 * (1.0 - chamber.volume_m3 / whole),
        )
        for number, chamber in enumerate(foam.chambers, 1)
    )


def allowance_of(boat: Boat, basic_m3: float, level_m3: float, foam_m3: float) -> Allowance:
    """What is counted, and what the boat bears.

    Foam that has lost a share ``u`` of its lift carries ``1 - u`` of it: ``basic_m3`` and ``level_m3``, asked for with
    the share that is counted, are ``1 - u`` of that with dry foam, and are just there at ``1 - dry / foam_m3``. Without
    any foam that can be counted on there is no such share: nan.
    """
    counted = 1.0 - (boat.uptake or 0.0)
    return Allowance(
        share=math.nan if boat.uptake is None else boat.uptake,
        reference=boat.uptake_reference,
        basic_bears=1.0 - basic_m3 * counted / foam_m3 if foam_m3 > 0 else math.nan,
        level_bears=1.0 - level_m3 * counted / foam_m3 if foam_m3 > 0 else math.nan,
    )
