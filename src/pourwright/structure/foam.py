"""The foam as a solid: cubes of the cavity's grid, and how the skin holds on to them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import scipy.sparse as sp
from scipy.spatial import cKDTree

from pourwright.cavity import Grid
from pourwright.fem import UNKNOWNS, ShellModel

LEAST = 0.05  # cells filled less than this carry nothing
STIFF = 100.0  # the joint of skin and foam, over the stiffness of a cell of foam: 1 % of a cell's own yield
LOOSE = 1e-9  # what is left of it where nothing holds: only to keep a lone piece of foam in its place
REACH = 1.5  # cells beyond a cell's own face that a skin point may lie and still touch its foam


@cache
def _cube(poisson: float) -> np.ndarray:
    """Stiffness (24, 24) of a unit cube of unit modulus: eight corners, with bending modes condensed out."""
    nu = poisson
    c = np.zeros((6, 6))
    c[:3, :3] = nu
    c[range(3), range(3)] = 1 - nu
    c[range(3, 6), range(3, 6)] = (1 - 2 * nu) / 2
    c /= (1 + nu) * (1 - 2 * nu)
    signs = corner_signs()
    k = np.zeros((33, 33))
    at = 1 / 3**0.5
    for g in at * signs:
        slope = np.empty((11, 3))
        for a in range(3):
            others = [i for i in range(3) if i != a]
            slope[:8, a] = signs[:, a] * np.prod(1 + signs[:, others] * g[others], axis=1) / 4  # d/dx, side 1
            slope[8:, a] = [-4 * g[m] if m == a else 0.0 for m in range(3)]
        b = np.zeros((6, 33))
        for i, (x, y, z) in enumerate(slope):
            b[:, 3 * i : 3 * i + 3] = [[x, 0, 0], [0, y, 0], [0, 0, z], [y, x, 0], [0, z, y], [z, 0, x]]
        k += b.T @ c @ b / 8
    out = k[:24, :24] - k[:24, 24:] @ np.linalg.solve(k[24:, 24:], k[24:, :24])
    out.setflags(write=False)
    return out


def corner_signs() -> np.ndarray:
    """Corners (8, 3) of a cube in -1 and 1, x slowest."""
    return np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float)


@dataclass(frozen=True, eq=False)
class FoamBlock:
    """Cubes of foam, three unknowns a node. Arrays read-only; standing axes.

    The bending modes of a cube (Wilson's incompatible modes, exact for cubes in a constant stress) let one cell bend
    as it should; a cell that the wall cuts has its modulus times the share that is filled.
    """

    nodes_m: np.ndarray  # (k, 3)
    cells: np.ndarray  # (c, 8) node indices, corners in the order of ``corner_signs``
    centre_m: np.ndarray  # (c, 3)
    cell_m: float
    youngs_pa: np.ndarray  # (c,) with the share filled in it
    density_kg_m3: np.ndarray  # (c,) likewise
    poisson: float

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return 3 * len(self.nodes_m)

    def assemble(self) -> sp.csr_array:
        """Stiffness (size, size) [N/m]."""
        unknown = (3 * self.cells[:, :, None] + np.arange(3)).reshape(-1, 24)
        values = (self.youngs_pa * self.cell_m)[:, None, None] * _cube(self.poisson)
        rows, cols = np.broadcast_arrays(unknown[:, :, None], unknown[:, None, :])
        made = sp.coo_array((values.ravel(), (rows.ravel(), cols.ravel())), shape=(self.size, self.size))
        return sp.csr_array(made)

    def gravity_load(self, gravity_m_s2: np.ndarray) -> np.ndarray:
        """Own weight (size,) [N], an eighth of each cell to each corner."""
        out = np.zeros((len(self.nodes_m), 3))
        force = (self.density_kg_m3 * self.cell_m**3 / 8)[:, None] * np.asarray(gravity_m_s2, float)
        for k in range(8):
            np.add.at(out, self.cells[:, k], force)
        return out.ravel()


def foam_block(
    grid: Grid, share: np.ndarray, youngs_pa: np.ndarray, density_kg_m3: np.ndarray, poisson: float
) -> FoamBlock:
    """Cubes where the grid is filled.

    Parameters
    ----------
    grid : Grid
    share : (nx, ny, nz) filled share of each cell, 0 to 1.
    youngs_pa, density_kg_m3 : (nz,) of the full foam in each layer of cells.
    poisson : of the foam.
    """
    index = np.argwhere(share >= LEAST)
    filled = share[tuple(index.T)]
    return _cubes(
        grid.origin_m, grid.cell_m, index, filled * youngs_pa[index[:, 2]], filled * density_kg_m3[index[:, 2]], poisson
    )


def _cubes(
    origin_m: np.ndarray, cell_m: float, index: np.ndarray, youngs: np.ndarray, density: np.ndarray, poisson: float
) -> FoamBlock:
    """Cubes at the places ``index`` (c, 3) of a grid, with what each carries (c,)."""
    shape = tuple(int(v) for v in index.max(axis=0, initial=0) + 2)
    steps = ((corner_signs() + 1) / 2).astype(np.int64)
    flat = np.ravel_multi_index(tuple((index[:, None] + steps).reshape(-1, 3).T), shape)
    used, cells = np.unique(flat, return_inverse=True)
    nodes = origin_m + np.stack(np.unravel_index(used, shape), axis=1) * cell_m
    centre = origin_m + (index + 0.5) * cell_m
    out = FoamBlock(nodes, cells.reshape(-1, 8), centre, cell_m, youngs, density, poisson)
    for array in (out.nodes_m, out.cells, out.centre_m, out.youngs_pa, out.density_kg_m3):
        array.setflags(write=False)
    return out


def coarser(foam: FoamBlock) -> FoamBlock:
    """The same foam in cubes of twice the side, each with the mean of the eight it takes the place of."""
    corner = foam.centre_m.min(axis=0) - 0.5 * foam.cell_m
    each = np.floor((foam.centre_m - corner) / (2 * foam.cell_m)).astype(np.int64)
    index, of = np.unique(each, axis=0, return_inverse=True)
    of = np.ravel(of)
    youngs, density = (np.bincount(of, v, len(index)) / 8 for v in (foam.youngs_pa, foam.density_kg_m3))
    return _cubes(corner, 2 * foam.cell_m, index, youngs, density, foam.poisson)


@dataclass(frozen=True, eq=False)
class Joint:
    """Where skin vertices touch foam. Read-only arrays.

    ``gap`` (3 k, shell unknowns + foam unknowns) gives how far the inside face of the skin leaves the foam at each of
    ``k`` touching vertices; ``normal`` (k, 3) points out of the piece; ``stiffness_n_m`` (k,) is the joint's, for each
    direction.
    """

    vertex: np.ndarray
    gap: sp.csr_array
    normal: np.ndarray
    stiffness_n_m: np.ndarray

    def assemble(self, along: np.ndarray, across: np.ndarray) -> sp.csr_array:
        """Stiffness of the joint with shares (k,) of it held along the skin and across it (pulled or pushed)."""
        k = len(self.vertex)
        n = self.normal
        outer = n[:, :, None] * n[:, None, :]
        blocks = self.stiffness_n_m[:, None, None] * (
            np.maximum(along, LOOSE)[:, None, None] * (np.eye(3) - outer)
            + np.maximum(across, LOOSE)[:, None, None] * outer
        )
        middle = sp.bsr_array((blocks, np.arange(k), np.arange(k + 1)), shape=(3 * k, 3 * k))
        return sp.csr_array(self.gap.T @ sp.csr_array(middle) @ self.gap)

    def pattern(self) -> sp.csr_array:
        """Ones (or more) wherever ``assemble`` can have an entry."""
        lone = abs(self.gap)
        k = len(self.vertex)
        middle = sp.bsr_array((np.ones((k, 3, 3)), np.arange(k), np.arange(k + 1)), shape=(3 * k, 3 * k))
        return sp.csr_array(lone.T @ sp.csr_array(middle) @ lone)

    def opening(self, movement: np.ndarray) -> np.ndarray:
        """How far skin and foam part at each touching vertex (k,) [m]; negative: pressed together."""
        return ((self.gap @ movement).reshape(-1, 3) * self.normal).sum(axis=1)


def join(model: ShellModel, foam: FoamBlock, wall_m: np.ndarray, inside_m: np.ndarray | None = None) -> Joint:
    """Tie the inside face of a skin to foam.

    Parameters
    ----------
    model : the skin, its vertices in the middle of the wall.
    foam : the foam.
    wall_m : (n,) wall at each vertex; the inside face lies half of it inwards.
    inside_m : (n, 3) unit directions inwards; without it against the vertex normals.
    """
    inwards = -model.vertex_normals if inside_m is None else inside_m
    arm = 0.5 * wall_m[:, None] * inwards
    place = model.vertices_m + arm
    tree = cKDTree(foam.centre_m)
    far, cell = tree.query(place, p=np.inf)
    vertex = np.flatnonzero(far <= (0.5 + REACH) * foam.cell_m)
    cell, place, arm = cell[vertex], place[vertex], arm[vertex]
    local = 2 * (place - foam.centre_m[cell]) / foam.cell_m
    signs = corner_signs()
    weight = np.prod(1 + signs[None] * local[:, None, :], axis=2) / 8  # (k, 8)
    k, n = len(vertex), model.size
    row = 3 * np.arange(k)
    rows, cols, values = [], [], []
    for d in range(3):
        rows.append(row + d)
        cols.append(UNKNOWNS * vertex + d)
        values.append(np.ones(k))
        a, b = (d + 1) % 3, (d + 2) % 3  # turn x arm
        for turn, lever in ((a, arm[:, b]), (b, -arm[:, a])):
            rows.append(row + d)
            cols.append(UNKNOWNS * vertex + 3 + turn)
            values.append(lever)
        for corner in range(8):
            rows.append(row + d)
            cols.append(n + 3 * foam.cells[cell, corner] + d)
            values.append(-weight[:, corner])
    gap = sp.csr_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))), shape=(3 * k, n + foam.size)
    )
    full = foam.youngs_pa.max() if len(foam.youngs_pa) else 0.0
    stiff = STIFF * full / foam.cell_m * model.vertex_area_m2[vertex]
    normal = -inwards[vertex]
    for array in (vertex, stiff, normal):
        array.setflags(write=False)
    return Joint(vertex, gap, normal, stiff)


def whole_stiffness(shell: sp.csr_array, foam: sp.csr_array) -> sp.csr_array:
    """Skin and foam side by side, not yet joined."""
    return sp.csr_array(sp.block_diag([shell, foam], format="csr"))
