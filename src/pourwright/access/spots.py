"""Columns worth a look among many alike: far from the outline, set out evenly, told apart by how the roof slopes."""

from __future__ import annotations

import edt
import numpy as np

from pourwright.access.hole_room import side_of
from pourwright.cavity import ColumnMap
from pourwright.compiled import njit

MOST_SPOTS = 80
"""Candidates of one group: a bound on the work."""


def slope_side(columns: ColumnMap, xy: np.ndarray) -> np.ndarray:
    """Side (runs,) that the roof of each column shows on, by its slope from column to column."""
    top = np.full(columns.shape[:2], np.nan)
    np.fmax.at(top, (xy[:, 0], xy[:, 1]), columns.high.astype(float))
    filled = np.where(np.isnan(top), 0.0, top)
    known = ~np.isnan(top)
    across, back = np.zeros_like(top), np.zeros_like(top)
    for slope, axis in ((across, 0), (back, 1)):
        ahead, behind = np.roll(filled, -2, axis) - filled, filled - np.roll(filled, 2, axis)
        both = known & np.roll(known, -2, axis) & np.roll(known, 2, axis)
        slope[both] = (0.25 * (ahead + behind))[both]
    normal = np.stack([-across, -back, np.ones_like(top)], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    return side_of(normal.reshape(-1, 3)).reshape(top.shape)[xy[:, 0], xy[:, 1]]


def sorted_rows(rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Different rows (k, m) of integers in order, and which of them each of ``rows`` (n, m) is, n at least 1.

    As numpy's unique rows, but sorted as one number each.
    """
    code, span = np.zeros(len(rows), np.int64), 1
    for column in rows.T:
        low, wide = int(column.min()), int(np.ptp(column)) + 1
        if span * wide >= 2**62:
            code = np.unique(code, return_inverse=True)[1]
            span = int(code.max()) + 1
        code, span = code * wide + (column - low), span * wide
    _, group = np.unique(code, return_inverse=True)
    keys = np.empty((int(group.max()) + 1, rows.shape[1]), rows.dtype)
    keys[group] = rows
    return keys, group


def inside_outline(columns: ColumnMap, xy: np.ndarray) -> np.ndarray:
    """Distance [cells] of every run (n,) from the outline of the cavity seen from above."""
    seen = np.zeros(columns.shape[:2], np.uint8)
    seen[xy[:, 0], xy[:, 1]] = 1
    return np.asarray(edt.edt(seen, black_border=True, parallel=1), float)[xy[:, 0], xy[:, 1]]


def set_out(xy: np.ndarray, inside: np.ndarray, spacing: float, room: float) -> tuple[np.ndarray, np.ndarray]:
    """Members of a group, its roomiest first and the others no nearer than ``spacing`` cells; and how far off it.

    With them the member that is farthest ``inside`` (n,) the outline of the piece: what falls there clears its walls.
    """
    low = xy.min(axis=0)
    mask = np.zeros(xy.max(axis=0) - low + 1, np.uint8)
    mask[tuple((xy - low).T)] = 1
    clear = edt.edt(mask, black_border=True, parallel=1)[tuple((xy - low).T)]
    middle = xy.mean(axis=0)
    best = int(np.lexsort((((xy - middle) ** 2).sum(axis=1), -np.round(clear, 3)))[0])
    inner = np.flatnonzero(clear >= min(room, 0.5 * clear.max()))
    picked = [best]
    away2 = _away2_from(xy, best)
    near2 = away2[inner]
    picked += inner[_set_out(xy[inner], near2, spacing**2, MOST_SPOTS - 1)].tolist()
    deep = int(np.lexsort((away2, -np.round(inside, 3)))[0])
    if deep not in picked:
        picked.append(deep)
    return np.array(picked), np.sqrt(away2[picked])


@njit(cache=True, nogil=True)
def _set_out(xy: np.ndarray, near2: np.ndarray, apart2: float, most: int) -> np.ndarray:
    """The farthest member (n, 2) from all that are picked, again and again; ``near2`` (n,) is written."""
    picked = np.empty(most, np.int64)
    for count in range(most):
        far = near2.argmax()
        if near2[far] <= apart2:
            return picked[:count]
        picked[count] = far
        for i in range(len(near2)):
            near2[i] = min(near2[i], (xy[i, 0] - xy[far, 0]) ** 2 + (xy[i, 1] - xy[far, 1]) ** 2)
    return picked


def _away2_from(xy: np.ndarray, which: int) -> np.ndarray:
    """Square of the distance [cells] (n,) of every column from one of them."""
    return ((xy - xy[which]) ** 2).sum(axis=1)
