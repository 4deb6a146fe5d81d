"""What hangs on which anchor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.lifts import Check
from pourwright.outcome.silhouette import Silhouette
from pourwright.ranges import Range
from pourwright.sources import Cited


@dataclass(frozen=True, eq=False)
class AnchorLoad:
    """Load of the piece on one anchor, low and high over everything that is not known of its weight."""

    name: str
    place_m: np.ndarray  # (3,) from the left, from the front, up from the base of the hanging piece
    on_wall_m: np.ndarray  # (2,) to the right and up in the wall
    shear_n: Range
    shear_way: np.ndarray  # (2,) unit, nominal direction in the wall: right, up
    about_centroid_n: Range | None  # pull by the elastic pattern; negative: it is pushed; None: cannot be computed
    about_edge_n: Range | None  # pull with the lower edge bearing
    pull_n: Range | None  # the larger of the two and zero; None: nothing holds the top
    one_gone_shear_n: float  # high, with the worst other anchor gone; infinite where the piece does not hold
    one_gone_pull_n: float
    checks: tuple[Check, ...]


@dataclass(frozen=True, eq=False)
class OneGone:
    """What happens when one anchor fails."""

    name: str
    holds: bool
    worst: str  # anchor that then carries most
    shear_n: float  # high, of that anchor
    pull_n: float
    share: float  # its load over its load with all anchors, straight sum of shear and pull
    words: str


@dataclass(frozen=True, eq=False)
class HangResult:
    """The piece on its wall. Points in the axes of ``frame``: right, back, up as the reader faces the wall."""

    frame: PourFrame
    kg: Range
    weight_n: Range
    centre_m: np.ndarray  # (3,) nominal
    centre_low_m: np.ndarray
    centre_high_m: np.ndarray
    tilt_rad: float  # of the wall: positive leans back, negative overhangs
    wall_at_m: float  # distance of the wall along its normal (into the room) from the frame's origin
    standoff_m: float  # centre of mass off the wall, nominal
    pivot_m: float | None  # height in the wall of the lowest edge that bears on it
    bearing_n: Range | None  # push of that edge on the wall
    anchors: tuple[AnchorLoad, ...]
    one_gone: tuple[OneGone, ...]
    views: tuple[Silhouette, ...]
    factor: Cited | None
    holds: bool  # whether the anchors can balance the weight at all
    warnings: tuple[str, ...]
