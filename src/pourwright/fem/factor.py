"""Solve K u = f with supports, many loads for one factorisation."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla
from scipy.sparse import csgraph

from pourwright.errors import ShellError
from pourwright.fem.ordering import minimum_degree, nested_dissection


class Factor:
    """Sparse factors of a symmetric stiffness matrix with some unknowns held.

    Parameters
    ----------
    stiffness : (size, size) symmetric.
    held : (size,) bool, unknowns whose value is given (0 unless said otherwise in ``solve``).
    places_m : (nodes, 3) places of the nodes, for the elimination order.
    node_of : (size,) node of each unknown; left out, the unknowns are six a node, node by node.
    like : an earlier factor of a matrix with the same pattern and supports, whose order is used again.

    Notes
    -----
    A structure that can still move is a ``ShellError``. 61,452 unknowns of a closed shell take about 2.5 s and 1 GB,
    245,772 about 20 s and 4 GB (one core); a solve with the factors 0.05 s a load.
    """

    def __init__(
        self,
        stiffness: sp.csr_array,
        held: np.ndarray,
        places_m: np.ndarray,
        node_of: np.ndarray | None = None,
        like: Factor | None = None,
    ):
        size = stiffness.shape[0]
        self.held = np.asarray(held, bool).ravel()
        if self.held.shape != (size,):
            raise ShellError(f"{self.held.size} supports for {size} unknowns: give one flag for each unknown")
        nodes = np.arange(size) // 6 if node_of is None else np.asarray(node_of)
        if like is not None and np.array_equal(like.held, self.held):
            order = like._order
        else:
            touching = _touching(stiffness, nodes, len(places_m))
            if node_of is None and _can_move(stiffness, self.held, np.asarray(places_m, float), touching):
                raise ShellError(_LOOSE)
            rank = np.empty(len(places_m), np.int64)
            by = nested_dissection(places_m, touching) if node_of is None else minimum_degree(touching)
            rank[by] = np.arange(len(places_m))
            free = np.flatnonzero(~self.held)
            order = free[np.argsort(rank[nodes[free]], kind="stable")]
        self._order: np.ndarray = order
        rows = stiffness[self._order]
        self._coupling = rows[:, np.flatnonzero(self.held)]
        matrix = sp.csc_array(rows[:, self._order])
        if len(self._order) and matrix.diagonal().min() <= 0:
            raise ShellError("a vertex has no stiffness at all in some direction: support it or drop it")
        try:
            self._lu = sla.splu(
                matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True, "Equil": False}
            )
        except RuntimeError:
            raise ShellError(_LOOSE) from None
        self.negative_pivots = int((self._lu.U.diagonal() < 0).sum())

    def solve(self, load: np.ndarray, values: np.ndarray | None = None) -> np.ndarray:
        """Unknowns (size,) or (size, loads) under ``load`` of the same shape; ``values`` (size,) at held unknowns."""
        load = np.asarray(load, float)
        if load.shape[0] != len(self.held):
            raise ShellError(f"a load of {load.shape[0]} values for {len(self.held)} unknowns")
        out = np.zeros(load.shape)
        right = load[self._order]
        if values is not None:
            given = np.asarray(values, float).ravel()[self.held]
            shift = self._coupling @ given
            right = right - (shift if load.ndim == 1 else shift[:, None])
            out[self.held] = given if load.ndim == 1 else given[:, None]
        out[self._order] = self._lu.solve(right)
        return out


_LOOSE = "the shell can still move: hold it at three vertices that are not in a line, or add springs"


def _touching(stiffness: sp.csr_array, nodes: np.ndarray, count: int) -> sp.csr_array:
    """Which nodes share an entry of the matrix, (count, count)."""
    pairs = stiffness.tocoo()
    key = np.unique(nodes[pairs.row].astype(np.int64) * count + nodes[pairs.col])
    return sp.csr_array((np.ones(len(key), np.int8), (key // count, key % count)), shape=(count, count))


def _can_move(stiffness: sp.csr_array, held: np.ndarray, places_m: np.ndarray, touching: sp.csr_array) -> bool:
    """Whether some connected piece has a rigid move that neither supports nor springs resist.

    Small pivots cannot tell: a thin plate has honest ones of 1e-10 of its membrane stiffness.
    """
    pieces, piece = csgraph.connected_components(touching, directed=False)
    count = np.bincount(piece, minlength=pieces)
    centre = np.stack([np.bincount(piece, places_m[:, i], pieces) for i in range(3)], axis=1) / count[:, None]
    arm = places_m - centre[piece]
    reach = np.zeros(pieces)
    np.maximum.at(reach, piece, np.abs(arm).max(axis=1))
    reach = np.where(reach > 0, reach, 1.0)[piece]
    moves = np.zeros((len(places_m), 6, 6))  # unknown, rigid move; turns scaled so that they too move by about one
    moves[:, range(3), range(3)] = 1.0
    x, y, z = (arm / reach[:, None]).T
    moves[:, :3, 3:] = np.array([[0 * x, z, -y], [-z, 0 * x, x], [y, -x, 0 * x]]).transpose(2, 0, 1)
    moves[:, range(3, 6), range(3, 6)] = 1 / reach[:, None]
    flat = moves.reshape(-1, 6)
    resisted = flat[:, :, None] * (stiffness @ flat)[:, None, :] / max(float(stiffness.diagonal().max()), 1e-300)
    # a held turn is scaled back, or a small piece in metres would seem held by it more than by a held place
    scale = np.stack([np.ones_like(reach)] * 3 + [reach] * 3, axis=1).ravel()
    pinned = (scale * held)[:, None] * flat
    resisted = resisted + pinned[:, :, None] * pinned[:, None, :]
    total = np.zeros((pieces, 6, 6))
    np.add.at(total, np.repeat(piece, 6), resisted)
    return bool((np.linalg.eigvalsh(total)[:, 0] < 1e-10).any())
