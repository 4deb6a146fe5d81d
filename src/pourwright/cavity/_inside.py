"""From skin to occupancy: which surfaces bound the cavity, with which wall, and which cells they hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourwright.cavity._columns import fill_inside
from pourwright.cavity._real import patches, skin_only
from pourwright.cavity._tree import build_tree
from pourwright.cavity._votes import fill_by_votes
from pourwright.cavity._winding import moments_of
from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Grid
from pourwright.errors import CavityError
from pourwright.shell import Skin, SkinKind, cut, gauged, planes_of

TRUST = 0.05  # share of the inside that may be in doubt before the shell is refused; our judgement


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles (m, 3, 3) that share a wall thickness (0 for caps and voids) and its relative spread."""

    triangles: np.ndarray
    wall: float
    spread: float


def _banded(skin: Skin, triangles: np.ndarray) -> list[Surface]:
    """Skin triangles (m, 3, 3) of the shell file's axes sorted by their wall, cut where a band or a region ends."""
    z0 = float(skin.vertices_m[:, 2].min())
    parts = []
    for region in reversed(skin.regions):  # of those that overlap the later one holds
        held, triangles = cut(triangles, planes_of(region, skin.vertices_m))
        if len(held):
            parts.append(Surface(held, region.thickness_m, region.spread))
    if not len(triangles):
        return parts
    if skin.gauge is not None:
        return [*parts, *(Surface(own, wall, skin.gauge.spread) for own, wall in gauged(skin.gauge, triangles))]
    heights = triangles[:, :, 2].min(initial=np.inf) - z0, triangles[:, :, 2].max(initial=-np.inf) - z0
    for band in skin.bands:
        if band.from_m <= heights[0] and heights[1] <= band.to_m:
            return [
                *parts,
                Surface(triangles, band.thickness_m, band.spread),
            ]  # the same array: a big mesh is not copied
        from trimesh.intersections import slice_faces_plane  # slow to load

        flat = triangles.reshape(-1, 3)
        faces = np.arange(len(flat)).reshape(-1, 3)
        for height, way in ((band.from_m, 1.0), (band.to_m, -1.0)):
            level = z0 + height
            if not np.isfinite(level) or not len(faces):
                continue
            side = way * (flat[faces][:, :, 2] - level)
            if side.min() >= 0:
                continue
            flat, faces, _ = slice_faces_plane(  # type: ignore[no-untyped-call]
                flat, faces, plane_normal=[0.0, 0.0, way], plane_origin=[0.0, 0.0, level]
            )
        if len(faces):
            parts.append(Surface(flat[faces], band.thickness_m, band.spread))
    return parts


def surfaces_of(skin: Skin) -> tuple[np.ndarray, int, list[Surface]]:
    """What bounds the cavity: the closed surface, its turn, and every surface with its wall; shell file's axes.

    Returns
    -------
    closed : ndarray (m, 3, 3)
        Triangles with an inside.
    turn : int
        1 if they are wound outwards, -1 if inwards (faces of voids).
    surfaces : list of Surface
        Skin by wall band, and caps and faces of voids with a wall of nothing.
    """
    triangles = skin.vertices_m[skin.faces]
    if skin.kind is SkinKind.BOTH_FACES:
        void = triangles[skin.void_face]
        if not len(void):
            raise CavityError("The shell is said to carry both faces, but no face of a void was found in it.")
        return void, -1, [Surface(void, 0.0, 0.0)]
    if not skin.bands:
        raise CavityError("The mesh shows the outside face only: give the wall thickness.")
    cap = skin.cap_opening >= 0
    if not cap.any():
        return triangles, 1, _banded(skin, triangles)
    return triangles, 1, [*_banded(skin, triangles[~cap]), Surface(triangles[cap], 0.0, 0.0)]


@dataclass(frozen=True, eq=False)
class Inside:
    """Occupancy before the wall is taken off; surfaces in cell units."""

    fraction: np.ndarray  # (nx, ny, nz) uint8, 255 inside
    surfaces: list[Surface]
    doubted: int  # cells whose side is not certain
    words: str


def _in_cells(triangles: np.ndarray, frame: PourFrame, grid: Grid) -> np.ndarray:
    """Triangles of the shell file's axes in cell units; one copy and no more."""
    out: np.ndarray = triangles @ frame.rotation.T
    out -= frame.offset_m + grid.origin_m
    out /= grid.cell_m
    out -= 0.5
    return out


def find_inside(skin: Skin, frame: PourFrame, grid: Grid) -> Inside:
    """Occupancy of a skin on a grid and the surfaces that have a wall.

    A clean skin (closed, wound alike) is settled by signed crossings along columns. Any other is voted over three axes
    with the generalised winding number where they differ; then what lies buried in the piece is no skin, and holes are
    patched. The inside of several bodies that run into each other is that of their union.
    """
    closed, turn, surfaces = surfaces_of(skin)
    cells = _in_cells(closed, frame, grid)
    scaled = [
        Surface(cells if s.triangles is closed else _in_cells(s.triangles, frame, grid), s.wall / grid.cell_m, s.spread)
        for s in surfaces
    ]
    del closed, surfaces  # a big mesh is held once
    fraction = np.zeros(grid.shape, np.uint8)
    if skin.clean:
        fill_inside(cells, fraction, turn=turn)
        return Inside(fraction, scaled, 0, "signed crossings along columns")
    tree = build_tree(cells)
    moments = moments_of(tree)
    _, doubted = fill_by_votes(cells, fraction, tree, moments, turn=turn)
    inside = fraction > 0
    count = int(np.count_nonzero(inside))
    if doubted > TRUST * count:
        share = min(100.0, 100 * doubted / max(1, count))
        raise CavityError(
            f"The inside of the shell cannot be told: for {share:.0f} % of it the surface does not say which side is "
            "which (up to 5 % is planned); close its holes and wind its triangles alike."
        )
    over = patches(inside, tree)
    found = []
    for surface in scaled:
        real = skin_only(surface.triangles, inside, tree, moments, turn)
        if len(real):
            found.append(Surface(real, surface.wall, surface.spread))
    if len(over):
        over_m = frame.to_shell((over + 0.5) * grid.cell_m + grid.origin_m)
        for surface in _banded(skin, over_m) if turn > 0 else ():
            found.append(Surface(_in_cells(surface.triangles, frame, grid), surface.wall / grid.cell_m, surface.spread))
    return Inside(fraction, found, doubted, "signed crossings voted over three axes, winding number where they differ")
