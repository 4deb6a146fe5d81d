"""What a job says of how it is filled, and how a piece is turned; nothing heavy is loaded for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourwright.cores import CoreRules
from pourwright.ribs import RibRules
from pourwright.sources import Cited, Standing

REACH = Cited(0.7, "m", Standing.JUDGEMENT, note="an arm with a brush or roller lays foam so far in from a mouth")
HAND = Cited(0.15, "m", Standing.JUDGEMENT, note="clear across a mouth that an arm with a brush goes through")
STOPS_RAD = tuple(math.radians(one) for one in (90.0, 180.0, 270.0, 360.0))


@dataclass(frozen=True, slots=True)
class PartRules:
    """A part of the piece that is filled in its own way. SI, heights above the base of the piece as it is filled.

    Of parts that overlap the later one holds.
    """

    name: str
    thickness_m: float | None = None  # of its lining; None: filled solid
    low_m: float = 0.0
    high_m: float = math.inf
    limb: str | None = None  # of that limb of the cavity alone, by its name
    flattest: int = 0  # of so many of the flattest panels alone; 0: of all of the skin there

    @property
    def solid(self) -> bool:
        """Whether it is filled solid."""
        return self.thickness_m is None


@dataclass(frozen=True, slots=True)
class Rules:
    """What a job says of how it is filled. SI."""

    style: str = "solid"  # "solid" | "lining" | "core" | "ribs"
    thickness_m: float | None = None  # of a lining
    turning: str = "hand"  # "hand" | "frame" | "cradle"
    axis: tuple[float, float, float] | None = None  # of a frame or cradle, shell axes; None: level, left to right
    stops_rad: tuple[float, ...] = STOPS_RAD  # of a cradle, from the standing piece
    core: CoreRules | None = None  # of the style "core"
    least_m: float | None = (
        None  # of a lining: what it has to hold where it is thinnest; None: a share of its thickness
    )
    ribs: RibRules | None = None  # of the style "ribs"
    parts: tuple[PartRules, ...] = ()  # of a lining, what differs from the rest
    by: str = "turning"  # of a lining; or "spreading"
    positions: tuple[tuple[float, float, float], ...] = ()  # ways up for spreading, shell axes; empty: as it is filled
    reach_m: float | None = None  # of an arm that spreads; None: our judgement


@dataclass(frozen=True, slots=True)
class Turning:
    """How a piece is turned: our judgement, no published source."""

    seconds: float  # once round, with what leads up to it
    words: str


TURNINGS = {
    "hand": Turning(20.0, "by hand, rolled on a padded floor or over a bench, as many people as it needs"),
    "frame": Turning(12.0, "on a two-axis frame, about its two axes only"),
    "cradle": Turning(20.0, "in a cradle, about its one axis from stop to stop"),
}
