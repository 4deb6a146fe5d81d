"""Where the foam of one port meets itself: behind a pillar, a kiss-off, or at the far side of a ring."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

BENT = 0.5
"""Fall of the way on both sides of a ridge, summed, a cell a cell: fronts that meet flatter leave no line; our
judgement, no published source."""
LEAST_CELLS = 4
"""Fewer are the grid's own; our judgement, no published source."""
LEAST_SHARE = 0.25
"""Of the square of the gap: a smaller line is none that weakens a part; our judgement, no published source."""
MOST = 12
"""Lines that are told of a pour, the largest; our judgement."""


def ridges(
    far_m: np.ndarray, beside: np.ndarray, links: coo_array, cell_m: float, gap_m: float
) -> list[tuple[np.ndarray, float]]:
    """Ridges of the way from a port: cells (k,) of each and its area [m2], the largest first.

    Parameters
    ----------
    far_m : array (n,)
        Way from the port to each cell; inf where foam does not get.
    beside : array (n, 6)
        Cells on both sides along each axis, -1 for none.
    links : sparse array (n, n)
        Cells that touch.
    cell_m, gap_m : float
        Of the gap the foam flows in: ridges less than `LEAST_SHARE` of its square are left out.

    Notes
    -----
    In a space without obstacles the way along cells and diagonals is a norm: no line through it finds a ridge. A ridge
    is where two ways round something are equally long, and there fronts meet.
    """
    reached = np.isfinite(far_m)
    counts = np.zeros((len(far_m), 3), bool)
    for axis in range(3):
        on, back = beside[:, 2 * axis], beside[:, 2 * axis + 1]
        ok = reached & (on >= 0) & (back >= 0)
        at = np.flatnonzero(ok)
        at = at[reached[on[at]] & reached[back[at]]]
        here, ahead, behind = far_m[at], far_m[on[at]], far_m[back[at]]
        top = (here >= behind) & (here > ahead) & (2 * here - ahead - behind >= BENT * cell_m)
        counts[at[top], axis] = True
    cells = np.flatnonzero(counts.any(axis=1))
    if not len(cells):
        return []
    number = np.full(len(far_m), -1)
    number[cells] = np.arange(len(cells))
    pairs = links.tocoo()
    both = (number[pairs.row] >= 0) & (number[pairs.col] >= 0)
    near = coo_array(
        (np.ones(int(both.sum()), np.int8), (number[pairs.row[both]], number[pairs.col[both]])), (len(cells),) * 2
    )
    pieces, piece = connected_components(near, directed=False)
    out = []
    for k in range(pieces):
        mine = cells[piece == k]
        area = float(np.linalg.norm(counts[mine].sum(axis=0))) * cell_m**2
        if len(mine) >= LEAST_CELLS and area >= LEAST_SHARE * gap_m**2:
            out.append((mine, area))
    return sorted(out, key=lambda ridge: -ridge[1])[:MOST]
