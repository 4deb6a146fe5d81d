"""The inside face as triangles of even size: what a lining has to coat, and what liquid runs over."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage
from scipy.sparse import coo_array

from pourwright.cavity import Cavity, build_cavity, build_levels, nearest_skin_point, region_mesh
from pourwright.lining.chambers import CORNER, Solids
from pourwright.lining.parts import Parts
from pourwright.progress import Progress, silent
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell import Skin

CELLS_ALONG = 32
"""Cells of the inside along the longest side of the piece; our judgement."""


@dataclass(frozen=True, eq=False)
class Inside:
    """Triangles of the inside face of the lined parts. Shell file's axes, arrays read-only."""

    triangles_m: np.ndarray  # (n, 3, 3) wound out of the cavity
    around: np.ndarray  # (n, k) faces that share a corner with each, then -1
    middle_m: np.ndarray  # (n, 3)
    normal: np.ndarray  # (n, 3) out of the cavity
    area_m2: np.ndarray  # (n,)
    counts: np.ndarray  # (n,) bool: to be coated; False on the board that closes a mouth
    part: np.ndarray  # (n,) of the job's parts, 0: the rest

    @property
    def to_coat_m2(self) -> float:
        """Area to be coated."""
        return float(self.area_m2[self.counts].sum())


def inside_of(
    skin: Skin,
    cavity: Cavity,
    solids: Solids,
    thickness_m: float,
    *,
    parts: Parts | None = None,
    cells_along: int = CELLS_ALONG,
    memory_bytes: int = MEMORY_BYTES,
    progress: Progress = silent,
) -> Inside:
    """The inside face of what is lined: solid places and the thin limbs are left out, mouths are closed by boards.

    The face of what ``parts`` fill solid is to be coated as the rest is.
    """
    import trimesh  # slow to load, and every printed plan knows of linings

    cell = max(cavity.grid.cell_m, float(cavity.frame.size_m.max()) / cells_along)
    coarse = build_cavity(skin, cavity.frame, cell_m=cell, memory_bytes=memory_bytes, progress=progress)
    if parts is not None and parts.solid is not None:
        coarse = _without_solid(coarse, cavity, parts.solid)
    graph = build_levels(coarse)
    vertices, faces = region_mesh(coarse, graph, np.arange(len(graph.node_level)))
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    middle = np.asarray(mesh.triangles_center)
    if mesh.volume < 0:
        mesh.invert()
    part = np.zeros(len(middle), np.int64) if parts is None else part_at(parts, middle)
    local = thickness_m if parts is None else parts.thickness_m[part]
    lined = _away(cavity, solids, middle) <= (CORNER * local + 1.5 * cell) / cavity.grid.cell_m
    keep = np.flatnonzero(lined & (np.asarray(mesh.area_faces) > 1e-9 * cell**2))
    normal = np.asarray(mesh.face_normals)[keep]
    arrays = (
        np.ascontiguousarray(np.asarray(mesh.triangles)[keep]), _around(np.asarray(mesh.faces)[keep]), middle[keep],
        normal, np.asarray(mesh.area_faces)[keep], ~_at_board(skin, middle[keep], normal, cell),
        part[keep],
    )  # fmt: skip
    for array in arrays:
        array.setflags(write=False)
    return Inside(*arrays)


def _without_solid(coarse: Cavity, cavity: Cavity, solid: np.ndarray) -> Cavity:
    """A cavity of coarser cells without what is solid, whose share of each fine cell is given."""
    grid = coarse.grid
    points = cavity.frame.to_shell(grid.centres(np.argwhere(np.ones(grid.shape, bool))))
    at = _cells(cavity, points)
    size = max(1, round(grid.cell_m / cavity.grid.cell_m))
    mean = ndimage.uniform_filter(solid, size, mode="nearest")  # over a coarse cell
    share = mean[at[:, 0], at[:, 1], at[:, 2]].reshape(grid.shape)
    fraction = np.round(coarse.fraction * (1.0 - share)).astype(np.uint8)
    fraction.setflags(write=False)
    volume = float(fraction.sum(dtype=np.int64)) / 255.0 * grid.cell_m**3
    return replace(coarse, fraction=fraction, volume_m3=volume)


def _cells(cavity: Cavity, points_m: np.ndarray) -> np.ndarray:
    """Cell (n, 3) of each point of the shell file's axes, the nearest one of those beyond the grid."""
    grid = cavity.grid
    at = np.floor((cavity.frame.to_standing(points_m) - grid.origin_m) / grid.cell_m).astype(int)
    return np.asarray(np.clip(at, 0, np.array(grid.shape) - 1))


def part_at(parts: Parts, points_m: np.ndarray) -> np.ndarray:
    """Part (n,) of the skin nearest to points (n, 3); the rest where that is solid: what is coated there lies on it."""
    part = parts.part[nearest_skin_point(parts.skin, points_m)[1]].astype(np.int64)
    solid = np.array([one.solid for one in parts.rules])
    return np.where(solid[part], 0, part)


def _around(faces: np.ndarray) -> np.ndarray:
    """Faces that share a corner with each."""
    n = len(faces)
    corner = coo_array((np.ones(3 * n, np.int64), (np.repeat(np.arange(n), 3), faces.ravel()))).tocsr()
    touch = (corner @ corner.T).tocsr()
    touch.setdiag(0)
    touch.eliminate_zeros()
    touch.sort_indices()
    count = np.diff(touch.indptr)
    out = np.full((n, int(count.max(initial=0)) + 1), -1, np.int64)
    rows = np.repeat(np.arange(n), count)
    out[rows, np.arange(len(rows)) - touch.indptr[rows]] = touch.indices
    return out


def _away(cavity: Cavity, solids: Solids, points_m: np.ndarray) -> np.ndarray:
    """Cells from each point to the nearest chamber."""
    at = _cells(cavity, points_m)
    return np.asarray(solids.away[at[:, 0], at[:, 1], at[:, 2]])


def _at_board(skin: Skin, points_m: np.ndarray, normal: np.ndarray, cell_m: float) -> np.ndarray:
    """Which faces lie on the cap of an opening."""
    out = np.zeros(len(points_m), bool)
    for opening in skin.openings:
        flat = np.abs((points_m - opening.centroid_m) @ opening.normal) <= cell_m
        reach = float(np.linalg.norm(opening.loop_m - opening.centroid_m, axis=1).max()) + cell_m
        near = np.linalg.norm(points_m - opening.centroid_m, axis=1) <= reach
        out |= flat & near & (normal @ opening.normal > 0.9)
    return out
