"""How much of a flat triangle lies below a level."""

from __future__ import annotations

from typing import Any

import numpy as np


def share_below(first_m: float, second_m: float, third_m: float, level_m: float) -> float:
    """Share of a triangle's area below a level plane, from the heights of its corners a <= b <= c.

    (l - a)^2 / ((b - a)(c - a)) up to b, then 1 - (c - l)^2 / ((c - a)(c - b)); 0 under a, 1 from c on

    Parameters
    ----------
    first_m : float or array [m] e.g. 0
    second_m : float or array [m] e.g. 1
    third_m : float or array [m] e.g. 2
    level_m : float or array [m] e.g. 0.5

    Returns
    -------
    float or array [-]

    Notes
    -----
    Exact; any order of the corners. A triangle that lies flat in the level counts as below it.

    Examples
    --------
    >>> [round(float(share_below(0.0, 1.0, 2.0, level)), 4) for level in (-1.0, 0.5, 1.0, 1.5, 2.0)]
    [0.0, 0.125, 0.5, 0.875, 1.0]

    References
    ----------
    Areas of similar triangles go with the squares of their heights.
    """
    corners = np.broadcast_arrays(*(np.asarray(x, float) for x in (first_m, second_m, third_m)))
    a, b, c = np.sort(np.stack(corners), axis=0)
    level = np.asarray(level_m, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        rising = (level - a) ** 2 / ((b - a) * (c - a))
        falling = 1.0 - (c - level) ** 2 / ((c - a) * (c - b))
    share = np.where(level < b, rising, falling)
    share = np.where(level <= a, 0.0, share)
    whole: Any = np.where(level >= c, 1.0, share)
    return whole[()]
