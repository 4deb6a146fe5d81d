"""How many pours a way up takes and how long: an estimate for hundreds of directions, set by one evaluated in full.

Heat asks for cuts only where the piece would be too hot if it were poured all at once (`day.too_hot_at_once`). How high
that part stands is what differs between ways up; what a metre of it costs in pours and hours is taken from the job's
own way, evaluated in full. The rest is what hands ask for: the fewest pours, with the shortest waits.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import CoarseSweep


@dataclass(frozen=True, eq=False)
class Pace:
    """What sets pours and hours of a direction. Points in the shell file's axes, read-only."""

    gap_h: float  # from one band to the next
    hot_m: np.ndarray  # (k, 3) where cuts are asked for by heat
    cell_m: float  # of those spots
    pours_per_m: float = 0.0  # of hot height, beyond what hands ask for
    hours_per_m: float = 0.0

    def hot_height_m(self, up: np.ndarray) -> float:
        """Height of what is too hot when poured at once, gaps left out."""
        if not len(self.hot_m):
            return 0.0
        return self.cell_m * len(np.unique(np.floor(self.hot_m @ up / self.cell_m + 1e-9).astype(np.int64)))

    def pours(self, seen: CoarseSweep) -> int:
        """Pours of a direction: one a band, one a further pool, and those that heat asks for besides."""
        return _by_hands(seen) + round(self.pours_per_m * self.hot_height_m(seen.up))

    def hours(self, seen: CoarseSweep) -> float:
        """Hours to the last pour."""
        return self.gap_h * max(0, seen.lifts - 1) + self.hours_per_m * self.hot_height_m(seen.up)

    def set_by(self, seen: CoarseSweep, pours: int, hours: float) -> Pace:
        """The same, so that it gives the pours and hours that this direction was found to have."""
        height = self.hot_height_m(seen.up)
        if height > 0:
            return replace(
                self,
                pours_per_m=max(0.0, pours - _by_hands(seen)) / height,
                hours_per_m=max(0.0, hours - self.gap_h * max(0, seen.lifts - 1)) / height,
            )
        return replace(self, gap_h=hours / (seen.lifts - 1)) if seen.lifts > 1 else self


def _by_hands(seen: CoarseSweep) -> int:
    return seen.lifts + max(0, len(seen.pools) - 1)
