"""Which hollow stays: chambers wide enough for coats not to meet, and the places between them that are filled."""

from __future__ import annotations

import math
from dataclasses import dataclass

import edt
import numpy as np
from scipy.ndimage import find_objects, grey_dilation, label

from pourwright.cavity import Cavity

IN = 128
"""Share of a cell, of 255, from which it counts as within: half."""
LEAST_SHARE = 0.01
"""A chamber of less than this share of the cavity is filled: not worth the turning. Our judgement."""
BEYOND = 1.15
"""Foam counts as beyond a lining from so many of its thickness and a cell on; our judgement."""
CORNER = math.sqrt(3.0)
"""The corner of a cube lies so many radii from the middle of the ball that touches its faces."""


@dataclass(frozen=True, eq=False)
class Chamber:
    """A hollow that stays, shell file's axes."""

    volume_m3: float
    middle_m: np.ndarray  # (3,) its point farthest from any foam
    clear_m: float  # diameter of the ball that fits there


@dataclass(frozen=True, eq=False)
class SolidPlace:
    """Where coats would meet, so that it is filled solid. Shell file's axes."""

    volume_m3: float  # foam there beyond the lining's own thickness
    point_m: np.ndarray  # (3,) its middle
    bottom_m: float  # above the base of the standing piece
    top_m: float


@dataclass(frozen=True, eq=False)
class Solids:
    """Chambers and solid places with the cells they take. Arrays read-only."""

    chamber: np.ndarray  # (nx, ny, nz) int32: 1 + index of the chamber, 0 elsewhere; cut cells too
    away: np.ndarray  # (nx, ny, nz) float32: cells from the nearest chamber; inf without one
    chambers: tuple[Chamber, ...]  # largest first
    places: tuple[SolidPlace, ...]  # largest first


def solids_of(cavity: Cavity, hollow: np.ndarray, thickness_cells: float) -> Solids:
    """Chambers and solid places of a hollow given as shares of cells.

    Parameters
    ----------
    cavity : Cavity
    hollow : ndarray (nx, ny, nz) uint8
        Share of each cell that lies deeper than the lining.
    thickness_cells : float
        Of the lining.
    """
    inside = hollow >= IN
    depth = edt.edt(inside, black_border=False) - 0.5 * inside
    half = 0.5 * thickness_cells
    core = depth > half
    if not core.any():
        nothing = np.zeros(hollow.shape, np.int32)
        return Solids(nothing, np.full(hollow.shape, np.inf, np.float32), (), ())
    wide = (edt.edt(~core) <= CORNER * half + 1.0) & (hollow > 0)
    chamber, chambers = _chambers(cavity, hollow, wide, depth)
    away = edt.edt(chamber == 0) if chambers else np.full(hollow.shape, np.inf, np.float32)
    places = _places(cavity, away, thickness_cells) if chambers else ()
    for array in (chamber, away):
        array.setflags(write=False)
    return Solids(chamber, away, chambers, places)


def _chambers(
    cavity: Cavity, hollow: np.ndarray, wide: np.ndarray, depth: np.ndarray
) -> tuple[np.ndarray, tuple[Chamber, ...]]:
    found, count = label(wide & (hollow >= IN))
    cell3 = cavity.grid.cell_m**3
    held = np.bincount(found.ravel(), hollow.ravel(), count + 1)[1:] / 255.0 * cell3
    order = [k for k in np.argsort(-held, kind="stable") if held[k] >= LEAST_SHARE * cavity.volume_m3]
    name = np.zeros(count + 1, np.int32)
    name[[k + 1 for k in order]] = np.arange(1, len(order) + 1)
    chamber = name[found]
    spread = grey_dilation(chamber, size=(3, 3, 3))
    chamber = np.where((chamber == 0) & wide & (hollow < IN), spread, chamber).astype(np.int32)
    out = []
    for k, box in enumerate(find_objects(chamber), start=1):
        mine = np.where(chamber[box] == k, depth[box], -1.0)
        at = np.array(np.unravel_index(int(mine.argmax()), mine.shape)) + [part.start for part in box]
        point = cavity.frame.to_shell(cavity.grid.centres(at))
        volume = float(np.where(chamber[box] == k, hollow[box], 0).sum(dtype=np.int64)) / 255.0 * cell3
        out.append(Chamber(volume, point, 2.0 * float(mine.max()) * cavity.grid.cell_m))
    return chamber, tuple(out)


def _places(cavity: Cavity, away: np.ndarray, thickness_cells: float) -> tuple[SolidPlace, ...]:
    """Connected foam beyond the lining of any chamber that no corner of a chamber explains."""
    beyond = (cavity.fraction >= IN) & (away > BEYOND * thickness_cells + 1.0)
    found, count = label(beyond)
    if not count:
        return ()
    cell = cavity.grid.cell_m
    out = []
    for k, box in enumerate(find_objects(found), start=1):
        mine = found[box] == k
        if float(away[box][mine].max()) <= CORNER * thickness_cells + 1.5:
            continue
        cells = np.argwhere(mine) + [part.start for part in box]
        middle = cells.mean(axis=0)
        nearest = cells[np.argmin(((cells - middle) ** 2).sum(axis=1))]
        low, high = cells[:, 2].min() * cell, (cells[:, 2].max() + 1) * cell
        point = cavity.frame.to_shell(cavity.grid.centres(nearest))
        volume = float(cavity.fraction[box][mine].sum(dtype=np.int64)) / 255.0 * cell**3
        out.append(SolidPlace(volume, point, float(low), float(high)))
    return tuple(sorted(out, key=lambda place: -place.volume_m3))
