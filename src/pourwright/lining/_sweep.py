"""Liquid swept over the inside while the piece is turned: pools stand level, leave a film behind, and get smaller."""

from __future__ import annotations

import numpy as np

from pourwright.cavity import kernel
from pourwright.lining._flood import _pop, _push, flood

MOST_POOLS = 64
"""Pools that are followed at once; what gathers elsewhere is counted to the largest. Our judgement."""
DROPS = 1e-3
"""Share of all liquid below which what collects in a place is counted to the largest pool; our judgement."""


@kernel
def _run(
    shape: tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray],
    height: np.ndarray,
    film: float,
    held: np.ndarray,
    touched: np.ndarray,
    count: int,
    laid: np.ndarray,
    feet: np.ndarray,
) -> int:
    """Let what is ``held`` on faces ``touched`` run down as a sheet; what a face has no film of yet stays on it.

    The rest goes to all lower faces around, by the fourth power of how steeply they lie below (P. Holmgren, Multiple
    flow direction algorithms, Hydrological Processes 8 (1994) 327-334, from memory: 4 to 6 spread it rightly). Returns
    how many ``feet`` (faces without a lower one) it came to; ``held`` is left non-zero on these only.
    """
    neighbour, middle, _, area = shape
    keys, items, size = np.empty(len(area) + 4), np.empty(len(area) + 4, np.int64), 0
    share = np.empty(neighbour.shape[1])
    for i in range(count):
        size = _push(keys, items, size, -height[touched[i]], touched[i])
    found = 0
    while size > 0:
        face = items[0]
        size = _pop(keys, items, size)
        have = held[face]
        keep = min(have, film * area[face] - laid[face])
        if keep > 0.0:
            laid[face] += keep
            have -= keep
        if have <= 1e-15 * area[face]:
            held[face] = 0.0
            continue
        total = 0.0
        for k in range(neighbour.shape[1]):
            other = neighbour[face, k]
            if other < 0:
                break
            share[k] = 0.0
            if height[other] < height[face]:
                away = 0.0
                for j in range(3):
                    away += (middle[other, j] - middle[face, j]) ** 2
                share[k] = ((height[face] - height[other]) ** 2 / away) ** 2
                total += share[k]
        if total == 0.0:
            held[face] = have
            feet[found] = face
            found += 1
            continue
        held[face] = 0.0
        for k in range(neighbour.shape[1]):
            other = neighbour[face, k]
            if other < 0:
                break
            if share[k] > 0.0:
                if held[other] == 0.0:
                    size = _push(keys, items, size, -height[other], other)
                held[other] += have * share[k] / total
    return found


@kernel
def sweep(
    shape: tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray],
    path: np.ndarray,
    growth: np.ndarray,
    film: float,
    pools: tuple[np.ndarray, np.ndarray],
    count: int,
    laid: np.ndarray,
    work: tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray],
    stamp: int,
) -> tuple[int, int]:
    """Take pools along a path of ways up: what runs over a face or stands on it leaves a film there and is less by it.

    At each way up what stood on a face runs down as a sheet, collects at the foot and stands level there; pools that
    meet become one. No liquid is lost: what was poured is in pools or on the wall.

    Parameters
    ----------
    shape : tuple
        ``neighbour`` (n, k), ``middle`` (n, 3), ``normal`` (n, 3) out of the cavity, ``area`` (n,) of the faces.
    path : ndarray (p, 3)
        Ways up.
    growth : ndarray (p,)
        Volume of the mix at each, as many times that of its liquids.
    film : float [m]
        That a wall keeps.
    pools : tuple of ndarray (MOST_POOLS,)
        A face under each pool, and its volume; what they are at the end of the path on return.
    count : int
        Of pools.
    laid : ndarray (n,) [m3]
        Liquid that stays on each face, up to ``film`` times its area; grows.
    work : tuple
        Depth (n,) float, ``owner``, ``seen``, ``marked`` (n,) int64 of -1, ``wet`` and ``again`` (n,) int64, ``gain``
        (n,) float of zeros.
    stamp : int
        New in ``seen`` and ``marked``.

    Returns
    -------
    count : int
    stamp : int
    """
    neighbour, middle, normal, area = shape
    places, volumes = pools
    depth, owner, seen, marked, wet, again, gain = work
    feet = np.empty(len(area), np.int64)
    sums = np.empty(MOST_POOLS)
    filled = 0
    for i in range(count):
        owner[places[i]], depth[places[i]] = i, 1.0
        wet[filled] = places[i]
        filled += 1
    for step in range(len(path)):
        height, floor = middle @ path[step], -(normal @ path[step]) * area
        sums[:] = 0.0
        for i in range(filled):
            sums[owner[wet[i]]] += depth[wet[i]] * area[wet[i]]
        stamp += 1
        whole, count = 0.0, 0
        for i in range(filled):
            face = wet[i]
            mine = owner[face]
            amount = volumes[mine] * depth[face] * area[face] / max(sums[mine], 1e-30)
            if amount > 0.0:
                gain[face] = amount
                again[count] = face
                count += 1
            owner[face], depth[face] = -1, 0.0
        found = _run(shape, height, film, gain, again, count, laid, feet)
        for i in range(found):
            whole += gain[feet[i]]
        count, filled = 0, 0
        for _ in range(found):  # the largest first; drops go to it
            best = -1
            for i in range(found):
                if gain[feet[i]] > 0.0 and (best < 0 or gain[feet[i]] > gain[feet[best]]):
                    best = i
            if best < 0:
                break
            amount = gain[feet[best]]
            gain[feet[best]] = 0.0
            if count > 0 and (amount < DROPS * whole or count == MOST_POOLS):
                volumes[0] += amount
                continue
            places[count], volumes[count] = feet[best], amount
            count += 1
        total = count
        for i in range(total):
            filled, stamp = _stand(
                neighbour,
                height,
                floor,
                growth[step],
                i,
                places,
                volumes,
                depth,
                owner,
                seen,
                wet,
                again,
                filled,
                stamp,
            )
        kept = 0
        for i in range(filled):  # faces of pools that were taken into others are told once
            face = wet[i]
            if owner[face] < 0 or marked[face] == stamp + 1:
                continue
            marked[face] = stamp + 1
            wet[kept] = face
            kept += 1
            need = min(film * area[face] - laid[face], volumes[owner[face]])
            if need > 0.0 and depth[face] >= growth[step] * film:
                laid[face] += need
                volumes[owner[face]] -= need
        filled = kept
        stamp += 1
    for i in range(filled):  # the lowest face of each pool stands for it
        owner[wet[i]], depth[wet[i]] = -1, 0.0
    left = 0
    for i in range(count):
        if volumes[i] > 0.0:
            places[left], volumes[left] = places[i], volumes[i]
            left += 1
    return left, stamp


@kernel
def _stand(
    neighbour: np.ndarray,
    height: np.ndarray,
    floor: np.ndarray,
    growth: float,
    mine: int,
    places: np.ndarray,
    volumes: np.ndarray,
    depth: np.ndarray,
    owner: np.ndarray,
    seen: np.ndarray,
    wet: np.ndarray,
    again: np.ndarray,
    filled: int,
    stamp: int,
) -> tuple[int, int]:
    """Let pool ``mine`` stand; pools it meets are taken into it. Its faces are added to ``wet``."""
    if volumes[mine] <= 0.0:
        return filled, stamp
    while True:
        stamp += 1
        places[mine], size = flood(
            neighbour, height, floor, places[mine], growth * volumes[mine], depth, again, seen, stamp
        )
        met = False
        for i in range(size):
            other = owner[again[i]]
            if other >= 0 and other != mine:
                volumes[mine] += volumes[other]
                volumes[other] = 0.0
                for k in range(filled):
                    if owner[wet[k]] == other:
                        owner[wet[k]] = -1
                met = True
        if not met:
            break
    kept = 0
    for k in range(filled):
        if owner[wet[k]] >= 0:
            wet[kept] = wet[k]
            kept += 1
    for i in range(size):
        owner[again[i]] = mine
        wet[kept] = again[i]
        kept += 1
    return kept, stamp
