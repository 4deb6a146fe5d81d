"""What a job says of how it is filled, and how a piece is turned; nothing heavy is loaded for it."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rules:
    """What a job says of how it is filled. SI."""

    style: str = "solid"  # "solid" | "lining"
    thickness_m: float | None = None  # of a lining
    turning: str = "hand"  # "hand" | "frame" | "cradle"


@dataclass(frozen=True, slots=True)
class Turning:
    """How a piece is turned: our judgement, no published source."""

    tip_rad: float  # tipped so far from a position, then rolled once round
    seconds: float  # that takes
    words: str


TURNINGS = {
    "hand": Turning(math.radians(90.0), 20.0, "by hand, on a padded floor or over a bench, as many people as it needs"),
    "frame": Turning(math.radians(90.0), 12.0, "on a two-axis frame"),
    "cradle": Turning(math.radians(45.0), 20.0, "in a cradle with stops"),
}
