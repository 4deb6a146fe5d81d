"""A thin shell as triangles: its stiffness matrix and its loads, six unknowns a vertex."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike

from pourwright.errors import ShellError
from pourwright.fem import triangle

UNKNOWNS = 6  # ux, uy, uz [m], turns rx, ry, rz [rad], global axes


def _read_only(values: np.ndarray) -> np.ndarray:
    values.setflags(write=False)
    return values


@dataclass(frozen=True, eq=False, init=False)
class ShellModel:
    """Triangles of thin elastic skin. Unknown ``6 * vertex + i``: ux, uy, uz, rx, ry, rz in global axes.

    Parameters
    ----------
    vertices_m : (n, 3) places of the vertices, on the middle of the wall.
    triangles : (m, 3) vertex indices; the winding gives the outside (+ normal).
    thickness_m, youngs_pa, poisson : one number, or one a triangle (m,).

    Notes
    -----
    Linear elastic, isotropic. Bending without shear (thin: thickness below about a tenth of the smallest radius or
    panel width). Every vertex must belong to a triangle. Wrong input is a ``ShellError``.
    """

    vertices_m: np.ndarray
    triangles: np.ndarray
    thickness_m: np.ndarray
    youngs_pa: np.ndarray
    poisson: np.ndarray

    def __init__(
        self,
        vertices_m: ArrayLike,
        triangles: ArrayLike,
        thickness_m: ArrayLike,
        youngs_pa: ArrayLike,
        poisson: ArrayLike,
    ):
        vertices, faces = np.array(vertices_m, float), np.array(triangles, np.int64)
        if vertices.ndim != 2 or vertices.shape[1] != 3 or faces.ndim != 2 or faces.shape[1] != 3 or not len(faces):
            raise ShellError(f"vertices {vertices.shape} and triangles {faces.shape}: give (n, 3) and (m, 3), m > 0")
        if faces.min() < 0 or faces.max() >= len(vertices):
            raise ShellError(
                f"triangles name vertices {faces.min()} to {faces.max()}: there are 0 to {len(vertices) - 1}"
            )
        unused = len(vertices) - len(np.unique(faces))
        if unused:
            raise ShellError(f"{unused} of {len(vertices)} vertices belong to no triangle: drop them")
        if not np.isfinite(vertices).all():
            raise ShellError("a vertex has no finite place: mend the mesh")
        object.__setattr__(self, "vertices_m", _read_only(vertices))
        object.__setattr__(self, "triangles", _read_only(faces))
        given = {"thickness_m": thickness_m, "youngs_pa": youngs_pa, "poisson": poisson}
        for name, value in given.items():
            values = np.array(np.broadcast_to(np.asarray(value, float), (len(faces),)))
            allowed = (values > -1) & (values < 0.5) if name == "poisson" else (values > 0) & np.isfinite(values)
            if not allowed.all():
                wanted = "between -1 and 0.5" if name == "poisson" else "above zero"
                raise ShellError(f"{name} = {values[~allowed][0]:g} in a triangle: it must be {wanted}")
            object.__setattr__(self, name, _read_only(values))
        sides = vertices[faces] - vertices[faces[:, [1, 2, 0]]]
        flat = np.flatnonzero(self.facets.area <= 1e-9 * (sides**2).sum(axis=2).max(axis=1))
        if len(flat):
            raise ShellError(f"{len(flat)} triangles have no area (first: {flat[0]}): mend or remesh the surface")

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return UNKNOWNS * len(self.vertices_m)

    @cached_property
    def facets(self) -> triangle.Facets:
        """Local axes, corners and areas of the triangles."""
        return triangle.facets(self.vertices_m, self.triangles)

    @property
    def area_m2(self) -> np.ndarray:
        """Area of each triangle, (m,)."""
        return self.facets.area

    @property
    def normals(self) -> np.ndarray:
        """Outward unit normal of each triangle, (m, 3)."""
        return self.facets.axes[:, 2]

    @cached_property
    def vertex_area_m2(self) -> np.ndarray:
        """A third of the area of the triangles round each vertex, (n,)."""
        return _read_only(self.scatter(np.repeat(self.area_m2[:, None] / 3, 3, axis=1)))

    @cached_property
    def vertex_normals(self) -> np.ndarray:
        """Area-weighted outward unit normal at each vertex, (n, 3)."""
        weighted = self.scatter(np.repeat((self.normals * self.area_m2[:, None])[:, None], 3, axis=1))
        length = np.linalg.norm(weighted, axis=1, keepdims=True)
        return _read_only(weighted / np.where(length > 0, length, 1.0))

    def scatter(self, corner_values: np.ndarray) -> np.ndarray:
        """Sum corner values (m, 3, ...) at the vertices, (n, ...)."""
        flat = corner_values.reshape(3 * len(self.triangles), -1)
        where = sp.csr_array(
            (np.ones(len(flat)), (self.triangles.ravel(), np.arange(len(flat)))),
            shape=(len(self.vertices_m), len(flat)),
        )
        return (where @ flat).reshape(len(self.vertices_m), *corner_values.shape[2:])

    @cached_property
    def _pattern(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Order of the corner pairs by (row, column) vertex, starts of equal pairs, block columns, row pointers."""
        n = len(self.vertices_m)
        rows = np.repeat(self.triangles, 3, axis=1).ravel()
        cols = np.tile(self.triangles, (1, 3)).ravel()
        key = rows * n + cols
        order = np.argsort(key, kind="stable")
        ordered = key[order]
        starts = np.flatnonzero(np.concatenate([[True], ordered[1:] != ordered[:-1]]))
        pairs = ordered[starts]
        pointers = np.searchsorted(pairs // n, np.arange(n + 1))
        return order, starts, pairs % n, pointers

    def sum_blocks(self, blocks: np.ndarray) -> sp.csr_array:
        """Assemble element blocks (m, 3, 3, 6, 6) in global axes into a sparse matrix (size, size)."""
        order, starts, columns, pointers = self._pattern
        summed = np.add.reduceat(blocks.reshape(-1, UNKNOWNS, UNKNOWNS)[order], starts, axis=0)
        return sp.csr_array(sp.bsr_array((summed, columns, pointers), shape=(self.size, self.size)))

    def assemble(self) -> sp.csr_array:
        """Linear stiffness matrix (size, size), symmetric, before supports [N/m, N, N m]."""
        k = triangle.element_stiffness(self.facets, self.thickness_m, self.youngs_pa, self.poisson)
        return self.sum_blocks(triangle.to_global(self.facets, k))

    # -- loads, each (size,): forces [N] and moments [N m] -------------------------------------------------------

    def nodal_load(self, vertices: ArrayLike, forces_n: ArrayLike) -> np.ndarray:
        """Forces (k, 3) [N] or forces and moments (k, 6) at ``vertices`` (k,) (one for all where (3,) or (6,))."""
        forces = np.atleast_2d(np.asarray(forces_n, float))
        out = np.zeros((len(self.vertices_m), UNKNOWNS))
        np.add.at(out[:, : forces.shape[1]], np.atleast_1d(np.asarray(vertices, np.int64)), forces)
        return out.ravel()

    def traction_load(self, traction_pa: ArrayLike) -> np.ndarray:
        """Load of a traction [Pa], (3,) or (m, 3), per area of the triangle itself, a third to each corner."""
        force = np.broadcast_to(np.asarray(traction_pa, float), (len(self.triangles), 3)) * self.area_m2[:, None] / 3
        out = np.zeros((len(self.vertices_m), UNKNOWNS))
        out[:, :3] = self.scatter(np.repeat(force[:, None], 3, axis=1))
        return out.ravel()

    def pressure_load(self, pressure_pa: ArrayLike) -> np.ndarray:
        """Load of an inside pressure [Pa], one number or one a triangle (m,), outwards along the normals."""
        pressure = np.broadcast_to(np.asarray(pressure_pa, float), (len(self.triangles),))
        return self.traction_load(pressure[:, None] * self.normals)

    def gravity_load(self, density_kg_m3: ArrayLike, gravity_m_s2: ArrayLike) -> np.ndarray:
        """Own weight: density one number or (m,), gravity as a vector (3,) such as (0, 0, -9.80665)."""
        per_area = np.broadcast_to(np.asarray(density_kg_m3, float), (len(self.triangles),)) * self.thickness_m
        return self.traction_load(per_area[:, None] * np.asarray(gravity_m_s2, float))
