"""The net force of a lift's pressure on the piece, balanced by drag along its wall.

Foam that rises presses on the skin and drags along it. The two, and what it weighs, are in balance: a lift neither
lifts nor tips the piece it is poured into. Pressure alone is not in balance wherever the lift's top or bottom is no
wall, so the drag that belongs to it is put on the wall along its surface, where it bends no panel.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components


def pieces_of(triangles: np.ndarray, which: np.ndarray, vertices: int) -> np.ndarray:
    """Number (m,) of the piece each triangle of ``which`` hangs together with, by corners; -1 for the others."""
    corners = triangles[which]
    links = np.ones(2 * len(corners)), (np.repeat(corners[:, 0], 2), corners[:, 1:].ravel())
    _, piece = connected_components(coo_array(links, shape=(vertices, vertices)), directed=False)
    out = np.full(len(triangles), -1)
    out[which] = np.unique(piece[corners[:, 0]], return_inverse=True)[1]
    return out


def drag(
    points: np.ndarray, normals: np.ndarray, area_m2: np.ndarray, load: np.ndarray, carried: np.ndarray
) -> np.ndarray:
    """Forces (n, 3) along a surface that bring a load on it to balance.

    Parameters
    ----------
    points, normals : (n, 3) vertices [m] and their unit normals.
    area_m2 : (n,) of each vertex.
    load : (n, 3) forces [N] to balance.
    carried : (n,) bool, vertices that stand on the ground, which takes what they press down or pull up.

    Returns
    -------
    ndarray (n, 3)
        Of the form area (1 - n n^T) (a + b x r); together with the load not carried their sum and their moment vanish,
        as far as forces along this surface can bring that about (not for a flat sheet pushed square to itself).

    Examples
    --------
    A half ball, pushed from inside by 1 Pa on 2 pi m2 of it, is pushed up by pi newtons and gets them back:

    >>> rng = np.random.default_rng(0)
    >>> n = rng.normal(size=(4000, 3)); n /= np.linalg.norm(n, axis=1)[:, None]; n[:, 2] = abs(n[:, 2])
    >>> w = np.full(4000, 2 * np.pi / 4000)
    >>> push = n * w[:, None]
    >>> f = drag(n, n, w, push, np.zeros(4000, bool))
    >>> bool(abs((f + push).sum(axis=0)).max() < 1e-9), bool(abs((f * n).sum(axis=1)).max() < 1e-12)
    (True, True)
    """
    free = load.copy()
    free[carried, 2] = 0.0
    total = area_m2.sum()
    r = points - (area_m2 @ points) / total
    size = max(float(np.sqrt((area_m2 * (r**2).sum(axis=1)).sum() / total)), 1e-12)
    r = r / size
    want = -np.concatenate([free.sum(axis=0), np.cross(r, free).sum(axis=0)])
    along = np.eye(3) - normals[:, :, None] * normals[:, None, :]
    turn = np.zeros((len(r), 3, 3))  # b -> b x r
    turn[:, 0, 1], turn[:, 0, 2], turn[:, 1, 2] = r[:, 2], -r[:, 1], r[:, 0]
    turn[:, 1, 0], turn[:, 2, 0], turn[:, 2, 1] = -r[:, 2], r[:, 1], -r[:, 0]
    shape = area_m2[:, None, None] * (along @ np.concatenate([np.broadcast_to(np.eye(3), along.shape), turn], axis=2))
    turned = np.cross(r[:, :, None], shape, axis=1)
    matrix = np.concatenate([shape.sum(axis=0), turned.sum(axis=0)])
    how, *_ = np.linalg.lstsq(matrix, want, rcond=1e-6)
    return np.asarray(shape @ how)
