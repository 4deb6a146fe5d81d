"""How far the inside of a mended mesh can be trusted, as a volume."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pourwright.shell.columns import wrapped_volumes
from pourwright.shell.rims import Closure
from pourwright.shell.survey import Survey
from pourwright.shell.topology import cone_volumes

NOTHING = 1e-6
"""Share of the volume under which overlapping or inverted parts are rounding."""
HOLE_BULGE = 0.25
"""A hole that was closed flat may have bulged by this share of its span (a half ball would by 0.5): our judgement."""
REFUSED = 0.10
"""Share of the enclosed volume that may be in doubt."""


@dataclass(frozen=True, eq=False)
class Doubt:
    """Volumes [m3] that a surface wraps more than once or the wrong way, and what is in doubt in all."""

    clean: bool
    enclosed_m3: float  # inside the outside face, each spot once
    again_m3: float
    again_at: np.ndarray  # (3,) its middle
    inverted_m3: float
    inverted_at: np.ndarray
    doubt_m3: float

    @property
    def trust(self) -> float:
        """Share of the enclosed volume that is certain."""
        return float(np.clip(1.0 - self.doubt_m3 / self.enclosed_m3, 0.0, 1.0)) if self.enclosed_m3 > 0 else 0.0


def doubt_of(s: Survey, faces: np.ndarray, mouths: Iterable[Closure], dropped_m3: float) -> Doubt:
    """Doubt about a survey.

    A closed surface encloses the sum of its signed cones; where it overlaps itself that counts a spot twice, where it
    is inside out it counts it negative. Both parts are measured along lines through the piece, so that each spot
    counts once: V = V_signed - V_again + V_inverted.

    Parameters
    ----------
    s : Survey
    faces : (m, 3) ndarray
        The outside face, closed, without the voids.
    mouths : iterable of Closure
        Caps over openings.
    dropped_m3 : float
        Volume of inner bodies that were left out.
    """
    signed = float(cone_volumes(s.vertices, faces).sum())
    _, again, inverted, again_at, inverted_at = wrapped_volumes(s.vertices, faces)
    again = again if again > NOTHING * abs(signed) else 0.0
    inverted = inverted if inverted > NOTHING * abs(signed) else 0.0
    enclosed = signed - again + inverted
    holes = sum(c.area * HOLE_BULGE * max(loop.span for loop in c.loops) for c in s.holes)
    rims = sum(c.area * max(loop.wavy for loop in c.loops) for c in mouths)
    total = holes + rims + inverted + dropped_m3
    clean = not (again or inverted or s.stray or len(s.mended.one_sided) or s.overlaps)
    return Doubt(bool(clean), float(enclosed), again, again_at, inverted, inverted_at, float(total))
