"""Moments of nodes, added up cell by cell."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit


@njit(nogil=True)
def _step(low: int, high: int) -> float:
    """How much more the cell ahead holds than the one behind."""
    return float(high) - float(low)


@njit(cache=True, nogil=True)
def add_cells(
    label: np.ndarray,
    fraction: np.ndarray,
    origin_m: np.ndarray,
    cell_m: float,
    volume: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
) -> None:
    """Add every cell to its node."""
    place, own, slope = np.empty(3), np.empty(3), np.empty(3)
    nx, ny, nz = fraction.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                node = label[i, j, k] - 1
                if node < 0:
                    continue
                share = fraction[i, j, k] / 255.0
                slope[:] = 0.0
                if share < 1.0:
                    slope[0] = _step(fraction[i - 1, j, k] if i > 0 else 0, fraction[i + 1, j, k] if i < nx - 1 else 0)
                    slope[1] = _step(fraction[i, j - 1, k] if j > 0 else 0, fraction[i, j + 1, k] if j < ny - 1 else 0)
                    slope[2] = _step(fraction[i, j, k - 1] if k > 0 else 0, fraction[i, j, k + 1] if k < nz - 1 else 0)
                    length = np.sqrt(slope[0] ** 2 + slope[1] ** 2 + slope[2] ** 2)
                    if length > 0.0:
                        slope /= length
                place[0], place[1], place[2] = i, j, k
                kept = share * cell_m**3
                volume[node] += kept
                for a in range(3):
                    place[a] = origin_m[a] + (place[a] + 0.5 + 0.5 * (1.0 - share) * slope[a]) * cell_m
                    own[a] = (1.0 - slope[a] ** 2 * (1.0 - share**2)) / 12 * cell_m**2
                for a in range(3):
                    first[node, a] += kept * place[a]
                    second[node, a, a] += kept * own[a]
                    for b in range(3):
                        second[node, a, b] += kept * place[a] * place[b]
