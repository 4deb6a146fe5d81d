"""The compiled counting sort that puts the half-edges of one edge together."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit


@njit(cache=True)
def by_two_keys(first: np.ndarray, second: np.ndarray, size: int) -> np.ndarray:
    """Order (k,) that sorts by ``first`` and then ``second``, both (k,) in 0 to ``size``; equal ones keep theirs."""
    k = len(first)
    half, order = np.empty(k, np.int64), np.empty(k, np.int64)
    at = np.zeros(size + 1, np.int64)
    for i in range(k):
        at[second[i] + 1] += 1
    for v in range(size):
        at[v + 1] += at[v]
    for i in range(k):
        half[at[second[i]]] = i
        at[second[i]] += 1
    at[:] = 0
    for i in range(k):
        at[first[i] + 1] += 1
    for v in range(size):
        at[v + 1] += at[v]
    for i in range(k):
        j = half[i]
        order[at[first[j]]] = j
        at[first[j]] += 1
    return order
