"""A lining: where its foam is, in which coats, and how the piece is turned for them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.foam import Parts
from pourwright.lining.chambers import Chamber, SolidPlace
from pourwright.lining.region import Region
from pourwright.lining.rules import Turning
from pourwright.lining.surface import Inside
from pourwright.ranges import Range


@dataclass(frozen=True, eq=False)
class Bare:
    """A part of the inside that stays bare. Shell file's axes."""

    share: float  # of the inside
    point_m: np.ndarray  # (3,) on it


@dataclass(frozen=True, eq=False)
class Position:
    """One way up, in the order of the work. Arrays read-only."""

    number: int
    up: np.ndarray  # (3,) shell file's axes
    seconds: float  # standing, tipping and rolling round
    mix: int  # of each coat, from 1: the mix that is on the move then
    starts_mix: bool  # the mix is let go in this position
    share: float  # of the inside that it covers
    alone: Bare  # what no other position covers: bare if this one is left out


@dataclass(frozen=True, slots=True)
class Coat:
    """One coat, laid in as many mixes as the time allows."""

    number: int
    thickness_m: float
    foam_m3: float
    foam_kg: Range
    parts: Parts  # all of it, nominal
    mix: Parts  # one mix, nominal
    cups: int  # of one mix
    wait_s: float  # from its last mix to the next coat


@dataclass(frozen=True, eq=False)
class Lining:
    """A lined piece."""

    region: Region
    chambers: tuple[Chamber, ...]
    places: tuple[SolidPlace, ...]
    solid_m3: float  # foam of those places, poured first
    inside: Inside
    coats: tuple[Coat, ...]
    most_coat_m: float  # a coat stays on the wall up to so much
    mixes: int  # of each coat
    sequence: tuple[Position, ...]
    turning: Turning
    coverage: float  # share of the inside
    bare: tuple[Bare, ...]  # places that stay bare with all positions, largest first
    covered: np.ndarray  # (n,) of the faces of ``inside``: how many positions cover each
    hours: float  # from the first mix to the set last coat
    dose_h: float  # hours above the caution temperature, by the formula of a slab at the likely rise
    push_pa: float  # stated push on the flattest panel ...
    least_m: float  # ... and the least lining with which it moves no more than the allowed share of its width; nan
    source: str = "lining by turning"
