"""Sparse factors of a symmetric matrix: by a library of its own, and by scipy where that one cannot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as sla

try:
    import rslab

    READY: bool = True
except ImportError:  # a machine that it is not built for
    READY = False

ACCURATE = 1e-12  # of |A| |x| + |b|, left over by a solve that is believed


@dataclass(frozen=True, eq=False)
class Ldlt:
    """Supernodal L D L^T of the lower triangle (rslab, MIT), in an order by nested dissection of the graph.

    ``analysed`` serves again for a matrix with the same pattern.
    """

    analysed: Any
    made: Any
    negative: int

    @classmethod
    def of(cls, matrix: sp.csc_array, like: Ldlt | Lu | None) -> Ldlt:
        """Factors; ``RuntimeError`` where a pivot is zero."""
        lower = sp.csc_matrix(sp.tril(matrix, format="csc"))
        lower.sort_indices()
        if isinstance(like, Ldlt):
            try:
                return cls._with(like.analysed, lower)
            except ValueError:  # another pattern
                pass
        return cls._with(rslab.analyze(lower, path="ldlt", ordering="metis"), lower)

    @classmethod
    def _with(cls, analysed: Any, lower: sp.csc_matrix) -> Ldlt:
        made = analysed.factor(lower)
        return cls(analysed, made, int(made.inertia[1]))

    def solve(self, right: np.ndarray) -> np.ndarray:
        """Unknowns (n, k) for loads (n, k)."""
        return np.asarray(self.made.solve_many(np.ascontiguousarray(right)))

    def emptied(self) -> Ldlt:
        """Its order alone, to begin another one with."""
        return Ldlt(self.analysed, None, self.negative)


@dataclass(frozen=True, eq=False)
class Lu:
    """scipy's SuperLU with an order of elimination that is given."""

    made: Any
    order: np.ndarray
    negative: int

    @classmethod
    def of(cls, matrix: sp.csc_array, order: np.ndarray) -> Lu:
        """Factors; ``RuntimeError`` where a pivot is zero."""
        made = sla.splu(
            sp.csc_array(matrix[order][:, order]),
            permc_spec="NATURAL",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True, "Equil": False},
        )
        return cls(made, order, int((made.U.diagonal() < 0).sum()))

    def solve(self, right: np.ndarray) -> np.ndarray:
        """Unknowns (n, k) for loads (n, k)."""
        out = np.empty_like(right)
        out[self.order] = self.made.solve(np.ascontiguousarray(right[self.order]))
        return out

    def emptied(self) -> Lu:
        """Its order alone, to begin another one with."""
        return Lu(None, self.order, self.negative)


Factors = Ldlt | Lu


def left_over(matrix: sp.csc_array, size: float, found: np.ndarray, right: np.ndarray) -> float:
    """Unbalanced part of a solve over ``size |x| + |b|``, of loads (n, k) laid over one another; nan if not finite.

    ``size`` is the greatest sum of a column of ``|matrix|``.

    >>> left_over(sp.csc_array([[2.0]]), 2.0, np.array([[1.0]]), np.array([[2.0]]))
    0.0
    """
    share = np.cos(np.arange(right.shape[1])) / np.maximum(np.abs(right).max(axis=0, initial=0.0), 1e-300)
    x, b = found @ share, right @ share
    scale = size * float(np.abs(x).max(initial=0.0)) + float(np.abs(b).max(initial=0.0))
    left = float(np.abs(matrix @ x - b).max(initial=0.0))
    return left / scale if scale > 0 else left
