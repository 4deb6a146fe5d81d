"""Cores laid in courses, as bricks are: level layers of rows, all cores of a layer the same way round."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import edt
import numpy as np

from pourwright.cavity import Cavity, PourFrame, build_cavity
from pourwright.cores.rules import CoreRules, Laid
from pourwright.errors import CavityError
from pourwright.irons import Iron
from pourwright.progress import Progress, silent
from pourwright.shell import Skin
from pourwright.sources import Cited, Standing

IN = 128
"""Share of a cell, of 255, from which it counts as cavity: half."""
KNOWN_CELLS = 1.4
"""Cells that are taken off: from a cell's middle to its corner, and half a cell from a wall to the cell it
cuts: (1 + sqrt 3) / 2, rounded up."""
LEAST_CELLS = Cited(4.0, "-", Standing.JUDGEMENT, note="cells along the shortest edge of a core, to lay it by them")
MOST_CORES = Cited(500.0, "-", Standing.JUDGEMENT, note="cores beyond which nobody lays them one by one")


@dataclass(frozen=True, eq=False)
class Cells:
    """How the cavity is looked at, and what stands in it besides."""

    cell_m: float | None
    memory_bytes: int
    stray_void_m3: float | None
    irons: tuple[Iron, ...]


def laid_in(
    skin: Skin, frame: PourFrame, rules: CoreRules, cells: Cells, progress: Progress = silent
) -> tuple[Laid, ...]:
    """As many cores as fit in a skin, in courses (`laid`).

    Raises
    ------
    CavityError
        Not one fits.
    """
    cavity = build_cavity(
        skin, frame, cell_m=cells.cell_m, memory_bytes=cells.memory_bytes, stray_void_m3=cells.stray_void_m3,
        irons=cells.irons, progress=progress,
    )  # fmt: skip
    found = laid(cavity, rules)
    if not found:
        size = " x ".join(f"{1e3 * edge:.4g} mm" for edge in rules.size_m)
        raise CavityError(
            f"No core of {size} lies anywhere under {1e3 * rules.cover_m:.4g} mm of foam: give a smaller fill.size or "
            "fill.cover, or fill.style solid."
        )
    return found


def laid(cavity: Cavity, rules: CoreRules) -> tuple[Laid, ...]:
    """As many cores as fit in courses, with their cover and gaps; from the base up, from front to back, left to right.

    Cells far enough from anything but foam may be a core's. Of each height it is counted how many cores a course there
    holds: rows along the width or along the depth, at the best first row, each filled from one end, which is the most
    a row holds. The courses are then the heights whose sum is greatest, found exactly, for each of the three ways a
    core may lie. A pile that is not in courses, or not along width and depth, may hold more.

    Raises
    ------
    CavityError
        A core is too small for the cells, or more cores fit than anyone lays.
    """
    cell = cavity.grid.cell_m
    if min(rules.size_m) < LEAST_CELLS.value * cell * (1 - 1e-9):
        raise CavityError(
            f"The shortest edge of a core, {1e3 * min(rules.size_m):.4g} mm, is less than {LEAST_CELLS.value:.0f} "
            f"cells of {1e3 * cell:.4g} mm: give a larger fill.size or a smaller grid.cell."
        )
    sums = _sums(cavity, rules)
    gap = int(np.ceil(rules.gap_m / cell - 1e-9))
    best: list[_Course] = []
    for tall in sorted(set(rules.size_m)):
        flat = sorted(rules.size_m)
        flat.remove(tall)
        ways = sorted({(flat[0], flat[1], tall), (flat[1], flat[0], tall)})
        courses = [_course(sums, z, ways, cell, gap) for z in range(sums.shape[2] - 1)]
        pile = _pile(courses, _cells(tall, cell) + gap)
        if sum(len(one.at) for one in pile) > sum(len(one.at) for one in best):
            best = pile
    if sum(len(one.at) for one in best) > MOST_CORES.value:
        size = " x ".join(f"{1e3 * edge:.4g} mm" for edge in rules.size_m)
        raise CavityError(
            f"Of cores of {size} more than {MOST_CORES.value:.0f} fit in this piece, which nobody lays one by one: "
            "give a larger fill.size."
        )
    return _named(cavity, best)


def _sums(cavity: Cavity, rules: CoreRules) -> np.ndarray:
    """Cells that may be a core's before each corner of the grid, one more of them along each axis; 9 bytes a cell."""
    cell = cavity.grid.cell_m
    far = edt.edt(cavity.fraction >= IN, black_border=True)  # in cells
    free = far >= rules.cover_m / cell + KNOWN_CELLS
    del far
    sums = np.zeros(np.array(free.shape) + 1, np.int32 if free.size < np.iinfo(np.int32).max else np.int64)
    sums[1:, 1:, 1:] = free
    del free
    for axis in range(3):
        np.cumsum(sums, axis=axis, out=sums)
    return sums


@dataclass(frozen=True, eq=False)
class _Course:
    """Cores of one height: low cells (n, 3) of each, and what edges along width, depth and height they have."""

    at: tuple[tuple[int, int, int], ...]
    size_m: tuple[float, float, float]
    cells: tuple[int, int, int]


def _cells(size_m: float, cell_m: float) -> int:
    return int(np.ceil(size_m / cell_m - 1e-9))


def _course(sums: np.ndarray, z: int, ways: Sequence[tuple[float, float, float]], cell_m: float, gap: int) -> _Course:
    up = _cells(ways[0][2], cell_m)
    none = _Course((), ways[0], (0, 0, up))
    if z + up >= sums.shape[2]:
        return none
    layer = sums[:, :, z + up] - sums[:, :, z]
    best = none
    for size in ways:
        nx, ny = _cells(size[0], cell_m), _cells(size[1], cell_m)
        if nx >= layer.shape[0] or ny >= layer.shape[1]:
            continue
        full = layer[nx:, ny:] - layer[:-nx, ny:] - layer[nx:, :-ny] + layer[:-nx, :-ny] == nx * ny * up
        if not full.any():
            continue
        for spots in (_rows(full, nx + gap, ny + gap), [(x, y) for y, x in _rows(full.T, ny + gap, nx + gap)]):
            if len(spots) > len(best.at):
                best = _Course(tuple((x, y, z) for x, y in spots), size, (nx, ny, up))
    return best


def _rows(full: np.ndarray, along: int, apart: int) -> list[tuple[int, int]]:
    """Places (x, y) of the most cores in rows along x, of the best first row."""
    rows = [_row(full[:, y], along) for y in range(full.shape[1])]
    count = np.array([len(row) for row in rows])
    best: list[tuple[int, int]] = []
    for first in range(min(apart, len(rows))):
        if count[first::apart].sum() > len(best):
            best = [(x, y) for y in range(first, len(rows), apart) for x in rows[y]]
    return best


def _row(may: np.ndarray, along: int) -> list[int]:
    """Places from one end on, each as early as may be: the most that a row holds."""
    out, places, k = [], np.flatnonzero(may), 0
    while k < len(places):
        out.append(int(places[k]))
        k = int(np.searchsorted(places, places[k] + along))
    return out


def _pile(courses: list[_Course], apart: int) -> list[_Course]:
    """The courses, each so far above the one before, that hold most together."""
    n = len(courses)
    most = np.zeros(n + apart + 1, np.int64)
    for z in range(n - 1, -1, -1):
        most[z] = max(most[z + 1], len(courses[z].at) + most[z + apart])
    out, z = [], 0
    while z < n and most[z] > 0:
        if most[z] == most[z + 1]:
            z += 1
            continue
        out.append(courses[z])
        z += apart
    return out


def _named(cavity: Cavity, pile: list[_Course]) -> tuple[Laid, ...]:
    out, number = [], itertools.count(1)
    grid = cavity.grid
    for course, one in enumerate(pile, start=1):
        spare = 0.5 * (np.array(one.cells) * grid.cell_m - np.array(one.size_m))
        for at in sorted(one.at, key=lambda at: (at[1], at[0])):
            low = grid.origin_m + np.array(at) * grid.cell_m + spare
            high = low + np.array(one.size_m)
            low.setflags(write=False)
            high.setflags(write=False)
            out.append(Laid(f"core {next(number)}", course, low, high))
    return tuple(out)
