"""Foam along a plane strip as long as the way in a part: the same rise, without the shape."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourwright.cavity import LevelGraph
from pourwright.rise import Outlet, RisingFoam, Rooms, packing_to_fill

ROOMS = 40  # along the strip: twice as many change its packing by less than is tried for (our judgement)
MOST = 2.0  # packing that is tried (our judgement)
WITHIN = 0.01  # of the packing (our judgement)
HOLE_M = 0.1  # at its end: air passes freely


@dataclass(frozen=True, slots=True)
class StripFill:
    """What a strip asks for."""

    packing: float  # nan: foam gels on the way
    drop_pa: float  # between the highest pressures of its two ends


def strip_fill(foam: RisingFoam, length_m: float, gap_m: float) -> StripFill:
    """Least packing with which foam from one end of a strip reaches the other.

    Parameters
    ----------
    foam : RisingFoam
        With the gas that is left beside a dense skin: on the safe side for voids.
    length_m, gap_m : float
        Of a gap between plates.

    Returns
    -------
    StripFill
        It stands on end: the foam's own weight is in it, a few hundred pascals a metre.
    """
    need = packing_to_fill(
        Rooms(_strip(max(length_m, gap_m), gap_m), np.arange(ROOMS), np.ones(ROOMS), start_node=0),
        foam,
        outlets=(Outlet("end", ROOMS - 1, HOLE_M),),
        most=MOST,
        within=WITHIN,
    )
    peaks = need.result.node_peak_pa
    return StripFill(need.packing if need.reached else math.nan, float(max(peaks[0] - peaks[-1], 0.0)))


def _strip(length_m: float, gap_m: float) -> LevelGraph:
    """A gap a metre wide, standing on end, as a level graph."""
    step = length_m / ROOMS
    middle = (np.arange(ROOMS) + 0.5) * step
    even = np.ones(ROOMS)
    lower = np.arange(ROOMS - 1, dtype=np.int32)
    return LevelGraph(
        level_m=np.arange(ROOMS + 1) * step,
        node_level=np.arange(ROOMS, dtype=np.int32),
        node_volume_m3=even * gap_m * step,
        node_area_m2=even * gap_m,
        node_centroid_m=np.stack([0 * middle, 0 * middle, middle], axis=1),
        node_perimeter_m=even * 2.0,
        node_hydraulic_diameter_m=even * 2 * gap_m,
        node_width_m=even * gap_m,
        edge_lower=lower,
        edge_upper=lower + 1,
        edge_overlap_m2=np.full(ROOMS - 1, gap_m),
        label=np.zeros((1, 1, ROOMS), np.int32),
        pools=(),
        pockets=(),
        ripple_m=0.0,
    )
