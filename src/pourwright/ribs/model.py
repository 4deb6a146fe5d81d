"""A piece with ribs."""

from __future__ import annotations

from dataclasses import dataclass

from pourwright.ribs.dams import Dam
from pourwright.ribs.hollows import Hollow, WayIn
from pourwright.ribs.rules import RibRules


@dataclass(frozen=True, eq=False)
class Ribbed:
    """Ribs of a piece: their dams, ways in, and what stays hollow."""

    rules: RibRules
    dams: tuple[Dam, ...]  # from the lowest up
    ways_in: tuple[WayIn, ...]
    hollows: tuple[Hollow, ...]  # largest first
    foam_m3: float
    hollow_m3: float
    coverage: float  # share of the outside that has foam behind it
