"""Solve K u = f with supports, many loads for one factorisation."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla

from pourwright.errors import ShellError
from pourwright.fem.ordering import nested_dissection


class Factor:
    """Sparse factors of a symmetric stiffness matrix with some unknowns held.

    Parameters
    ----------
    stiffness : (size, size) symmetric.
    held : (size,) bool, unknowns whose value is given (0 unless said otherwise in ``solve``).
    places_m : (nodes, 3) places of the nodes, for the elimination order.
    node_of : (size,) node of each unknown; left out, the unknowns are six a node, node by node.

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
    ):
        size = stiffness.shape[0]
        self.held = np.asarray(held, bool).ravel()
        if self.held.shape != (size,):
            raise ShellError(f"{self.held.size} supports for {size} unknowns: give one flag for each unknown")
        nodes = np.arange(size) // 6 if node_of is None else np.asarray(node_of)
        rank = np.empty(len(places_m), np.int64)
        rank[_node_order(stiffness, places_m, nodes)] = np.arange(len(places_m))
        free = np.flatnonzero(~self.held)
        self._order = free[np.argsort(rank[nodes[free]], kind="stable")]
        self._coupling = stiffness[self._order][:, self.held]
        matrix = sp.csc_array(stiffness[self._order][:, self._order])
        self._diagonal = matrix.diagonal()
        if len(free) and self._diagonal.min() <= 0:
            raise ShellError("a vertex has no stiffness at all in some direction: support it or drop it")
        try:
            self._lu = sla.splu(
                matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True, "Equil": False}
            )
        except RuntimeError:
            raise ShellError(_LOOSE) from None
        pivots = self._lu.U.diagonal()
        # Without exchange of rows each pivot is what is left of its diagonal: a body that can move leaves nothing.
        if np.abs(pivots / self._diagonal[np.argsort(self._lu.perm_r)]).min() < 1e-13:
            raise ShellError(_LOOSE)
        self.negative_pivots = int((pivots < 0).sum())

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


def _node_order(stiffness: sp.csr_array, places_m: np.ndarray, nodes: np.ndarray) -> np.ndarray:
    """Elimination order of the nodes, from which of them share an entry of the matrix."""
    pairs = stiffness.tocoo()
    n = len(places_m)
    key = np.unique(nodes[pairs.row].astype(np.int64) * n + nodes[pairs.col])
    touching = sp.csr_array((np.ones(len(key), np.int8), (key // n, key % n)), shape=(n, n))
    return nested_dissection(places_m, touching)
