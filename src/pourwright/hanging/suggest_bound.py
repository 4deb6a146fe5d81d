"""A lower bound of the use of a limit for many sets of anchor places at once."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from pourwright.hanging.rule import Rule

FLAT = 0.01
"""Three anchors and more whose spread across is a tenth of that along (squared) are no pattern (our judgement)."""
CHUNK = 4000


def lower_bounds(
    sets: np.ndarray, places: np.ndarray, rules: list[tuple[Rule, ...]], wrenches: list[np.ndarray]
) -> np.ndarray:
    """For each set (s, n) of numbers of places (c, 2), no more than the largest use with any one gone.

    Parameters
    ----------
    rules : list of tuple of Rule
        Of each place, every one with a limit.
    wrenches : list of ndarray (r, 6)
        Force and moment about the origin of the wall under each combination of loads.

    Notes
    -----
    Shear by the elastic method and pull where nothing bears, anchors alike. The pull of two is taken as nothing; three
    and more nearly in a line are not to be had (inf). What the wall bears can only add to the use.
    """
    loads = np.vstack(wrenches)
    out = np.zeros(len(sets))
    for first in range(0, len(sets), CHUNK):
        chunk = sets[first : first + CHUNK]
        for gone in (None, *range(sets.shape[1])):
            left = chunk if gone is None else np.delete(chunk, gone, axis=1)
            out[first : first + CHUNK] = np.maximum(out[first : first + CHUNK], _used(left, places, rules, loads))
    return out


def _used(left: np.ndarray, places: np.ndarray, rules: list[tuple[Rule, ...]], loads: np.ndarray) -> np.ndarray:
    at = places[left]  # (s, n, 2)
    shear, swings = _shear(at, loads)
    out, flat = _pull(at, loads)
    most = np.zeros(len(left))
    for c in np.unique(left):
        where = np.nonzero(left == c)
        v, p = shear[where], out[where]  # (k, r)
        used = np.max([rule.value(v, p) / rule.limit for rule in rules[c]], axis=(0, 2))
        np.maximum.at(most, where[0], used)
    most[swings | (flat & (left.shape[1] > 2))] = math.inf
    return most


def _shear(at: np.ndarray, loads: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Shear (s, n, r) and whether all are in one place (s,)."""
    n = at.shape[1]
    middle = at.mean(axis=1)
    arm = at - middle[:, None]
    polar = (arm**2).sum(axis=(1, 2))
    fx, fy, mz = loads[:, 0], loads[:, 1], loads[:, 5]
    turn = mz - (middle[:, :1] * fy - middle[:, 1:] * fx)  # (s, r)
    swings = polar < 1e-12
    share = turn / np.where(swings, 1.0, polar)[:, None]
    x = fx / n - arm[:, :, 1, None] * share[:, None]
    y = fy / n + arm[:, :, 0, None] * share[:, None]
    return np.hypot(x, y), swings


def in_line(places: np.ndarray) -> bool:
    """Whether three or more places (n, 2) are no pattern.

    >>> in_line(np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.1]])), in_line(np.array([[0.0, 0.0], [1.0, 0.0], [0.5, 0.5]]))
    (True, False)
    """
    return len(places) > 2 and bool(_pull(places[None], np.zeros((1, 6)))[1][0])


def _pull(at: np.ndarray, loads: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Force out of the wall (s, n, r) where nothing bears, and which sets are in a line (s,): there it is nothing."""
    n = at.shape[1]
    middle = at.mean(axis=1)
    arm = at - middle[:, None]
    second = np.einsum("sni,snj->sij", arm, arm)
    spread = np.trace(second, axis1=1, axis2=2)
    flat = np.linalg.det(second) < FLAT * np.maximum(spread, 1e-300) ** 2
    second[flat] = np.eye(2)
    fz = loads[:, 2]
    first = np.stack([-loads[:, 4] - middle[:, :1] * fz, loads[:, 3] - middle[:, 1:] * fz], axis=1)  # (s, 2, r)
    bend = np.linalg.solve(second, first)
    out = fz / n + np.einsum("sni,sir->snr", arm, bend)
    out[flat] = 0.0
    return out, flat
