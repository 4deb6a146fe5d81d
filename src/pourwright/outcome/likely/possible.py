"""What is possible still: corners of the causes within the job's own ends, where each known weight holds."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np

from pourwright.outcome.likely.causes import Causes

SINGULAR = 1e-9
"""Of the weights' slopes, each scaled to 1: below this two weights tell the same."""
NEAR = 1e-9
SWEEPS = 30


def vertices(ends: np.ndarray, at: np.ndarray, slopes: np.ndarray, half: np.ndarray) -> np.ndarray:
    """Corners (c, n) of the box ``ends`` (2, n) where every weight stays within ``half`` (m,) of what it is at ``at``.

    ``slopes`` (m, n) are those of the weights; ``at`` lies in the box. Of a linear programme over the same room every
    basic solution: so many of the weights at an end as there are causes off theirs.

    >>> box = np.array([[-1.0, -1.0], [1.0, 1.0]])
    >>> vertices(box, np.zeros(2), np.array([[1.0, 1.0]]), np.array([0.5])).tolist()
    [[-1.0, 0.5], [-1.0, 1.0], [-0.5, 1.0], [0.5, -1.0], [1.0, -1.0], [1.0, -0.5]]
    """
    size = np.linalg.norm(slopes * (ends[1] - ends[0]), axis=1)
    bites = half < np.abs(slopes) @ (ends[1] - ends[0])
    slopes, half = slopes[bites] / size[bites, None], half[bites] / size[bites]
    count = len(at)
    loose = [k for k in range(count) if ends[1, k] > ends[0, k] and (slopes[:, k] != 0.0).any()]
    found = []
    for number in range(min(len(half), len(loose)) + 1):
        for told in combinations(range(len(half)), number):
            for free in combinations(loose, number):
                found.append(_basic(ends, at, slopes[list(told)], half[list(told)], list(free)))
    points = np.vstack(found)
    kept = (points >= ends[0] - NEAR).all(axis=1) & (points <= ends[1] + NEAR).all(axis=1)
    kept &= (np.abs((points - at) @ slopes.T) <= half + NEAR).all(axis=1)
    return np.asarray(np.unique(np.clip(points[kept], *ends).round(12), axis=0))


def _basic(ends: np.ndarray, at: np.ndarray, slopes: np.ndarray, half: np.ndarray, free: list[int]) -> np.ndarray:
    """Points (c, n) with the causes ``free`` as the weights at their ends have it, every other at its own end."""
    count, number = len(at), len(free)
    if number and abs(float(np.linalg.det(slopes[:, free] * (ends[1] - ends[0])[free]))) < SINGULAR:
        return np.zeros((0, count))
    held = [k for k in range(count) if k not in free]
    points = np.zeros((2 ** len(held), count))
    points[:, held] = np.array(list(product(*ends[:, held].T)))
    out = []
    for signs in product((-1.0, 1.0), repeat=number):
        one = points.copy()
        if number:
            rest = slopes[:, held] @ (points[:, held] - at[held]).T
            one[:, free] = at[free] + np.linalg.solve(slopes[:, free], (half * signs)[:, None] - rest).T
        out.append(one)
    return np.vstack(out)


def brought_back(
    causes: Causes, points: np.ndarray, ends: np.ndarray, at: np.ndarray, of_mass: np.ndarray, half: np.ndarray
) -> np.ndarray:
    """Points (c, n) by ``vertices`` moved, within their box, until the weights ``of_mass`` (m, p) are as they are due.

    A weight is a product of wall and density, so what keeps its limits along straight lines may pass them, or fall
    short of one that it lay on; each weight is put right in turn by the least step of the causes that have room.
    """
    points = points.copy()
    kg = of_mass @ causes.masses(at[None])[0]
    straight = (points - at) @ (of_mass @ causes.slopes(at)).T  # (c, m)
    edge = (1.0 - NEAR) * half - NEAR
    low = kg + np.where(straight >= edge, half, -half)
    high = kg + np.where(straight <= -edge, -half, half)
    for _ in range(SWEEPS):
        worst = 0.0
        for number, row in enumerate(of_mass):
            now = causes.masses(points) @ row
            past = np.minimum(now - low[:, number], 0.0) + np.maximum(now - high[:, number], 0.0)
            worst = max(worst, float(np.abs(past).max()))
            slopes = causes.slopes_at(points, row)
            way = -past[:, None] * slopes
            way[((points >= ends[1]) & (way > 0)) | ((points <= ends[0]) & (way < 0))] = 0.0
            step = (way * slopes).sum(axis=1)
            with np.errstate(invalid="ignore", divide="ignore"):
                share = np.where(step != 0.0, -past / step, 0.0)
            points = np.clip(points + share[:, None] * way, *ends)
        if worst < NEAR:
            break
    return points
