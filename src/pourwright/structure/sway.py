"""What of a push's movement is the whole piece giving way, and what is the skin giving way under the hand."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

LEAST = 30  # vertices of a slice, or it is taken thicker
DENT = 0.01  # of the movement, at least, is taken as the skin's: below, the slice tells of rounding


def slices(points_m: np.ndarray, faces: np.ndarray, at: np.ndarray, axis: int, half_m: float) -> list[np.ndarray]:
    """The part of the skin (indices) in a slice across the piece through each of some vertices, in one piece with it.

    Parameters
    ----------
    points_m, faces : (n, 3) [m] and (m, 3), the skin.
    at : (k,) vertices.
    axis : 0, 1 or 2, the piece's long way.
    half_m : half the thickness of a slice [m]; doubled until it holds 30 vertices.
    """
    a, b = faces[:, [0, 1, 2]].ravel(), faces[:, [1, 2, 0]].ravel()
    along, count = points_m[:, axis], len(points_m)
    out = []
    for vertex in at:
        half = half_m
        while True:
            inside = np.abs(along - along[vertex]) <= half
            keep = inside[a] & inside[b]
            joined = sp.coo_array((np.ones(int(keep.sum())), (a[keep], b[keep])), shape=(count, count))
            _, part = connected_components(joined, directed=False)
            mine = np.flatnonzero(inside & (part == part[vertex]))
            if len(mine) >= min(LEAST, count) or inside.all():
                break
            half *= 2
        out.append(mine)
    return out


def swayed(
    points_m: np.ndarray, weight: np.ndarray, each: list[np.ndarray], load: np.ndarray, moved: np.ndarray
) -> np.ndarray:
    """Work (k,) of loads (n, 3, k) on the rigid movement that fits the slice of each best, [N m] for 1 N: m.

    Parameters
    ----------
    points_m : (n, 3) [m].
    weight : (n,) area of the skin at each vertex.
    each : ``slices``.
    load, moved : (n, 3, k) [N] and [m].
    """
    out = np.zeros(len(each))
    for k, mine in enumerate(each):
        w = weight[mine] / weight[mine].sum()
        centre = w @ points_m[mine]
        size = max(float(np.sqrt(w @ ((points_m[mine] - centre) ** 2).sum(axis=1))), 1e-12)
        fit = _rigid((points_m[mine] - centre) / size)
        root = np.repeat(np.sqrt(w), 3)
        found, *_ = np.linalg.lstsq(root[:, None] * fit, root * moved[mine, :, k].ravel(), rcond=1e-6)
        pushed = np.flatnonzero(np.any(load[:, :, k] != 0, axis=1))
        out[k] = load[pushed, :, k].ravel() @ (_rigid((points_m[pushed] - centre) / size) @ found)
    return out


def _rigid(arm: np.ndarray) -> np.ndarray:
    """Movements (3 n, 6) of points (n, 3) for unit shifts and turns."""
    made = np.zeros((len(arm), 3, 6))
    made[:, range(3), range(3)] = 1.0
    for i in range(3):
        made[:, :, 3 + i] = np.cross(np.eye(3)[i], arm)
    return made.reshape(-1, 6)
