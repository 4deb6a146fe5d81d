"""Chambers of a mesh that shows both faces of its walls, and the wall between them, which the cells have to see."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import scipy.ndimage

from pourwright.cavity._pieces import IN
from pourwright.cavity._tree import build_tree, nearest_many
from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Grid
from pourwright.errors import CavityError
from pourwright.shell import Skin, SkinKind

CELLS_BETWEEN = 2.0
"""Cells in the thinnest wall between two chambers, and in one where it is narrow; our judgement."""
STRAY_CELLS = 64  # a stray void has no more cells than this ...
STRAY_SHARE = 1e-5  # ... or than this share of all that was found, whichever is more; our judgement
DEEP = (0.75, 1.5)
"""Cells in front of a chamber's faces where its cells are looked for: within the first one the wall may cut them; our
judgement."""
FEW = 0.05
"""Share of the faces that count for the most, below which a piece of cells is not one of the chamber; our judgement."""


@lru_cache(maxsize=1)
def chambers_of(skin: Skin) -> tuple[np.ndarray, ...]:
    """Faces of each closed void of a mesh with both faces; islands of wall inside a void are none of them.

    The same whichever way up the skin stands, and asked for several times for each.
    """
    if skin.kind != SkinKind.BOTH_FACES:
        return ()
    import trimesh  # slow to load

    void = np.flatnonzero(skin.void_face)
    beside = trimesh.graph.face_adjacency(skin.faces[void])  # type: ignore[no-untyped-call]
    pieces = trimesh.graph.connected_components(beside, nodes=np.arange(len(void)), min_len=4)
    return tuple(void[piece] for piece in pieces if _volume(skin, void[piece]) < 0)


def _volume(skin: Skin, faces: np.ndarray) -> float:
    a, b, c = np.moveaxis(skin.vertices_m[skin.faces[faces]], 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def thinnest_between(skin: Skin, least_m3: float = 0.0) -> float:
    """Thinnest wall [m] between chambers, from the corners of one to the faces of the others; inf for one chamber.

    Voids smaller than ``least_m3`` are none: a bubble in the wall is not filled.
    """
    chambers = [one for one in chambers_of(skin) if -_volume(skin, one) >= least_m3]
    least = np.inf
    for k, mine in enumerate(chambers[:-1]):
        rest = np.concatenate(chambers[k + 1 :])
        for corners, faces in ((mine, rest), (rest, mine)):
            points = np.ascontiguousarray(skin.vertices_m[np.unique(skin.faces[corners])])
            tree = build_tree(np.ascontiguousarray(skin.vertices_m[skin.faces[faces]]))
            away, hit, foot = np.empty(len(points)), np.empty(len(points), np.int64), np.empty((len(points), 3))
            nearest_many(tree.boxes, tree.triangles, tree.first_leaf, points, away, hit, foot, 0, len(points))
            least = min(least, float(away.min()))
    return least


def stray_m3(skin: Skin, cell_m: float) -> float:
    """Volume [m3] up to which a void of a mesh with both faces counts as a stray one at a cell size."""
    found = -sum(_volume(skin, one) for one in chambers_of(skin))
    return max(STRAY_CELLS * cell_m**3, STRAY_SHARE * found)


def _pieces(skin: Skin, frame: PourFrame, grid: Grid, label: np.ndarray, chamber: np.ndarray) -> np.ndarray:
    """Labels (n,) of the pieces of cells that lie along the faces of a chamber."""
    corners = skin.vertices_m[skin.faces[chamber]]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    into = normal / np.where(length > 0, length, 1.0)  # the faces of solid matter look into the chamber
    found = []
    for deep in DEEP:
        points = frame.to_standing(corners.mean(axis=1) + deep * grid.cell_m * into)
        index = np.floor((points - grid.origin_m) / grid.cell_m).astype(np.int64)
        index = np.clip(index, 0, np.array(grid.shape) - 1)
        found.append(label[tuple(index.T)])
    there, count = np.unique(np.concatenate(found), return_counts=True)
    mine = there > 0
    # A face or two where it is narrower than that may look into the next chamber.
    return there[mine][count[mine] >= FEW * max(count[mine].max(initial=0), 1)]


def keep_apart(skin: Skin, frame: PourFrame, grid: Grid, fraction: np.ndarray, least_cells: float) -> None:
    """Refuse cells that do not see every chamber, each by itself.

    Where chambers run together, what is poured into one would seem to fill the other; one that is too narrow for any
    cell would stay empty, with no word of it.

    Raises
    ------
    CavityError
    """
    least_m3 = least_cells * grid.cell_m**3
    chambers = [one for one in chambers_of(skin) if -_volume(skin, one) >= least_m3]
    if len(chambers) < 2:
        return
    label = scipy.ndimage.label(fraction >= IN)[0]
    pieces = [_pieces(skin, frame, grid, label, one) for one in chambers]
    narrow = min(_width_m(skin, one) for one in chambers)
    begins = f"The mesh has {len(chambers)} closed chambers, and at a cell of {grid.cell_m * 1e3:.4g} mm"
    for chamber, mine in zip(chambers, pieces, strict=True):
        if not len(mine):
            at = ", ".join(f"{c:.3g} mm" for c in 1e3 * skin.vertices_m[skin.faces[chamber]].mean(axis=(0, 1)))
            raise CavityError(
                f"{begins} one of {-_volume(skin, chamber) * 1e3:.3g} L round {at} is lost, for it is about "
                f"{_width_m(skin, chamber) * 1e3:.2g} mm wide: give {_asked(narrow)}, or a larger grid.stray_void if "
                "it shall stay empty."
            )
    if len(np.unique(np.concatenate(pieces))) < sum(len(one) for one in pieces):
        wall = thinnest_between(skin, least_m3)
        raise CavityError(
            f"{begins} some of them run together, for the wall between them is {wall * 1e3:.4g} mm: give "
            f"{_asked(min(wall, narrow))}."
        )


def _width_m(skin: Skin, chamber: np.ndarray) -> float:
    """About how wide a chamber is [m]: twice its volume over its faces, the gap of one between two large faces."""
    corners = skin.vertices_m[skin.faces[chamber]]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).sum() / 2.0
    return float(2.0 * -_volume(skin, chamber) / area)


def _asked(across_m: float) -> str:
    """The cell that sees what is so wide."""
    cell = f"{1e3 * across_m / CELLS_BETWEEN:.3g} mm"
    return f'grid.cell = "{cell}", with more grid.memory where that asks for it'
