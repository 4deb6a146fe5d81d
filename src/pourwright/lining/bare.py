"""What stays bare, and where."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from pourwright.lining.model import Bare
from pourwright.lining.surface import Inside

TOLD = 0.0005
"""Share of the inside from which a bare place is named; our judgement."""


def bare_places(inside: Inside, bare: np.ndarray) -> tuple[float, tuple[Bare, ...]]:
    """Share of the inside that is bare, and the connected places of it, largest first.

    Parameters
    ----------
    bare : ndarray (n,) bool
        Faces of ``inside``.

    Returns
    -------
    share : float
    places : tuple of Bare
        Those of at least `TOLD`, or the largest.
    """
    mine = bare & inside.counts
    whole = inside.to_coat_m2
    if not mine.any():
        return 0.0, ()
    rows, sides = np.nonzero((inside.around >= 0) & mine[:, None])
    others = inside.around[rows, sides]
    keep = mine[others]
    n = len(mine)
    _, name = connected_components(coo_array((np.ones(keep.sum()), (rows[keep], others[keep])), (n, n)), directed=False)
    area = np.bincount(name, np.where(mine, inside.area_m2, 0.0))
    out: list[Bare] = []
    for k in np.argsort(-area, kind="stable"):
        if area[k] <= 0 or (out and area[k] < TOLD * whole):
            break
        faces = np.flatnonzero((name == k) & mine)
        middle = np.average(inside.middle_m[faces], axis=0, weights=inside.area_m2[faces])
        at = faces[np.argmin(((inside.middle_m[faces] - middle) ** 2).sum(axis=1))]
        out.append(Bare(float(area[k]) / whole, inside.middle_m[at]))
    return float(inside.area_m2[mine].sum()) / whole, tuple(out)


def worst_of(inside: Inside, bare: np.ndarray) -> Bare:
    """Of faces (n,) bool that are bare: their share of the inside, and where the largest place of them is."""
    share, places = bare_places(inside, bare)
    return Bare(share, places[0].point_m if places else inside.middle_m[0])
