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
LEAST_ASKED = 1e-5
"""Of the cavity: a loose piece of what a job has filled solid that holds less is cut cells; our judgement."""
CORNER = math.sqrt(3.0)
"""The corner of a cube lies so many radii from the middle of the ball that touches its faces."""

RESTS = ("as it stands", "upside down", "nothing")
"""What holds the liquid of a place that the job has filled solid: the skin under it as the piece stands to be filled;
or with the piece upside down; or nothing either way, for a hollow lies under both its ends."""
OPEN_END = 0.02
"""An end of such a place is open where so much of its plan has a hollow beyond it; our judgement."""


@dataclass(frozen=True, eq=False)
class Chamber:
    """A hollow that stays, shell file's axes."""

    volume_m3: float
    middle_m: np.ndarray  # (3,) its point farthest from any foam
    clear_m: float  # diameter of the ball that fits there


@dataclass(frozen=True, eq=False)
class SolidPlace:
    """Where coats would meet, so that it is filled solid. Shell file's axes."""

    volume_m3: float  # foam there beyond the lining's own thickness; all of it where the job asks for it
    point_m: np.ndarray  # (3,) its middle
    bottom_m: float  # above the base of the standing piece
    top_m: float
    asked: bool = False  # by the job; else because coats would meet
    half_m: float = math.inf  # radius of the largest ball in it; inf: not looked for
    rests: str = RESTS[0]  # what its foam stands on while it is poured
    whole: bool = False  # nothing else of the cavity lies at its heights


@dataclass(frozen=True, eq=False)
class Solids:
    """Chambers and solid places with the cells they take. Arrays read-only."""

    chamber: np.ndarray  # (nx, ny, nz) int32: 1 + index of the chamber, 0 elsewhere; cut cells too
    away: np.ndarray  # (nx, ny, nz) float32: cells from the nearest chamber; inf without one
    chambers: tuple[Chamber, ...]  # largest first
    places: tuple[SolidPlace, ...]  # largest first


def solids_of(
    cavity: Cavity, hollow: np.ndarray, thickness_cells: float | np.ndarray, asked: np.ndarray | None = None
) -> Solids:
    """Chambers and solid places of a hollow given as shares of cells.

    Parameters
    ----------
    cavity : Cavity
    hollow : ndarray (nx, ny, nz) uint8
        Share of each cell that lies deeper than the lining.
    thickness_cells : float or ndarray
        Of the lining, (nx, ny, nz) where it differs from place to place.
    asked : ndarray (nx, ny, nz), optional
        Share of each cell that the job has filled solid.
    """
    local = np.asarray(thickness_cells, float)
    inside = hollow >= IN
    depth = edt.edt(inside, black_border=False) - 0.5 * inside
    half = 0.5 * local
    core = depth > half
    if not core.any():
        nothing = np.zeros(hollow.shape, np.int32)
        return Solids(nothing, np.full(hollow.shape, np.inf, np.float32), (), ())
    wide = (edt.edt(~core) <= CORNER * half + 1.0) & (hollow > 0)
    chamber, chambers = _chambers(cavity, hollow, wide, depth)
    away = edt.edt(chamber == 0) if chambers else np.full(hollow.shape, np.inf, np.float32)
    places = _places(cavity, away, np.broadcast_to(local, away.shape), asked) if chambers else ()
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


def _places(
    cavity: Cavity, away: np.ndarray, thickness_cells: np.ndarray, asked: np.ndarray | None
) -> tuple[SolidPlace, ...]:
    """What the job has filled solid, and connected foam beyond the lining of any chamber that no corner explains."""
    beyond = (cavity.fraction >= IN) & (away > BEYOND * thickness_cells + 1.0)
    out = []
    if asked is not None:
        out = _asked(cavity, asked)
        beyond &= asked < 0.5
    found, _ = label(beyond)
    cell = cavity.grid.cell_m
    for k, box in enumerate(find_objects(found), start=1):
        mine = found[box] == k
        if float((away[box] - CORNER * thickness_cells[box])[mine].max()) <= 1.5:
            continue
        cells = np.argwhere(mine) + [part.start for part in box]
        middle = cells.mean(axis=0)
        nearest = cells[np.argmin(((cells - middle) ** 2).sum(axis=1))]
        low, high = cells[:, 2].min() * cell, (cells[:, 2].max() + 1) * cell
        point = cavity.frame.to_shell(cavity.grid.centres(nearest))
        volume = float(cavity.fraction[box][mine].sum(dtype=np.int64)) / 255.0 * cell**3
        out.append(SolidPlace(volume, point, float(low), float(high)))
    return tuple(sorted(out, key=lambda place: -place.volume_m3))


def _asked(cavity: Cavity, asked: np.ndarray) -> list[SolidPlace]:
    """Connected places that the job has filled solid, with all of their foam."""
    share = asked * cavity.fraction
    found, count = label(share > 0)
    held = np.bincount(found.ravel(), share.ravel(), count + 1)[1:] / 255.0 * cavity.grid.cell_m**3
    depth, out = edt.edt(np.pad(cavity.fraction >= IN, 1))[1:-1, 1:-1, 1:-1], list[SolidPlace]()
    others = (cavity.fraction >= IN) & (asked < 0.5)
    beside = others.sum(axis=(0, 1))
    for k, box in enumerate(find_objects(found), start=1):
        if held[k - 1] < LEAST_ASKED * cavity.volume_m3:
            continue
        cells = np.argwhere(found[box] == k) + [part.start for part in box]
        nearest = cells[np.argmin(((cells - cells.mean(axis=0)) ** 2).sum(axis=1))]
        low, high = cells[:, 2].min() * cavity.grid.cell_m, (cells[:, 2].max() + 1) * cavity.grid.cell_m
        point = cavity.frame.to_shell(cavity.grid.centres(nearest))
        half = float(depth[box][found[box] == k].max()) * cavity.grid.cell_m
        whole = float(beside[cells[:, 2].min() + 1 : cells[:, 2].max()].sum()) <= OPEN_END * len(cells)
        rests = _rests(found == k, others)
        out.append(SolidPlace(float(held[k - 1]), point, float(low), float(high), True, half, rests, whole))
    return out


def _rests(mine: np.ndarray, others: np.ndarray) -> str:
    """One of `RESTS` for the cells of a place, by those of the cavity that are not solid.

    >>> tall = np.zeros((1, 1, 6), bool)
    >>> low, rest, high = tall.copy(), tall.copy(), tall.copy()
    >>> low[..., :2], rest[..., 2:4], high[..., 4:] = True, True, True
    >>> _rests(low, rest), _rests(high, rest), _rests(rest, low | high)
    ('as it stands', 'upside down', 'nothing')
    """
    enough = OPEN_END * float(mine.any(axis=2).sum())
    under = float((mine[:, :, 1:] & others[:, :, :-1]).sum())
    over = float((mine[:, :, :-1] & others[:, :, 1:]).sum())
    return RESTS[0] if under <= enough else RESTS[1] if over <= enough else RESTS[2]
