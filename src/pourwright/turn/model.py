"""Ways up and what each would ask of the shop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.shell import Skin
from pourwright.sources import Cited


@dataclass(frozen=True, eq=False)
class Way:
    """One way up; coarsely seen, pours and hours are estimates. In the shell file's axes; arrays read-only."""

    up: np.ndarray  # (3,) unit
    pours: int
    last_h: float  # from the first mix to the last pour
    pool_m: np.ndarray  # depths, deepest first; the eldest of each piece counts with the piece's height
    pool_at_m: np.ndarray  # (k, 3)
    pocket_m: np.ndarray
    pocket_at_m: np.ndarray  # (k, 3)
    vented: np.ndarray  # (k,) bool: the pocket ends at an opening that looks up, nothing is drilled
    close: tuple[str, ...]  # openings that do not look up and have to be closed
    peak_pa: float  # nominal, estimate
    height_m: float  # of the piece on the bench
    tip_rad: float  # lean at which it tips, empty or full, the less; not above 0: it falls
    cradle_m: float  # height a cradle has to hold it up to; 0 where it stands by itself
    more_vents: int  # to drill under level ceilings beyond one a pocket; coarsely seen 0
    blocks_rad: float  # so far tilted on blocks from a way on which it stands; 0 without
    hours: dict[str, float]  # work by its parts, see ``judged.TERMS``

    @property
    def work_h(self) -> float:
        """All work [h]."""
        return sum(self.hours.values())

    @property
    def drilled(self) -> int:
        """Vents to drill."""
        return int((~self.vented).sum()) + self.more_vents


@dataclass(frozen=True, eq=False)
class Confirmed:
    """A way up evaluated in full: the pours and times of a quick plan, on the cells of a plan."""

    way: Way  # with its coarse figures replaced by these
    coarse: Way
    cell_m: float
    volume_m3: float  # of the cavity on these cells
    lifts: int
    ports: int  # holes to drill for pouring
    vents: int  # holes to drill for air
    tilted: np.ndarray | None  # (3,) up at the smallest tilt that leads all air of level ceilings to one vent each
    kept: bool  # whether the time above the caution temperature is kept with its margins
    over: tuple[str, ...]  # limits that are exceeded, by formulas and the short search
    worst: float  # value over limit of the worst of those; 0 where none is
    unknown: tuple[str, ...]  # checks that could not be computed


@dataclass(frozen=True, eq=False)
class Symmetry:
    """What leaves the shell as it is. ``turns`` (k, 3, 3) the identity first; ``axis`` of a body of revolution."""

    turns: np.ndarray
    axis: np.ndarray | None
    words: str

    def fold(self, ups: np.ndarray) -> np.ndarray:
        """The one of all equal directions that stands for each of ``ups`` (n, 3)."""
        ups = np.atleast_2d(np.asarray(ups, float))
        if self.axis is not None:
            side = np.eye(3)[int(np.argmin(np.abs(self.axis)))]
            side = side - self.axis * (side @ self.axis)
            side = side / np.linalg.norm(side)
            along = ups @ self.axis
            ups = along[:, None] * self.axis + np.sqrt(np.maximum(0.0, 1.0 - along**2))[:, None] * side
        images = np.einsum("kij,nj->nki", self.turns, ups)
        key = np.round(images @ np.array([1.0, 0.31, 0.0917]), 9)  # any plane that no symmetry plane is near
        return images[np.arange(len(ups)), key.argmax(axis=1)]


@dataclass(frozen=True, eq=False)
class Turn:
    """The ranking. ``best`` is in full, best first; ``ways`` are all that were looked at, coarse, best first."""

    name: str
    place: str
    skin: Skin
    ways: tuple[Way, ...]
    best: tuple[Confirmed, ...]
    drawn: Confirmed  # as the job has it
    symmetry: Symmetry
    folded: int  # directions left out because another is equal
    cell_m: float  # of the coarse grid
    ripple_m: float
    rates: dict[str, Cited]  # what each part of the work counts
    why: tuple[str, ...]  # sentences
    warnings: tuple[str, ...]
