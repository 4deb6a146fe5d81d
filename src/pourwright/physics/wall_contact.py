"""A body on elastic anchors that bears on its wall where it touches it: anchors only pull, the wall only pushes."""

from __future__ import annotations

import numpy as np
from scipy.optimize import nnls

HEAVY = 1e4
"""Weight of balance over energy while it is sought which anchors pull and where the wall pushes."""
LOST = 1e-7
"""Share of the load that may be left out of balance."""


def pulls_with_wall(
    places_m: np.ndarray,
    stiffness_n_m: np.ndarray,
    touching_m: np.ndarray,
    pull_n: np.ndarray,
    moment_nm: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Pulls of anchors and pushes of the wall on a rigid body: least energy of the anchors, no force below nothing.

    min sum N^2 / 2k with sum N - sum R = P, sum N x - sum R x = Mx, sum N y - sum R y = My, N >= 0, R >= 0.

    Parameters
    ----------
    places_m : array [m] e.g. [[0,0.1],[1,0.1],[0,0.5],[1,0.5]]
    stiffness_n_m : array [N/m] e.g. [2,1,1,1]
    touching_m : array [m] e.g. [[0,0],[1,0],[1,0.6],[0,0.6]]
    pull_n : array [N] e.g. [0,10]
    moment_nm : array [N m] e.g. [[0,100],[1,80]]

    Returns
    -------
    pulls : array [N]
    pushes : array [N]

    Notes
    -----
    In the wall: ``places_m`` (n, 2) of the anchors, ``stiffness_n_m`` (n,) out of it, ``touching_m`` (m, 2) where the
    body may bear on it. Each of c loads pulls the body out of the wall with ``pull_n`` (c,), whose first moments with
    what turns the body are ``moment_nm`` (c, 2): of a force p at (x, y), p x and p y. Returns (c, n) and (c, m). The
    wall is rigid and without friction, the movement small. The sum of the pushes and its place are certain; how they
    are shared between more than three points is not.
    A load that these anchors and this wall cannot balance is a ValueError: somewhere one would have to push, or the
    wall to pull.

    Examples
    --------
    >>> corners = [[0, 0], [1, 0], [1, 1], [0, 1]]
    >>> rows = [[0.2, 0.3], [0.8, 0.3], [0.2, 0.7], [0.8, 0.7]]
    >>> n, r = pulls_with_wall(rows, [1.0] * 4, corners, [0.0], [[0.0, 500.0]])
    >>> n.round(1)  # 500 h / sum h^2, h from the lower edge
    array([[129.3, 129.3, 301.7, 301.7]])
    >>> float(r.sum().round(1))
    862.1

    References
    ----------
    Least complementary energy with one-sided supports (Kuhn and Tucker's conditions), any text on contact mechanics;
    found by non-negative least squares (Lawson and Hanson, Solving Least Squares Problems, from memory).
    """
    places, k = np.asarray(places_m, float).reshape(-1, 2), np.asarray(stiffness_n_m, float)
    wall = np.asarray(touching_m, float).reshape(-1, 2)
    n, points = len(places), np.vstack([places, wall])
    origin = places.mean(axis=0)
    reach = max(float(np.abs(points - origin).max()), 1e-300)
    sign = np.r_[np.ones(n), -np.ones(len(wall))]
    system = sign * np.column_stack([np.ones(len(points)), (points - origin) / reach]).T
    energy = np.r_[k.max() / k, np.zeros(len(wall))]
    pull = np.asarray(pull_n, float)
    moments = (np.asarray(moment_nm, float) - pull[:, None] * origin) / reach
    loads = np.column_stack([pull, moments])
    found = np.zeros((len(loads), len(points)))
    groups: dict[tuple[bool, ...], list[int]] = {}
    for row, load in enumerate(loads):
        groups.setdefault(_acting(system, energy, load), []).append(row)
    for acting, rows in groups.items():
        chosen = np.flatnonzero(acting)
        found[np.array(rows)[:, None], chosen] = loads[rows] @ _share(system[:, chosen], energy[chosen]).T
    left = np.abs(found @ system.T - loads).max(axis=1)
    size = np.abs(loads).max(axis=1)
    if (left > LOST * size).any() or (found < -LOST * np.maximum(size, 1e-300)[:, None]).any():
        raise ValueError("these anchors cannot balance this load: one would have to push, or the wall to pull")
    return found[:, :n], found[:, n:]


def _acting(system: np.ndarray, energy: np.ndarray, load: np.ndarray) -> tuple[bool, ...]:
    """Which anchors pull and which points bear under a load (3,)."""
    size = float(np.abs(load).max())
    if size == 0:
        return (False,) * len(energy)
    held = np.diag(np.sqrt(energy))[energy > 0]
    matrix = np.vstack([HEAVY * system, held])
    wanted = np.r_[HEAVY * load / size, np.zeros(len(held))]
    return tuple(bool(value) for value in nnls(matrix, wanted)[0] > 0)


def _share(system: np.ndarray, energy: np.ndarray) -> np.ndarray:
    """Forces (a, 3) of what acts for a load of one of each kind: least energy in balance."""
    a = system.shape[1]
    whole = np.block([[np.diag(energy), -system.T], [system, np.zeros((3, 3))]])
    return np.linalg.pinv(whole, rcond=1e-12)[:a, a:]
