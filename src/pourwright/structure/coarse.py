"""A coarser skin on coarser foam: cheap to search for where they touch, as a first guess for the fine one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from pourwright.errors import ShellError
from pourwright.fem import UNKNOWNS, ShellModel
from pourwright.structure.foam import FoamBlock, coarser
from pourwright.structure.mesh import sound

LESS = 5  # triangles for one of the coarse skin
LEAST = 2000  # triangles of a skin that has a coarser one


@dataclass(frozen=True, eq=False)
class Coarse:
    """The coarse body, and which of its vertices and foam nodes stand for those of the fine one."""

    model: ShellModel
    wall_m: np.ndarray
    foam: FoamBlock
    held: np.ndarray
    vertex: np.ndarray  # (n,) for each fine one
    node: np.ndarray

    def load(self, fine: ShellModel, load: np.ndarray) -> np.ndarray:
        """A load on fine skin and foam (size,) moved to the nearest of the coarse, with the moments that makes."""
        count = len(self.model.vertices_m)
        skin, foam = load[: fine.size].reshape(-1, UNKNOWNS), load[fine.size :].reshape(-1, 3)
        arm = fine.vertices_m - self.model.vertices_m[self.vertex]
        moved = np.hstack([skin[:, :3], skin[:, 3:] + np.cross(arm, skin[:, :3])])
        on_skin = np.stack([np.bincount(self.vertex, column, count) for column in moved.T], axis=1)
        on_foam = np.stack([np.bincount(self.node, column, len(self.foam.nodes_m)) for column in foam.T], axis=1)
        return np.r_[on_skin.ravel(), on_foam.ravel()]


def coarse_body(model: ShellModel, wall_m: np.ndarray, foam: FoamBlock, held: np.ndarray) -> Coarse | None:
    """A fifth of the triangles and an eighth of the cubes; none for a small skin or one that loses its shape."""
    if len(model.triangles) < LEAST:
        return None
    import fast_simplification  # only where a mesh is made

    points, faces = fast_simplification.simplify(
        np.array(model.vertices_m), np.array(model.triangles), target_count=len(model.triangles) // LESS
    )
    points, faces = sound(np.asarray(points, float), np.asarray(faces, np.int64))
    if len(faces) < 4:
        return None
    _, near = cKDTree(model.vertices_m).query(points)
    _, vertex = cKDTree(points).query(model.vertices_m)
    less = coarser(foam)
    _, node = cKDTree(less.nodes_m).query(foam.nodes_m)
    wall = np.asarray(wall_m)[near]
    anchored = np.zeros((len(points), UNKNOWNS), bool)
    np.logical_or.at(anchored, vertex, held)
    try:
        made = ShellModel(points, faces, wall[faces].mean(axis=1), model.youngs_pa.mean(), model.poisson.mean())
    except ShellError:
        return None
    return Coarse(made, wall, less, anchored, vertex, node)
