"""Pictures' worth of a computation: how hot a job is, seen from one side, when each pour comes and when it peaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.heat._march import March
from pourwright.heat.grid import HeatGrid

FRONT, RIGHT = 1, 0
"""Axis that is looked along: from the front (left to right is along x), or from the right (along y)."""
LATER_S = (3600.0, 14_400.0, 57_600.0)
"""After the last pour the job is looked at again while it cools."""
BETTER = 1.1
"""From the right only where that shows so much more of the piece."""


@dataclass(frozen=True, eq=False)
class Moment:
    """The hottest foam behind each spot at one time. Arrays read-only."""

    time_s: float
    hottest_k: np.ndarray  # (across, up) float32; nan where no foam is in yet
    poured: tuple[int, ...]  # numbers of the pours that come just then
    peaked: tuple[int, ...]  # numbers of the pours whose core is hottest then; neither: it cools


@dataclass(frozen=True, eq=False)
class Moments:
    """The moments of a job in order of time, at most two for each pour and `LATER_S` after the last."""

    axis: int  # looked along: `FRONT` or `RIGHT`
    origin_m: tuple[float, float]  # low corner, across and up, standing
    cell_m: float
    filled: np.ndarray  # (across, up) bool: foam in the end
    moments: tuple[Moment, ...]


class Watcher:
    """Looks at a march after each of its steps; keeps two fields for each pour at most, and a few while it cools."""

    def __init__(self, grid: HeatGrid):
        self.grid = grid
        seen = [np.count_nonzero((grid.pour >= 0).any(axis=axis)) for axis in (RIGHT, FRONT)]
        self.axis = RIGHT if seen[RIGHT] > BETTER * seen[FRONT] else FRONT
        self.filled = np.asarray((grid.pour >= 0).any(axis=self.axis))
        self.filled.setflags(write=False)
        self._spot: np.ndarray | None = None  # (n,) of each packed cell in the picture
        self._came: list[tuple[float, np.ndarray, tuple[int, ...]]] = []
        self._best: dict[int, float] = {}
        self._peak: dict[int, tuple[float, np.ndarray]] = {}
        self._later: list[tuple[float, np.ndarray]] = []  # after the last pour that has come

    def started(self, march: March, count: int) -> None:
        """Pours have just come."""
        fresh = tuple(range(march.active - count, march.active))
        self._came.append((march.time, self._hottest(march), fresh))
        self._later.clear()

    def stepped(self, march: March) -> None:
        """A step is done."""
        core = march.rows[-1][0, : march.active]
        hotter = [p for p in range(march.active) if core[p] > self._best.get(p, -np.inf)]
        if hotter:
            field = self._hottest(march)
            for p in hotter:
                self._best[p], self._peak[p] = float(core[p]), (march.time, field)
        if len(self._later) < len(LATER_S) and march.time >= march.last_start + LATER_S[len(self._later)]:
            self._later.append((march.time, self._hottest(march)))

    def moments(self) -> Moments:
        """All that was kept."""
        fields: dict[float, np.ndarray] = {}
        came: dict[float, list[int]] = {}
        peaked: dict[float, list[int]] = {}
        fields.update(self._later)
        for p, (time, field) in sorted(self._peak.items()):
            fields[time] = field
            peaked.setdefault(time, []).append(p)
        for time, field, fresh in self._came:  # after what peaks at the same time: with the new foam in
            fields[time] = field
            came.setdefault(time, []).extend(fresh)
        for field in fields.values():
            field.setflags(write=False)
        grid, across = self.grid, 1 - self.axis
        return Moments(
            self.axis,
            (float(grid.origin_m[across]), float(grid.origin_m[2])),
            grid.cell_m,
            self.filled,
            tuple(
                Moment(time, fields[time], tuple(came.get(time, ())), tuple(peaked.get(time, ())))
                for time in sorted(fields)
            ),
        )

    def _hottest(self, march: March) -> np.ndarray:
        if self._spot is None:
            index = np.unravel_index(march.net.flat, self.grid.shape)
            self._spot = np.ravel_multi_index((index[1 - self.axis], index[2]), self.filled.shape)
        count = int(march.net.pour_cells[march.active])
        out = np.full(self.filled.size, -np.inf)
        np.maximum.at(out, self._spot[:count], march.now[:count])
        out[np.isneginf(out)] = np.nan
        return out.reshape(self.filled.shape).astype(np.float32)
