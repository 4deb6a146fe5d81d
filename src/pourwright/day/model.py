"""What a day is made of: pours cut from limbs, when each starts, and what the search was allowed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Stretch:
    """What one pour fills: slabs ``low <= i < high`` of one limb."""

    limb: int
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Work:
    """What hands and cups allow. SI."""

    hands: int
    mix_s: float
    between_s: float  # from the end of one mix to the start of the next of the same person
    pour_rate_m3_s: float  # liquid
    batch_m3: float  # liquid of one mix
    liquid_share: float  # liquid per volume of foam
    shortest_wait_s: float  # from the start of a pour to the start of what is poured on it
    price_s: float  # what a pour more is worth: setting up, mixing, cleaning

    def mixes(self, foam_m3: float) -> int:
        """Mixes that a pour takes."""
        return max(1, int(np.ceil(foam_m3 * self.liquid_share / self.batch_m3 - 1e-9)))

    def busy_s(self, foam_m3: float) -> float:
        """How long one person is busy with a pour, and with making ready for the next."""
        mixes = self.mixes(foam_m3)
        return mixes * (self.mix_s + self.between_s) + foam_m3 * self.liquid_share / self.pour_rate_m3_s


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a day has to keep."""

    dose_h: float  # hours that any point may spend above the caution temperature, whole job
    share: float = 0.8  # of it that is planned with
    short_s: float = 300.0  # with every wait so much shorter the whole dose is still kept
    high_h: float = np.inf  # the same at the high end of the rise, with what margin it shall have taken off
    peak_k: float = np.inf  # hottest that any point may get, at the likely rise
    face_k: float = np.inf  # hottest face that a pour may land on


@dataclass(frozen=True, eq=False)
class Dose:
    """Hours above the limit and peak [K] of the hottest cell of every slab; ``high_h`` at the high end of the rise.

    ``face_k`` is the hottest face that the pour of a slab lands on, where it lands on one.
    """

    hours: np.ndarray
    peak_k: np.ndarray
    high_h: np.ndarray | None = None  # None: the rise has no high end of its own
    face_k: np.ndarray | None = None  # None: not followed
    effort: float = 1.0  # what it took to follow, in common marches (`body.COMMON_STEPS`)

    @property
    def worst_h(self) -> float:
        """Hours of the worst cell of the piece."""
        return float(self.hours.max(initial=0.0))


@dataclass(frozen=True, slots=True)
class Hinder:
    """Where a day uses most of what heat is allowed, and how much of it."""

    limb: str
    low_m: float  # of the pour, above the base
    high_m: float
    used: float  # times what may be used

    @property
    def words(self) -> str:
        """It in a sentence."""
        return (
            f"No division was found that keeps the limits of heat: limb {self.limb}, between {self.low_m:.2f} m and "
            f"{self.high_m:.2f} m, uses {self.used:.2f} times what may be used of them."
        )


@dataclass(frozen=True, eq=False)
class Day:
    """Pours in the order they are started. Arrays read-only."""

    stretches: tuple[Stretch, ...]
    start_s: np.ndarray  # (pours,) from the start of the first mix
    dose_h: np.ndarray  # (pours,) of the worst cell of each
    high_h: float  # of the worst cell at the high rise, with the same starts
    slab_start_s: np.ndarray  # (slabs,)
    keeps: bool  # whether the dose with its margins is kept
    foam_kg: float  # of all pours, with the dense layers between them
    tried: int  # marches that it took to find

    @property
    def hours(self) -> float:
        """From the first start to the last."""
        return float(self.start_s.max()) / 3600.0

    @property
    def worst_h(self) -> float:
        """Dose of the worst point."""
        return float(self.dose_h.max())
