"""Chambers of a mesh that shows both faces of its walls, and the wall between them, which the cells have to see."""

from __future__ import annotations

import numpy as np
import scipy.ndimage
import trimesh

from pourwright.cavity._pieces import IN
from pourwright.cavity._tree import build_tree, nearest_many
from pourwright.cavity.model import Grid
from pourwright.errors import CavityError
from pourwright.shell import Skin, SkinKind

CELLS_BETWEEN = 2.0
"""Cells in the thinnest wall between two chambers."""


def chambers_of(skin: Skin) -> list[np.ndarray]:
    """Faces of each closed void of a mesh with both faces; islands of wall inside a void are none of them."""
    if skin.kind != SkinKind.BOTH_FACES:
        return []
    void = np.flatnonzero(skin.void_face)
    beside = trimesh.graph.face_adjacency(skin.faces[void])  # type: ignore[no-untyped-call]
    pieces = trimesh.graph.connected_components(beside, nodes=np.arange(len(void)), min_len=4)
    return [void[piece] for piece in pieces if _volume(skin, void[piece]) < 0]


def _volume(skin: Skin, faces: np.ndarray) -> float:
    a, b, c = np.moveaxis(skin.vertices_m[skin.faces[faces]], 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def thinnest_between(skin: Skin) -> float:
    """Thinnest wall [m] between chambers, from the corners of one to the faces of the others; inf for one chamber."""
    chambers = chambers_of(skin)
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


def keep_apart(skin: Skin, grid: Grid, fraction: np.ndarray, least_cells: float) -> None:
    """Refuse cells in which chambers run together: what is poured into one would seem to fill the other.

    Raises
    ------
    CavityError
    """
    chambers = [one for one in chambers_of(skin) if -_volume(skin, one) >= least_cells * grid.cell_m**3]
    if len(chambers) < 2:
        return
    found = int(scipy.ndimage.label(fraction >= IN)[1])
    if found < len(chambers):
        wall = thinnest_between(skin)
        raise CavityError(
            f"The mesh has {len(chambers)} closed chambers, and at a cell of {grid.cell_m * 1e3:.4g} mm some of them "
            f"run together, for the wall between them is {wall * 1e3:.4g} mm: give grid.cell = "
            f'"{1e3 * wall / CELLS_BETWEEN:.3g} mm", with more grid.memory where that asks for it.'
        )
