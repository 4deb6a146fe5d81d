"""Solve K u = f with supports, many loads for one factorisation."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from scipy.sparse import csgraph

from pourwright.errors import ShellError
from pourwright.fem import direct
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
    loose : whether, since ``like`` was made, what held it may have let go.

    Notes
    -----
    A structure that can still move is a ``ShellError``, and so is a solve that leaves more unbalanced than rounding
    can. 59,304 unknowns of a closed shell take about 1 s of processor time, a solve with the factors 0.01 s a load.
    """

    def __init__(
        self,
        stiffness: sp.csr_array,
        held: np.ndarray,
        places_m: np.ndarray,
        node_of: np.ndarray | None = None,
        like: Factor | None = None,
        loose: bool = False,
    ):
        size = stiffness.shape[0]
        self.held = np.asarray(held, bool).ravel()
        if self.held.shape != (size,):
            raise ShellError(f"{self.held.size} supports for {size} unknowns: give one flag for each unknown")
        self._nodes = np.arange(size) // 6 if node_of is None else np.asarray(node_of)
        self._places, self._solid = np.asarray(places_m, float), node_of is not None
        self._free = np.flatnonzero(~self.held)
        earlier = like._made if like is not None and np.array_equal(like.held, self.held) else None
        if (earlier is None or loose) and not self._solid:
            touching = _touching(stiffness, self._nodes, len(self._places))
            if _can_move(stiffness, self.held, self._places, touching):
                raise ShellError(_LOOSE)
        rows = stiffness[self._free]
        self._coupling = rows[:, np.flatnonzero(self.held)]
        self._matrix = sp.csc_array(rows[:, self._free])
        if len(self._free) and self._matrix.diagonal().min() <= 0:
            raise ShellError("a vertex has no stiffness at all in some direction: support it or drop it")
        del rows  # as large as the matrix
        self._greatest = float(abs(self._matrix).sum(axis=0).max()) if len(self._free) else 0.0
        self._made: direct.Factors = self._factored(earlier)
        self.negative_pivots = self._made.negative

    def _factored(self, earlier: direct.Factors | None) -> direct.Factors:
        if not len(self._free):
            return direct.Lu(None, self._free, 0)
        try:
            if direct.READY:
                return direct.Ldlt.of(self._matrix, earlier)
            return self._by_scipy(earlier)
        except RuntimeError:
            raise ShellError(_LOOSE) from None

    def _by_scipy(self, earlier: direct.Factors | None) -> direct.Factors:
        if isinstance(earlier, direct.Lu):
            return direct.Lu.of(self._matrix, earlier.order)
        count = len(self._places)
        nodes = self._nodes[self._free]
        touching = _touching(sp.csr_array(self._matrix), nodes, count)
        rank = np.empty(count, np.int64)
        rank[minimum_degree(touching) if self._solid else nested_dissection(self._places, touching)] = np.arange(count)
        return direct.Lu.of(self._matrix, np.argsort(rank[nodes], kind="stable"))

    def solve(self, load: np.ndarray, values: np.ndarray | None = None) -> np.ndarray:
        """Unknowns (size,) or (size, loads) under ``load`` of the same shape; ``values`` (size,) at held unknowns."""
        load = np.asarray(load, float)
        if load.shape[0] != len(self.held):
            raise ShellError(f"a load of {load.shape[0]} values for {len(self.held)} unknowns")
        out = np.zeros(load.shape)
        right = load[self._free]
        if values is not None:
            given = np.asarray(values, float).ravel()[self.held]
            shift = self._coupling @ given
            right = right - (shift if load.ndim == 1 else shift[:, None])
            out[self.held] = given if load.ndim == 1 else given[:, None]
        if len(right):
            out[self._free] = self._believed(right.reshape(len(right), -1)).reshape(right.shape)
        return out

    def forget(self) -> None:
        """Drop all numbers, half a gigabyte perhaps, and keep the order, for ``like``."""
        self._made = self._made.emptied()
        self._matrix = self._coupling = sp.csc_array((0, 0))

    def _believed(self, right: np.ndarray) -> np.ndarray:
        found = self._made.solve(right)
        if not direct.left_over(self._matrix, self._greatest, found, right) < direct.ACCURATE:
            if not isinstance(self._made, direct.Lu):
                try:
                    self._made = self._by_scipy(None)
                except RuntimeError:
                    raise ShellError(_LOOSE) from None
                return self._believed(right)
            raise ShellError("the stiffness could not be solved accurately: " + _LOOSE)
        return found


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
