"""The cavity as cells, and the level graph that answers every question the planner asks of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pourwright.cavity.frame import PourFrame
from pourwright.irons import Iron, Taken


@dataclass(frozen=True, eq=False)
class Grid:
    """Equal cubic cells in standing coordinates; ``origin_m`` is the low corner of cell (0, 0, 0)."""

    origin_m: np.ndarray  # (3,)
    cell_m: float
    shape: tuple[int, int, int]  # nx, ny, nz

    def centres(self, index: np.ndarray) -> np.ndarray:
        """Centres (..., 3) in standing metres of cells given by integer indices (..., 3)."""
        return self.origin_m + (np.asarray(index) + 0.5) * self.cell_m


@dataclass(frozen=True, eq=False)
class Spared:
    """What stays hollow behind the wall of a piece whose foam does not fill all of it. Standing metres."""

    volume_m3: float
    volume_low_m3: float  # with the wall at its thickest, cells counted in
    volume_high_m3: float
    first_m4: np.ndarray  # (3,) sum of place over it
    second_m5: np.ndarray  # (3, 3) sum of place by place


@dataclass(frozen=True, eq=False)
class Cavity:
    """The space the foam will fill. Arrays read-only.

    ``fraction`` (nx, ny, nz) uint8: filled share of each cell, 255 = full. A cell of at least 128 is *in* the
    cavity (that is what is connected and labelled); the volume of a thinner one counts with the nearest piece.
    ``volume_m3`` is the sum of the shares after stray voids were dropped.
    """

    grid: Grid
    frame: PourFrame
    fraction: np.ndarray
    volume_m3: float
    volume_low_m3: float  # cell error and the spread of the wall thickness taken together
    volume_high_m3: float
    stray_voids: int  # loose pieces that were dropped ...
    stray_voids_m3: float  # ... and what they held
    stray_void_limit_m3: float
    method: str  # how occupancy and distance were found, for the record
    doubt_m3: float = 0.0  # of a dirty mesh: cells whose side is not certain; in low and high already
    irons: tuple[Iron, ...] = ()  # what stands in it before the first pour ...
    taken: tuple[Taken, ...] = ()  # ... and what each takes out of it; the volume is without
    spared: Spared | None = None  # room behind the wall that is not to be filled: ``fraction`` is without; None: none

    @property
    def volume_uncertainty_m3(self) -> float:
        """Half of the width between low and high."""
        return 0.5 * (self.volume_high_m3 - self.volume_low_m3)

    @property
    def taken_m3(self) -> float:
        """Volume of things inside and of what stays hollow, which is neither foam nor wall."""
        return sum(one.volume_m3 for one in self.taken) + (0.0 if self.spared is None else self.spared.volume_m3)

    @property
    def room_low_m3(self) -> float:
        """What foam and hollow take together, at its lowest; ``room_high_m3`` at its highest, from ``taken_m3`` up."""
        return self.volume_low_m3 - (0.0 if self.spared is None else self.spared.volume_m3 - self.spared.volume_low_m3)

    @property
    def room_high_m3(self) -> float:
        """See ``room_low_m3``."""
        return self.volume_high_m3 + (
            0.0 if self.spared is None else self.spared.volume_high_m3 - self.spared.volume_m3
        )


@dataclass(frozen=True, eq=False)
class Extremum:
    """A pool (nothing below) or a pocket (nothing above) of the cavity in the pour direction."""

    kind: str  # "pool" | "pocket"
    node: int  # node at its bottom (pool) or top (pocket)
    level: int
    merge_level: int  # first level at which it is part of a lower pool / higher pocket; its piece's far end if never
    merge_node: int  # that node
    persistence_m: float  # height between the two; for the lowest pool of a piece, the height of the piece
    essential: bool  # True for the lowest pool / highest pocket of its connected piece
    point_standing_m: np.ndarray  # (3,) lowest / highest point
    point_m: np.ndarray  # (3,) the same in the shell file's axes


@dataclass(frozen=True, eq=False)
class LevelGraph:
    """Connected pieces (6-neighbour) of the cavity in equal levels one cell high, joined where they touch.

    Nodes are ordered by level. ``label`` (nx, ny, nz) int32 holds node index + 1, 0 outside, and also covers the
    partly filled cells that count with a node. Edges join nodes of neighbouring levels that share at least a face.
    Node volumes sum to the cavity's volume within 1e-9 of it. All points standing, metres. Arrays read-only.
    """

    level_m: np.ndarray  # (levels + 1,) heights of the cuts above the base
    node_level: np.ndarray  # (n,) int32
    node_volume_m3: np.ndarray  # (n,)
    node_area_m2: np.ndarray  # (n,) volume / cell
    node_centroid_m: np.ndarray  # (n, 3)
    node_perimeter_m: np.ndarray  # (n,) length of its outline (boundary faces, corrected for the staircase)
    node_hydraulic_diameter_m: np.ndarray  # (n,) 4 A / P
    node_width_m: np.ndarray  # (n,) twice the largest in-level distance to its outline
    edge_lower: np.ndarray  # (e,) node below
    edge_upper: np.ndarray  # (e,) node above
    edge_overlap_m2: np.ndarray  # (e,) area of contact
    label: np.ndarray
    pools: tuple[Extremum, ...]  # longest persistence first, those above the threshold
    pockets: tuple[Extremum, ...]
    ripple_m: float  # the threshold below which a pool or pocket folds away

    @property
    def levels(self) -> int:
        """Number of levels."""
        return len(self.level_m) - 1

    @cached_property
    def node_span(self) -> np.ndarray:
        """First and one past the last cell of each node along x, and along y (n, 4)."""
        from pourwright.cavity._pieces import spans_of  # loops: answers to a made plan have no use for them

        return spans_of(self.label, len(self.node_level))
