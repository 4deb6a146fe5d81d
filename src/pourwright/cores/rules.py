"""What a job says of cores, what is known of them, and a core as it lies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.ranges import Range
from pourwright.sources import Cited, Standing

BALLS_PACK = Cited(
    0.64, "-", Standing.PUBLISHED, source="J. G. Berryman, Physical Review A 27 (1983) 1053-1061", locator="abstract",
    spread=0.03, note="share of its room that a heap of equal balls fills, shaken down; 0.64 +- 0.02",
)  # fmt: skip
BALLS_POURED = Cited(0.60, "-", Standing.MEMORY, note="the same of balls that are only poured in")
EPS_LIMIT = Cited(
    343.15, "K", Standing.MEMORY, note="expanded polystyrene softens: suppliers print 70 to 85 degC; the low end"
)
COVER = Cited(0.05, "m", Standing.JUDGEMENT, note="of foam between a core and the skin, a mouth or a thing inside")
GAP = Cited(0.03, "m", Standing.JUDGEMENT, note="of foam between two cores, wide enough for it to rise through")
DENSITY_SPREAD = Cited(0.10, "-", Standing.JUDGEMENT, note="of a block's, or of the balls' own density, bale to bale")


@dataclass(frozen=True, slots=True)
class CoreRules:
    """Blocks, or bags of balls in the shape of blocks. SI."""

    kind: str  # "blocks" | "bags"
    size_m: tuple[float, float, float]  # edges, in any order
    density_kg_m3: float  # of a block, or of the balls by themselves
    limit_k: float  # its surface may get so hot
    cover_m: float  # least foam between a core and the skin, a mouth or a thing inside
    gap_m: float  # foam between two cores
    limit_by: Standing = Standing.JOB  # where the limit comes from
    assumed: tuple[str, ...] = ()  # what the job leaves out, and what it is taken as

    @property
    def volume_m3(self) -> float:
        """Of one."""
        return math.prod(self.size_m)

    @property
    def across_m(self) -> float:
        """Diagonal of the smallest end of one.

        >>> CoreRules("blocks", (0.3, 0.6, 0.4), 20.0, 343.15, 0.05, 0.02).across_m
        0.5
        """
        return math.hypot(*sorted(self.size_m)[:2])

    @property
    def kg(self) -> Range:
        """Of one; bags between poured and shaken down.

        >>> round(CoreRules("blocks", (0.5, 0.4, 0.1), 20.0, 343.15, 0.05, 0.02).kg.nominal, 6)
        0.4
        """
        solid = Range.about(self.density_kg_m3 * self.volume_m3, DENSITY_SPREAD.value)
        if self.kind != "bags":
            return solid
        low, high = BALLS_POURED.value, BALLS_PACK.value
        return Range(low * solid.low, 0.5 * (low + high) * solid.nominal, high * solid.high)


@dataclass(frozen=True, eq=False)
class Laid:
    """One core as it lies, its edges along width, depth and height of the standing piece. Standing axes."""

    name: str
    course: int  # from 1, at the base
    low_m: np.ndarray  # (3,) corner nearest left, front and base
    high_m: np.ndarray  # (3,)


def passes(size_m: tuple[float, float, float], clear_m: float) -> bool:
    """Whether a core goes end first through a hole that lets in ends of its shape so far across, as a round one does.

    >>> passes((0.3, 0.4, 0.6), 0.5), passes((0.3, 0.4, 0.6), 0.49)
    (True, False)
    """
    a, b, _ = sorted(size_m)
    return math.hypot(a, b) <= clear_m + 1e-9
