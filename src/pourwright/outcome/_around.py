"""How often loops run around points, counted segment by segment in a compiled loop."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit


@njit(cache=True, nogil=True)
def around(points: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """See `silhouette.winding_numbers`."""
    out = np.zeros(len(points), np.int64)
    for s in range(len(start)):
        ax, ay, bx, by = start[s, 0], start[s, 1], end[s, 0], end[s, 1]
        low, high, way = (ay, by, 1) if ay < by else (by, ay, -1)
        for i in range(len(points)):
            x, y = points[i, 0], points[i, 1]
            if low <= y < high and way * ((bx - ax) * (y - ay) - (x - ax) * (by - ay)) > 0:
                out[i] += way
    return out
