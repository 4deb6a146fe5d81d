"""The foam within a thickness of the skin, and the hollow that is left: the cavity of a wall so much thicker."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from scipy import ndimage

from pourwright.cavity import Cavity, build_cavity
from pourwright.errors import CavityError
from pourwright.lining.chambers import IN, Solids, solids_of
from pourwright.lining.parts import Parts
from pourwright.progress import Progress, silent
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell import Skin, SkinKind, WallBand, WallRegion


@dataclass(frozen=True, eq=False)
class Region:
    """Cells of the hollow by themselves. Arrays read-only; standing metres."""

    thickness_m: float  # where no part has its own
    hollow: np.ndarray  # (nx, ny, nz) uint8, share of each cell that stays hollow, 255 = all
    foam_m3: float
    hollow_m3: float
    shut_m3: float  # would be hollow by the thickness alone, and is filled: coats would meet there
    part: np.ndarray  # (nx, ny, nz) int16 whose foam each cell holds, of the parts; (1, 1, 1): one thickness all round


def _thicker(skin: Skin, thickness_m: float) -> Skin:
    """The skin with foam counted as wall; the faces of voids as a skin of their own where the mesh shows both."""
    if skin.kind is SkinKind.BOTH_FACES:
        faces = np.ascontiguousarray(skin.faces[skin.void_face][:, ::-1])
        none = np.zeros(len(faces), bool)
        cap = np.where(skin.cap_opening[skin.void_face] < len(skin.openings), -1, 0).astype(np.int32)
        band = WallBand("lining", -np.inf, np.inf, thickness_m, 0.0)
        return replace(
            skin, kind=SkinKind.OUTSIDE, faces=faces, void_face=none, cap_opening=cap,
            openings=(), bands=(band,),
        )  # fmt: skip
    return replace(
        skin,
        bands=tuple(_with(band, thickness_m) for band in skin.bands),
        regions=tuple(_with(region, thickness_m) for region in skin.regions),
        gauge=None if skin.gauge is None else replace(skin.gauge, thickness_m=skin.gauge.thickness_m + thickness_m),
    )


Walled = TypeVar("Walled", WallBand, WallRegion)


def _with(band: Walled, thickness_m: float) -> Walled:
    total = band.thickness_m + thickness_m
    return replace(band, thickness_m=total, spread=band.spread * band.thickness_m / total)


def hollow_shares(
    skin: Skin,
    cavity: Cavity,
    thickness_m: float,
    *,
    memory_bytes: int = MEMORY_BYTES,
    progress: Progress = silent,
) -> np.ndarray:
    """Share (nx, ny, nz) uint8 of each cell that lies farther than a thickness behind the inside face of the skin.

    Found as the cavity itself is: exact distances to the triangles and plane cuts of the cells near the offset surface,
    so that volumes converge with the square of the cell. Caps of openings do not count: the hollow reaches up to them.

    Parameters
    ----------
    thickness_m : float
        Of the lining [m], above zero.

    Returns
    -------
    ndarray
        All zero where the lining leaves nothing hollow.
    """
    none = np.zeros(cavity.grid.shape, np.uint8)
    try:
        thick = build_cavity(
            _thicker(skin, thickness_m),
            cavity.frame,
            cell_m=cavity.grid.cell_m,
            memory_bytes=memory_bytes,
            stray_void_m3=0.0,
            progress=progress,
        )
    except CavityError:
        return none  # nothing of the cavity is so deep: the cavity itself was built on these cells before
    return np.minimum(thick.fraction, cavity.fraction)


def parted_shares(
    parts: Parts, cavity: Cavity, *, memory_bytes: int = MEMORY_BYTES, progress: Progress = silent
) -> tuple[np.ndarray, np.ndarray]:
    """Hollow of a lining with a thickness by part: what lies far enough behind each part's own skin.

    Returns
    -------
    hollow : ndarray (nx, ny, nz) uint8
        As of `hollow_shares`, nothing of what is filled solid, nor of a coat on it as thick as that of the rest.
    part : ndarray (nx, ny, nz) int16
        Whose foam each cell holds: of parts that reach it the thickest; elsewhere that of the nearest such cell.
    """
    thick, skin = parts.thickness_m, parts.skin
    hollow, deepest = cavity.fraction, np.zeros(cavity.grid.shape, np.float32)
    part = np.full(cavity.grid.shape, -1, np.int16)
    for mine in np.argsort(thick, kind="stable"):
        if not (parts.part == mine).any():
            continue
        other = (parts.part != mine) & (skin.cap_opening < 0)
        alone = replace(skin, cap_opening=np.where(other, len(skin.openings), skin.cap_opening).astype(np.int32))
        share = hollow_shares(alone, cavity, float(thick[mine]), memory_bytes=memory_bytes, progress=progress)
        reached = (share < IN) & (cavity.fraction > 0) & (thick[mine] > deepest)
        part[reached], deepest[reached] = mine, thick[mine]
        hollow = np.minimum(hollow, share)
    if parts.off_solid is not None:
        beyond = np.clip((parts.off_solid - thick[0]) / cavity.grid.cell_m + 0.5, 0.0, 1.0)
        hollow = np.minimum(hollow, np.round(255.0 * beyond).astype(np.uint8))
    near = ndimage.distance_transform_edt(part < 0, return_distances=False, return_indices=True)
    return hollow, part[tuple(near)]


def region_of(
    skin: Skin,
    cavity: Cavity,
    thickness_m: float,
    *,
    parts: Parts | None = None,
    memory_bytes: int = MEMORY_BYTES,
    progress: Progress = silent,
) -> tuple[Region, Solids]:
    """Hollow and foam of a lining, with what is filled solid because coats would meet there, or because the job says.

    A hollow narrower than one thickness is filled: coats rise unevenly and would meet. So is a chamber that holds less
    than `LEAST_SHARE` of the cavity.

    Parameters
    ----------
    thickness_m : float
        Of the lining where no part has its own.
    parts : Parts, optional
        Where it is thicker, thinner or solid.

    Returns
    -------
    Region
        ``hollow_m3`` is zero where nothing stays hollow.
    Solids
        Chambers, and the places that are solid.
    """
    cell = cavity.grid.cell_m
    if parts is None:
        asked = hollow_shares(skin, cavity, thickness_m, memory_bytes=memory_bytes, progress=progress)
        part, local = np.zeros((1, 1, 1), np.int16), np.full((1, 1, 1), thickness_m)
    else:
        asked, part = parted_shares(parts, cavity, memory_bytes=memory_bytes, progress=progress)
        local = parts.thickness_m[part]
    solids = solids_of(cavity, asked, local / cell, None if parts is None else parts.solid)
    kept = np.where(solids.chamber > 0, asked, 0).astype(np.uint8)
    for array in (kept, part):
        array.setflags(write=False)
    hollow = _volume(kept, cell)
    shut = _volume(asked, cell) - hollow
    return Region(thickness_m, kept, cavity.volume_m3 - hollow, hollow, shut, part), solids


def _volume(shares: np.ndarray, cell_m: float) -> float:
    return float(shares.sum(dtype=np.int64)) / 255.0 * cell_m**3
