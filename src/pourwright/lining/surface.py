"""The inside face as triangles of even size: what a lining has to coat, and what liquid runs over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh

from pourwright.cavity import Cavity, build_cavity, build_levels, region_mesh
from pourwright.lining.chambers import CORNER, Solids
from pourwright.progress import Progress, silent
from pourwright.shell import MEMORY_BYTES, Skin

CELLS_ALONG = 48  # along the longest side of the piece


@dataclass(frozen=True, eq=False)
class Inside:
    """Triangles of the inside face of the lined parts. Shell file's axes, arrays read-only."""

    triangles_m: np.ndarray  # (n, 3, 3) wound out of the cavity
    neighbour: np.ndarray  # (n, 3) face across each edge, -1 at the edge of what is lined
    middle_m: np.ndarray  # (n, 3)
    normal: np.ndarray  # (n, 3) out of the cavity
    area_m2: np.ndarray  # (n,)
    counts: np.ndarray  # (n,) bool: to be coated; False on the board that closes a mouth

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
    memory_bytes: int = MEMORY_BYTES,
    progress: Progress = silent,
) -> Inside:
    """The inside face of what is lined: solid places and the thin limbs are left out, mouths are closed by boards."""
    cell = max(cavity.grid.cell_m, float(cavity.frame.size_m.max()) / CELLS_ALONG)
    coarse = build_cavity(skin, cavity.frame, cell_m=cell, memory_bytes=memory_bytes, progress=progress)
    graph = build_levels(coarse)
    vertices, faces = region_mesh(coarse, graph, np.arange(len(graph.node_level)))
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    middle = np.asarray(mesh.triangles_center)
    if mesh.volume < 0:
        mesh.invert()
    lined = _away(cavity, solids, middle) <= (CORNER * thickness_m + 1.5 * cell) / cavity.grid.cell_m
    keep = np.flatnonzero(lined & (np.asarray(mesh.area_faces) > 1e-9 * cell**2))
    mine = np.full(len(mesh.faces), -1, np.int64)
    mine[keep] = np.arange(len(keep))
    neighbour = np.full((len(keep), 3), -1, np.int64)
    filled = np.zeros(len(keep), np.int64)
    pairs = mine[np.asarray(mesh.face_adjacency)]
    for a, b in pairs[(pairs >= 0).all(axis=1)]:
        if filled[a] < 3 and filled[b] < 3:
            neighbour[a, filled[a]], neighbour[b, filled[b]] = b, a
            filled[a] += 1
            filled[b] += 1
    normal = np.asarray(mesh.face_normals)[keep]
    arrays = (
        np.ascontiguousarray(np.asarray(mesh.triangles)[keep]), neighbour, middle[keep], normal,
        np.asarray(mesh.area_faces)[keep], ~_at_board(skin, middle[keep], normal, cell),
    )  # fmt: skip
    for array in arrays:
        array.setflags(write=False)
    return Inside(*arrays)


def _away(cavity: Cavity, solids: Solids, points_m: np.ndarray) -> np.ndarray:
    """Cells from each point to the nearest chamber."""
    grid = cavity.grid
    at = np.floor((cavity.frame.to_standing(points_m) - grid.origin_m) / grid.cell_m).astype(int)
    at = np.clip(at, 0, np.array(grid.shape) - 1)
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
