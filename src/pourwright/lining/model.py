"""A lining: where its foam is, in which coats, and how the piece is turned for them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import nearest_skin_point
from pourwright.foam import Parts as Mix
from pourwright.lifts import ShopLimits
from pourwright.lining.chambers import Chamber, SolidPlace
from pourwright.lining.holes import Hole
from pourwright.lining.parts import Parts
from pourwright.lining.paths import Roll
from pourwright.lining.poured import Pin
from pourwright.lining.region import Region
from pourwright.lining.rules import Turning
from pourwright.lining.surface import CELLS_ALONG, Inside
from pourwright.lining.thicker import LinedPart
from pourwright.ranges import Range
from pourwright.sanitising import MEMORY_BYTES
from pourwright.sources import Standing


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop of the day gives a lining. SI."""

    limits: ShopLimits
    between_s: float
    inside_film_w_m2k: float
    outside_film_w_m2k: float
    push_pa: float
    bulge_share: float
    memory_bytes: int = MEMORY_BYTES
    up: tuple[float, float, float] | None = None  # of the piece when it hangs or stands at last; None: as it is filled
    cells_along: int = CELLS_ALONG  # of the inside, along the longest side of the piece
    least_mix_m3: float = 1e-4  # least liquid for a limb of its own


@dataclass(frozen=True, eq=False)
class Bare:
    """A part of the inside that stays bare. Shell file's axes."""

    share: float  # of the inside
    point_m: np.ndarray  # (3,) on it


@dataclass(frozen=True, eq=False)
class Position:
    """One roll of a coat, in the order of the work. Shell file's axes, arrays read-only."""

    coat: int  # from 1
    number: int  # from 1 in each coat
    up: np.ndarray  # (3,) which way is up as it begins
    axis: np.ndarray  # (3,) it is rolled about
    roll: Roll
    seconds: float  # getting there and rolling
    share: float  # of the inside that holds a whole film of this coat after it and did not before
    laid: np.ndarray  # (n,) of the faces of ``inside``: share of an even lining on each after it; 0 where it is bare
    missed: Bare  # what this coat misses if this one is left out
    alone: Bare  # what no coat covers then and all rolls would
    spread_on: np.ndarray | None = None  # (n,) bool of those faces: what a coat is spread on; None: it is turned


@dataclass(frozen=True, eq=False)
class Coat:
    """One coat, of one mix."""

    number: int
    thickness_m: float
    foam_m3: float  # that stays in the piece
    surplus_m3: float  # of it, what the last rolls leave unevenly
    board_m3: float  # foam on boards that close mouths: comes off with them
    foam_kg: Range  # that stays in the piece
    parts: Mix  # all of it, nominal
    cups: int
    wait_s: float  # from its mix to the next coat
    film_m: float  # foam that its film is on the wall
    followed_m3: float  # foam, that on boards too, that its turning was followed with
    up: np.ndarray  # (3,) of the piece as its mix is let go, shell axes
    poured: bool = False  # it is in the piece: parts are what was weighed
    aims: tuple[int, ...] = ()  # numbers of the parts that it is for; empty: all of the inside
    area_m2: float = 0.0  # of the inside that it is spread on; 0: it is turned
    reach_m: float = 0.0  # farthest of it from the mouth that it is spread through; 0: it is turned


@dataclass(frozen=True, slots=True)
class Spread:
    """What hands reach that spread a lining."""

    reach_m: float  # how far in from a mouth
    by: Standing  # how that is known
    mouths: tuple[str, ...]  # that an arm goes through
    far_share: float  # of the inside, out of reach in every way up
    over_share: float  # of the inside, within reach and hanging over in every one
    keeps_m: float  # foam that an upright wall keeps, `RUN_M` under the upper edge of what is laid


@dataclass(frozen=True, eq=False)
class Lining:
    """A lined piece."""

    region: Region
    chambers: tuple[Chamber, ...]
    places: tuple[SolidPlace, ...]
    solid_m3: float  # foam of those places, poured first
    solid_kg: Range  # of them, as weighed where they are poured
    inside: Inside
    coats: tuple[Coat, ...]
    most_coat_m: float  # a coat stays on the wall up to so much while it is turned
    rolls: int  # until a mix gels; a coat's rolls over again where they are fewer
    sequence: tuple[Position, ...]  # coat by coat
    turning: Turning
    coverage: float  # share of the inside
    bare: tuple[Bare, ...]  # places that stay bare with all positions, largest first
    holes: tuple[Hole, ...]  # for hose, breather and drain of each hollow
    laid: np.ndarray  # (n,) of the faces of ``inside``: share of an even lining that each holds; 0 where it is bare
    thinnest_m: float  # that all but two hundredths of what is coated holds
    thickest_coat_m: float  # of one coat, where its last roll leaves most
    surplus_m3: float  # of its foam, what the last rolls leave unevenly
    pins: tuple[Pin, ...]  # where to push a pin in, and all foam that should be there after the last coat
    hours: float  # from the first mix to the set last coat
    dose_h: float  # hours above the caution temperature, by the formula of a slab at the likely rise
    push_pa: float  # stated push on the flattest panel ...
    least_m: float  # ... and the least lining with which it moves no more than the allowed share of its width; nan
    parts: tuple[LinedPart, ...]  # what lies where; one without parts of their own
    where: Parts  # which skin each part of the job is
    at_panel_m: float  # thinnest where the flattest panel is; size of the piece where that is solid, nan without one
    source: str = "lining by turning"
    spread: Spread | None = None  # by hand through a mouth; None: it is turned

    def thickness_at(self, points_m: np.ndarray) -> np.ndarray:
        """Lining asked for (n,) [m] behind the skin nearest to points (n, 3), shell axes; inf where that is solid."""
        part = self.where.part[nearest_skin_point(self.where.skin, points_m)[1]]
        asked = [math.inf if one.thickness_m is None else one.thickness_m for one in self.where.rules]
        return np.asarray(np.array(asked)[part])

    @property
    def thickest_m(self) -> float:
        """Thickest lining that was asked for; inf where the job has filled a part solid."""
        if any(place.asked for place in self.places):
            return math.inf
        return max(part.thickness_m for part in self.parts)

    @property
    def middling_m(self) -> float:
        """What half of the coated inside holds at least; 0 where nothing is coated."""
        mine = (self.laid > 0) & self.inside.counts
        if not mine.any():
            return 0.0
        order = np.argsort(self.laid[mine], kind="stable")
        area = np.cumsum(self.inside.area_m2[mine][order])
        return self.region.thickness_m * float(self.laid[mine][order][np.searchsorted(area, 0.5 * area[-1])])


def rolls_of(lining: Lining) -> tuple[tuple[Roll, ...], ...]:
    """The rolls of each coat."""
    return tuple(tuple(one.roll for one in lining.sequence if one.coat == coat.number) for coat in lining.coats)
