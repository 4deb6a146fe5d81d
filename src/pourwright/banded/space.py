"""The space that the ribs of a piece take, and what of the piece stays hollow."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourwright.cavity import Cavity, LevelGraph, Space, Spared, build_cavity, build_levels
from pourwright.cores import Cells
from pourwright.errors import CavityError
from pourwright.outcome import cavity_moments
from pourwright.progress import Progress, silent
from pourwright.ribs import RibRules, Ribs, ribs_of
from pourwright.shell import Skin

OFF_MIDDLE = 1e-3
"""Of a cell: a plane so near the middles of cells is moved by twice that, a hundredth of a millimetre."""


@dataclass(frozen=True, eq=False, kw_only=True)
class RibSpace(Space):
    """What the ribs of a piece take: its skin ends at their cuts, its cavity knows what stays hollow."""

    whole: Space
    ribs: Ribs


def whole_skin(space: Space) -> Skin:
    """The skin of the piece itself."""
    return space.whole.skin if isinstance(space, RibSpace) else space.skin


def space_of_ribs(rules: RibRules, whole: Space, cells: Cells, progress: Progress = silent) -> RibSpace:
    """The ribs of a piece as a space of their own, on the same cells.

    Raises
    ------
    CavityError
        As `ribs_of`; or a band holds less than a cell.
    """
    cell = whole.cavity.grid.cell_m
    for low, high in rules.bands_m:
        if high - low < 4.0 * cell:
            raise CavityError(
                f"The band from {1e3 * low:.4g} mm to {1e3 * high:.4g} mm is thinner than four cells of "
                f"{1e3 * cell:.4g} mm: give a smaller grid.cell or thicker fill.bands."
            )
    found = ribs_of(whole.skin, whole.frame, replace(rules, bands_m=_off_middles(rules.bands_m, whole.cavity)))
    cavity = build_cavity(
        found.skin, whole.frame, cell_m=cell, memory_bytes=cells.memory_bytes, stray_void_m3=cells.stray_void_m3,
        irons=cells.irons, progress=progress,
    )  # fmt: skip
    graph = build_levels(cavity, ripple_m=whole.graph.ripple_m, progress=progress)
    cavity = replace(cavity, spared=_spared(whole, cavity, graph), taken=whole.cavity.taken)
    return RibSpace(found.skin, cavity, graph, whole.panels, whole.set_in, whole=whole, ribs=found)


def _off_middles(bands_m: tuple[tuple[float, float], ...], cavity: Cavity) -> tuple[tuple[float, float], ...]:
    """The bands with no plane in the middles of cells, where a cell would be on both sides of it."""
    cell, base = cavity.grid.cell_m, float(cavity.grid.origin_m[2])

    def off(height: float) -> float:
        middle = abs((height - base) / cell % 1.0 - 0.5) < OFF_MIDDLE
        return height + 2.0 * OFF_MIDDLE * cell if middle else height

    return tuple((off(low), off(high)) for low, high in bands_m)


def _spared(whole: Space, cavity: Cavity, graph: LevelGraph) -> Spared:
    all_of, own = cavity_moments(whole.cavity, whole.graph), cavity_moments(cavity, graph)
    volume = max(whole.cavity.volume_m3 - cavity.volume_m3, 0.0)
    every = whole.cavity
    smaller = (every.volume_m3 - every.volume_low_m3) - (cavity.volume_m3 - cavity.volume_low_m3)
    larger = (every.volume_high_m3 - every.volume_m3) - (cavity.volume_high_m3 - cavity.volume_m3)
    low, high = volume - max(smaller, 0.0), volume + max(larger, 0.0)  # both rooms together are known as the whole is
    first = all_of.first_m4.sum(axis=0) - own.first_m4.sum(axis=0)
    second = all_of.second_m5.sum(axis=0) - own.second_m5.sum(axis=0)
    for array in (first, second):
        array.setflags(write=False)
    return Spared(volume, low, high, first, second)


def hollow_of(found: RibSpace) -> np.ndarray:
    """Share (nx, ny, nz) uint8 of each cell of the piece that stays hollow."""
    whole, own = found.whole.cavity.fraction.astype(np.int16), found.cavity.fraction.astype(np.int16)
    return np.clip(whole - own, 0, 255).astype(np.uint8)
