"""What hangs on which anchor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity import PourFrame
from pourwright.findings import Finding
from pourwright.lifts import Check
from pourwright.outcome import LikelyHang, Silhouette
from pourwright.ranges import Range
from pourwright.sources import Cited


@dataclass(frozen=True, eq=False)
class AnchorLoad:
    """Load of the piece on one anchor with all anchors there, low and high over all that is not known of its weight."""

    name: str
    gap_m: float  # from the wall to the skin along the rod
    arm_m: float  # from the wall to the foam
    foam_depth_m: float  # of foam along the rod: the longest insert that fits
    edge_m: float  # from the rod sideways to the outside of the piece, half way along the insert or the foam
    neighbour_m: float  # to the nearest other anchor; infinite: none
    opening: bool  # the rod goes in through an opening
    place_m: np.ndarray  # (3,) from the left, from the front, up from the base of the hanging piece
    on_wall_m: np.ndarray  # (2,) to the right and up in the wall
    shear_n: Range
    shear_way: np.ndarray  # (2,) unit, nominal direction in the wall: right, up
    alone_n: Range | None  # pull where nothing bears on the wall; negative: pushed; None: these anchors cannot
    backed_n: Range | None  # pull where the back bears on the wall; None: nothing can bear, or it would not do
    pull_n: Range | None  # the larger of the two and zero; None: nothing keeps the piece from turning out
    push_n: float  # greatest push towards the wall, where nothing bears; 0: never pushed
    most_shear_n: float  # greatest over every combination of loads, with all anchors there
    most_pull_n: float
    most_push_n: float
    one_gone_shear_n: float  # the same with the worst other anchor gone; infinite where the piece does not stay
    one_gone_pull_n: float
    checks: tuple[Check, ...]  # with all anchors, then with the worst one gone


@dataclass(frozen=True, eq=False)
class CaseForce:
    """A force on the piece in one load case, in the axes of the wall: to the right, up in it, out of it."""

    name: str
    at_m: np.ndarray  # (3,) from the left, up in the wall from the base, off the wall
    force_n: np.ndarray  # (3,)


@dataclass(frozen=True, eq=False)
class LoadCase:
    """One state in balance by itself: ``forces`` and ``reactions`` sum to nothing, and so do their moments.

    ``impossible`` says why this state cannot be; ``reactions`` are then empty. ``weights`` says which corner of the
    weights this is: the one that uses most of a limit, or loads an anchor most where no limit is known.
    """

    name: str
    combination: str  # of loads; empty: the weight alone
    gone: str  # the anchor that has failed; empty: none
    bears: bool  # whether the back may bear on the wall
    kg: float
    forces: tuple[CaseForce, ...]  # loads
    moment: np.ndarray  # (3,) [N m] of the loads about the origin of the axes of the wall
    reactions: tuple[CaseForce, ...]  # of the anchors, and of the wall where it bears
    utilisation: float  # greatest value over limit in this case; nan where nothing is checked against a limit
    worst: str  # the check behind it
    impossible: str


@dataclass(frozen=True, eq=False)
class OneGone:
    """What happens when one anchor fails."""

    name: str
    stays: bool  # whether the rest can balance the piece where it is
    worst: str  # anchor that then carries most
    shear_n: float  # high, of that anchor
    pull_n: float
    share: float  # most that its load grows by, one way of holding at a time; nan where no way is possible in both
    words: str


@dataclass(frozen=True, eq=False)
class CombinedUse:
    """One combination of loads and how much of a limit it uses."""

    name: str  # "weight alone", or the job's
    loads: tuple[tuple[str, float], ...]  # greatest force of each, with its factor [N]
    reference: str
    utilisation: float  # greatest share of a limit, with all anchors or any one gone; nan: nothing known
    worst: str  # the check behind it, and without which anchor
    stays: bool  # with all anchors and with any one gone


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
    bearing_n: Range | None  # push of the wall on the back
    anchors: tuple[AnchorLoad, ...]
    one_gone: tuple[OneGone, ...]  # under its weight alone
    lost: tuple[str, ...]  # combinations, with all anchors or one gone, in which the piece does not stay
    combinations: tuple[CombinedUse, ...]
    cases: tuple[LoadCase, ...]
    governing: str  # name of the case that uses most of a limit; empty where nothing is checked against one
    utilisation: float  # of that case; nan
    views: tuple[Silhouette, ...]
    factor: Cited | None
    likely: LikelyHang  # beside the worst case, which is what is judged
    in_balance: bool  # whether all anchors together can balance the weight at all
    warnings: tuple[Finding, ...]
