"""Mixtures by limb that are worth a look: what is narrow and long filled solid, the rest lined."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from pourwright.cavity import Limb, Limbs, Space
from pourwright.lining import PartRules, limb_span

NARROW = 0.5
"""A limb is narrow where the largest ball has less than so much of the radius of the piece's; our judgement."""
MOSTLY = 0.1
"""... at a height, where no more than so much of its plan lies in any larger ball; our judgement."""
LONG = 3.0
"""... and long from so many radii of its own largest ball on; our judgement."""
MEET = 1.5
"""Coats meet where half the width is no more than so many of a lining's thickness: solid by itself; our judgement."""
LEAST = 0.01
"""Of the cavity: less is not worth a filling of its own; our judgement."""
MOST_PARTS = 6
"""Parts of one mixture, the largest: more nobody wants to fill one by one. Our judgement."""
STEP_M = 0.005
"""Heights at which a limb is parted, rounded down to whole steps of this."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A narrow end of a limb, or all of it."""

    limb: str
    low_m: float  # above the base; 0: down to the limb's own end
    high_m: float  # inf: up to its own end
    half_m: float  # radius of its largest ball
    volume_m3: float

    @property
    def rules(self) -> PartRules:
        """The same filled solid."""
        from_, to = 1e3 * self.low_m, 1e3 * self.high_m
        where = f" from {from_:.0f} mm" if from_ > 0.0 else f" to {to:.0f} mm" if math.isfinite(to) else ""
        return PartRules(f"{self.limb}{where}", None, self.low_m, self.high_m, self.limb)


def narrow_stretches(space: Space, limbs: Limbs) -> tuple[Stretch, ...]:
    """Limbs that are narrow and long, and such ends of others, the largest of them, by the names of their limbs.

    Only ends: foam that is poured in the middle of a limb, between two hollows, has nothing to stand on.
    """
    import edt

    cavity, graph = space.cavity, space.graph
    nodes = np.arange(1, len(graph.node_level) + 1)
    depth = edt.edt(np.pad(cavity.fraction >= 128, 1))[1:-1, 1:-1, 1:-1] * cavity.grid.cell_m
    narrow = NARROW * float(depth.max())
    wide = (edt.edt(depth < narrow) * cavity.grid.cell_m <= narrow) & (graph.label > 0)  # in a ball that is not narrow
    ball = np.minimum(ndimage.maximum(depth, graph.label, nodes), narrow)
    counts = np.stack([ndimage.sum_labels(one, graph.label, nodes) for one in (wide, np.ones_like(wide))])
    out = [one for k, limb in enumerate(limbs.limbs) for one in _of_limb(space, limb, limbs.of_node == k, ball, counts)]
    whole = float(graph.node_volume_m3.sum())
    if math.fsum(one.volume_m3 for one in out) >= 0.9 * whole:
        return ()
    out = sorted((one for one in out if one.volume_m3 >= LEAST * whole), key=lambda one: (-one.volume_m3, one.limb))
    return tuple(sorted(out[:MOST_PARTS], key=lambda one: (one.limb, one.low_m)))


def _of_limb(space: Space, limb: Limb, mine: np.ndarray, ball: np.ndarray, counts: np.ndarray) -> list[Stretch]:
    level, volume = space.graph.node_level[mine], space.graph.node_volume_m3[mine]
    low, high = limb_span(space, limb)
    heights = space.graph.level_m
    widest = np.zeros(limb.top_level - limb.bottom_level)
    at = np.clip(level - limb.bottom_level, 0, len(widest) - 1)
    np.maximum.at(widest, at, ball[mine])
    wide, every = (np.bincount(at, one, len(widest)) for one in counts[:, mine])
    thin = wide < MOSTLY * every
    if thin.all():
        if limb.below and limb.above:
            return []
        half = float(widest.max())
        long = high - low >= LONG * half
        return [Stretch(limb.name, 0.0, math.inf, half, float(volume.sum()))] if long else []
    out = []
    below, above = int(np.argmin(thin)), int(np.argmin(thin[::-1]))
    if below and not limb.below:
        end = _down(float(heights[limb.bottom_level + below]))
        half = float(widest[:below].max())
        if end - low >= LONG * half:
            kept = level < limb.bottom_level + below
            out.append(Stretch(limb.name, 0.0, end, half, float(volume[kept].sum())))
    if above and not limb.above:
        start = _down(float(heights[limb.top_level - above])) + STEP_M
        half = float(widest[-above:].max())
        if high - start >= LONG * half:
            kept = level >= limb.top_level - above
            out.append(Stretch(limb.name, start, math.inf, half, float(volume[kept].sum())))
    return out


def _down(height_m: float) -> float:
    return round(math.floor(height_m / STEP_M + 1e-9) * STEP_M, 6)


def mixed_thicknesses(thick_m: list[float], stretches: tuple[Stretch, ...], count: int = 2) -> list[float]:
    """The thickest linings, so many, with which the widest of these stretches would not be solid by itself.

    >>> mixed_thicknesses([0.01, 0.02, 0.03, 0.05], (Stretch("L1", 0.0, math.inf, 0.06, 0.01),))
    [0.02, 0.03]
    """
    half = max((one.half_m for one in stretches), default=0.0)
    return [one for one in thick_m if MEET * one < half][-count:]
