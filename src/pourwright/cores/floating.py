"""How hard a core floats while the foam round it is liquid and rises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.physics.buoyancy import rising_uplift_n
from pourwright.sources import Cited, Standing

HELD_FROM = Cited(
    0.03,
    "m",
    Standing.JUDGEMENT,
    note="a core that sits so deep in set foam is held by it; the bond there is not known",
)


@dataclass(frozen=True, eq=False)
class Rising:
    """One pour as its foam rises: levels and the room under each. Standing heights."""

    kg: float
    liquid_kg_m3: float  # before it rises
    bottom_m: float
    level_m: np.ndarray  # (n,) tops of its levels, rising
    under_m3: np.ndarray  # (n,) its room under each

    def density_kg_m3(self) -> np.ndarray:
        """Of all of it (n,) when its top stands at each level; no more than that of its liquids."""
        return np.asarray(np.minimum(self.kg / self.under_m3, self.liquid_kg_m3))


def most_uplift_n(pour: Rising, low_m: float, high_m: float, area_m2: float, kg: float) -> float:
    """The most that a core of upright sides is pushed up with, its own weight taken off [N]; 0 where it does not float.

    Every height of the foam's top is looked at. A core whose bottom sits in foam that has set before, as deep as
    `HELD_FROM` at least, is held by it: 0. One that sits less deep may come loose, and liquid get under it.
    """
    if low_m <= pour.bottom_m - HELD_FROM.value + 1e-9:
        return 0.0
    deep = np.clip(np.minimum(pour.level_m, high_m) - max(low_m, pour.bottom_m), 0.0, None)
    push = rising_uplift_n(pour.density_kg_m3(), area_m2 * deep, kg)
    return max(0.0, float(push.max(initial=0.0)))
