"""Where the hook is in a slung piece's own axes, and how the weight parts among the legs."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from pourwright.errors import UsageError


def hook_of_lengths(points: np.ndarray, lengths: np.ndarray) -> tuple[np.ndarray, float]:
    """Place above three or more points at which legs of given lengths meet, and how far the worst misses it [m].

    Parameters
    ----------
    points : ndarray (n, 3)
        n >= 3, not in a line.
    lengths : ndarray (n,)

    Raises
    ------
    UsageError
        The legs are too short to meet, or the points are in a line.

    Examples
    --------
    >>> hook, miss = hook_of_lengths(np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0]]), np.full(3, 2**0.5))
    >>> hook.round(9).tolist(), round(miss, 9)
    ([0.0, 0.0, 1.0], 0.0)
    """
    base = points[0]
    away = points[1:] - base
    right = 0.5 * ((away**2).sum(axis=1) + lengths[0] ** 2 - lengths[1:] ** 2)
    u, size, v = np.linalg.svd(away, full_matrices=True)
    rank = int((size > 1e-6 * size[0]).sum())
    if rank < 2:
        raise UsageError("the sling points are in a line: give hook.at or hook.above instead of lengths")
    rank = min(rank, 3)
    found = v[:rank].T @ ((u.T @ right)[:rank] / size[:rank])
    if rank == 2:
        normal = v[2] if v[2][2] >= 0 else -v[2]
        left = lengths[0] ** 2 - found @ found
        if left <= 0:
            raise UsageError("the legs are too short to meet over the piece: give longer ones")
        found = found + normal * left**0.5
    hook = base + found
    return hook, float(np.abs(np.linalg.norm(hook - points, axis=1) - lengths).max())


def hook_over_two(a: np.ndarray, b: np.ndarray, length_a: float, length_b: float, centre: np.ndarray) -> np.ndarray:
    """Hook of a two-legged sling at rest: in the plane of the two points and the centre of mass, on its far side.

    >>> low = np.array([0.0, 0.3, -1.0])
    >>> hook_over_two(np.array([-1.0, 0, 0]), np.array([1.0, 0, 0]), 2**0.5, 2**0.5, low).round(6).tolist()
    [0.0, -0.287348, 0.957826]
    """
    axis = b - a
    apart = float(np.linalg.norm(axis))
    if apart < 1e-9:
        raise UsageError("two sling points are in one place: they are one leg")
    axis = axis / apart
    along = (length_a**2 - length_b**2 + apart**2) / (2 * apart)
    square = length_a**2 - along**2
    if square <= 0:
        raise UsageError("the legs are too short to meet over the piece: give longer ones")
    side = (a - centre) - axis * ((a - centre) @ axis)
    size = float(np.linalg.norm(side))
    if size < 1e-9:  # the centre of mass is on the line of the two points: any plane is at rest
        side = np.array([0.0, 0, 1.0]) - axis * axis[2]
        size = float(np.linalg.norm(side))
    return a + axis * along + side / size * square**0.5


def shares(legs: np.ndarray, up: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Tension of each leg for a unit weight: shared by stiffness, and the most that any safe path puts on it.

    Parameters
    ----------
    legs : ndarray (n, 3)
        From the piece to the hook, own lengths.
    up : ndarray (c, 3)
        Upwards at rest, unit, a row for each corner.

    Returns
    -------
    even : ndarray (c, n)
        Least-energy shares, same rope for all legs (stiffness by 1 / length). Negative: that leg is slack.
    most : ndarray (c, n)
        Greatest tension over every set of up to three legs that carries the weight alone without pushing; not a number
        where no set does.
    """
    length = np.linalg.norm(legs, axis=1)
    unit = (legs / length[:, None]).T  # (3, n)
    give = length.max() / length
    even = (give[:, None] * unit.T @ np.linalg.pinv((unit * give) @ unit.T, rcond=1e-10) @ up.T).T
    missed = np.abs(even @ unit.T - up).max(axis=1) > 1e-6
    even[missed] = np.nan
    most = np.full(even.shape, np.nan)
    n = len(legs)
    for size in range(1, min(n, 3) + 1):
        for chosen in combinations(range(n), size):  # a dozen legs at most
            part = unit[:, chosen]
            tension = (np.linalg.pinv(part, rcond=1e-10) @ up.T).T
            good = (np.abs(tension @ part.T - up).max(axis=1) < 1e-6) & (tension >= -1e-9).all(axis=1)
            rows = np.flatnonzero(good)
            for column, k in enumerate(chosen):
                most[rows, k] = np.fmax(most[rows, k], tension[rows, column])
    some = ~np.isnan(most).all(axis=1)
    most[some] = np.nan_to_num(most[some])
    return even, most
