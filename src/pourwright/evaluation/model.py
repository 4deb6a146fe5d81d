"""What is computed for a division in the real shape: each pour's heat and rise, the skin beside each lift.

What a division has by formulas stands in the division itself (`pourwright.lifts.Division`). Nothing here waits to be
filled: what was not computed, or could not be, has no entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from pourwright.lifts import Measures
from pourwright.ranges import Range

_UNKNOWN = Range(float("nan"), float("nan"), float("nan"))


@dataclass(frozen=True, eq=False)
class HeatHistory:
    """Temperatures of one pour from staged heat in three dimensions. Times from the start of the job.

    Ranges hold the likely rise as nominal and its 95 % ends as low and high. ``hot_s`` has a row for each
    threshold: the threshold [K] and how long the hottest point was above it, likely and at the 95 % end [s].
    """

    start_s: float
    peak_k: Range
    peak_s: float
    peak_point_m: np.ndarray  # (3,) shell axes
    peak_measures: Measures
    hot_s: tuple[tuple[float, float, float], ...]
    skin_k: Range  # hottest point of the skin along it; nan where it touches none
    skin_point_m: np.ndarray
    skin_measures: Measures
    face_k: float  # hottest point of what the next lift lands on when its wait is over; nan for the last lift
    core_k: float  # hottest core under the next lift then
    alone_s: float  # above caution on cold foam with nothing above, likely: no wait makes it less; nan not known
    wait_governed_by: str  # the rule that held out longest
    wait_met: bool
    closed_peak_k: float  # the formulas' answers, for comparison
    closed_wait_s: float
    later_k: Range = _UNKNOWN  # hottest core an hour after its peak
    top_k: Range = _UNKNOWN  # hottest its free top gets before it is covered; nan where it has none
    across_m: float = float("nan")  # width of the limb whose own solution gives the peak; nan: the heat cells do
    off_k: float = float("nan")  # how far the peak may be off by the heat cells, of the hottest pour; nan: not run


@dataclass(frozen=True, eq=False)
class RiseVoid:
    """Space that rising foam leaves empty."""

    volume_m3: float
    point_m: np.ndarray  # (3,) shell axes
    measures: Measures
    bottom_m: float
    top_m: float
    reason: str
    neck_m: float  # hydraulic diameter of the narrowest place on the way; nan for none
    neck_height_m: float
    node: int = -1  # of the level graph, the largest of it


@dataclass(frozen=True, slots=True)
class VentFlow:
    """What passes one vent during a pour."""

    name: str
    air_m3_s: float
    hole_needed_m: float
    back_pressure_pa: float
    foam_kg: float
    foam_from_s: float  # after the start of mixing; nan if none comes


@dataclass(frozen=True, eq=False)
class RiseHistory:
    """One pour rising along the level graph. Times from the start of its mixing; pressures gauge.

    Of a pour that closes, pressures, pace and front are those with all the gas of free rise and its holes shut as foam
    shows; what stays empty and what comes out are those with the gas that is left beside a dense skin.
    """

    peak_pa: float
    peak_s: float
    peak_point_m: np.ndarray  # (3,) shell axes
    peak_measures: Measures
    at_gel_pa: float
    gel_s: float
    fill_m3_s: float  # fastest growth of the foam
    void_m3: float  # all that is not filled
    voids: tuple[RiseVoid, ...]  # those that no later lift fills, larger than counts as filled
    below_m3: float  # what is short of its level; open above, so the next lift fills it and needs that much more
    above_kg: float  # foam that rose over its level elsewhere
    vents: tuple[VentFlow, ...]
    packing: float  # moulded density, foam over the whole space, over free-rise density
    packing_needed: float  # the least of it that leaves no void; nan where not asked or none does
    surplus_kg: float  # comes out of vents
    front_s: np.ndarray  # (n,) times
    front_m: np.ndarray  # (n,) its highest front above the base at these times
    closed_pressure_pa: float  # the formula's answer, for comparison


@dataclass(frozen=True, eq=False)
class Shore:
    """A shore to stand against the outside of the skin before a lift is poured."""

    name: str  # "S3.1": the first of lift 3
    point_m: np.ndarray  # (3,) middle of its pad, shell axes
    normal: np.ndarray  # (3,) out of the piece, shell axes: the shore pushes against it
    measures: Measures
    force_n: float  # what it holds
    pad_m: float  # radius of its pad; half the shorter side of a board
    board_m: tuple[float, float] | None = None  # a board over a whole flat side: its level and its other edge


@dataclass(frozen=True, eq=False)
class SkinBulge:
    """The skin under the pressure of one lift, by finite elements.

    ``verdict``: ``ok``, ``ok with shores``, ``over`` or ``unknown``. ``used`` is the larger share of the allowed bulge
    and of the allowed stress, without shores. ``propped_m`` and ``propped_pa`` are bulge and stress with them. Where
    ``beyond`` says why neither is computable they are nan, and ``used`` is the pressure over ``stands_pa``.
    """

    pressure_pa: float
    outward_m: float
    allowed_m: float
    point_m: np.ndarray  # (3,) where it is nearest to what is allowed, shell axes
    measures: Measures
    stress_pa: float
    stress_limit_pa: float
    used: float
    bulge_used: float  # the share of the allowed bulge alone, at ``point_m``
    stands_pa: float  # pressure at which the first of both limits is reached, without shores
    beyond: str  # why the pressure leaves no figure of bulge and stress; "": it does
    large: bool  # whether the stretch of the bulged skin was counted
    verdict: str
    shores: tuple[Shore, ...]
    propped_m: float
    propped_pa: float
    hold_down_n: float  # keeps the side on the ground flat, own weight counted in; 0: not needed
    thinner_m: float  # thickness of a lift that passes without shores; nan: none found or none needed
    words: str
    triangles: int
    closed_limit_pa: float  # what the formula says its weakest panel stands, for comparison; nan: not known
    closed_words: str


@dataclass(frozen=True, slots=True)
class ByFormulas:
    """No staged heat was computed."""


@dataclass(frozen=True, eq=False)
class Evaluation:
    """What was computed for a division: rises and heats by the name of the pour, bulges by the number of the lift.

    ``waits_s`` by the number of the lift: from its first mix to that of the next, or until it is cool; nan: not known.
    """

    rises: Mapping[str, RiseHistory] = field(default_factory=dict)
    heats: Mapping[str, HeatHistory] = field(default_factory=dict)
    bulges: Mapping[int, SkinBulge] = field(default_factory=dict)
    waits_s: Mapping[int, float] = field(default_factory=dict)
