"""Explicit march of heat on packed cells, slab by slab, each slab from its own start: fast enough to be asked often."""

# mypy: allow-untyped-defs
from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

SKIN, AIR = -1, -2  # in ``around``: nothing beyond that face (skin, counted apart); cavity that is never poured


@njit(cache=True, nogil=True, inline="always")
def _share_above(before, after, limit):
    """Share of a step above ``limit``, on a straight line; one of both is above it."""
    if before >= limit and after >= limit:
        return 1.0
    return (max(before, after) - limit) / abs(after - before)


@njit(cache=True, nogil=True)
def march(
    around, slab_first, per_heat, pull, film, cell, skin_pull, air_pull, skin_heat, start, curve_s, curve_share,
    rise, start_k, skin_k, air_k, limit_k, lower_k, step, most_steps, above, above_lower, peak,
):  # fmt: skip
    """March until nothing is above ``lower_k`` (no more than ``limit_k``) any more, at most ``most_steps``.

    Cells lie slab after slab: slab ``p`` is ``slab_first[p] <= i < slab_first[p + 1]``. ``around`` (n, 6) neighbours;
    ``per_heat`` (n,) K/J; ``pull`` W/K between two full cells; ``film`` W/K of a face open to the air inside; ``cell``
    (m,) the cell of each piece of skin, with its pulls [W/K] and heat [J/K] (0: no skin, the shop's air behind);
    ``start`` (slabs,) [s]; ``above`` and ``above_lower`` [s] and ``peak`` [K] (n,) are written.
    A slab counts from the step nearest to its start. Returns the time at the end [s], negative where something was
    still hot.
    """
    n, slabs = len(per_heat), len(start)
    now, new = np.full(n + 1, air_k), np.full(n + 1, air_k)
    skin, added = np.full(len(cell), skin_k), np.zeros(n)
    live, gain = np.zeros(slabs, np.bool_), np.zeros(slabs)
    slab = np.empty(n, np.int32)
    for p in range(slabs):
        slab[slab_first[p] : slab_first[p + 1]] = p
    ghost, beside, ghosts = np.empty(n, np.int32), np.empty(n, np.int32), 0
    lone = np.empty((n, 6), np.int32)  # neighbours to read: the cell itself at the skin
    airy = np.zeros(n)
    for i in range(n):
        above[i], above_lower[i], peak[i] = 0.0, 0.0, 0.0
        for a in range(6):
            lone[i, a] = around[i, a] if around[i, a] >= 0 else i
            if around[i, a] == AIR:
                airy[i] += film
    last_end = start.max() + curve_s[-1]
    time, share = 0.0, film / pull
    for _ in range(most_steps):
        fresh = False
        for p in range(slabs):
            since = time - start[p]
            if not live[p] and start[p] < time + 0.5 * step:
                live[p], fresh = True, True
                now[slab_first[p] : slab_first[p + 1]] = start_k
            gain[p] = 0.0
            if since + step > 0.0 and since < curve_s[-1]:
                gain[p] = rise * (
                    np.interp(since + step, curve_s, curve_share) - np.interp(max(since, 0.0), curve_s, curve_share)
                )
        if fresh:  # cells not poured yet that a poured one looks at: they stand for the air over it
            ghosts = 0
            for i in range(n):
                if not live[slab[i]]:
                    for a in (4, 0, 1, 2, 3, 5):  # what lies under it first
                        j = around[i, a]
                        if j >= 0 and live[slab[j]]:
                            ghost[ghosts], beside[ghosts] = i, j
                            ghosts += 1
                            break
        for g in range(ghosts):
            t = now[beside[g]]
            now[ghost[g]] = t + share * (air_k - t)
        for s in range(len(cell)):
            i = cell[s]
            if live[slab[i]]:
                through = skin_pull[s] * ((skin[s] if skin_heat[s] > 0.0 else air_k) - now[i])
                added[i] = step * per_heat[i] * through
                if skin_heat[s] > 0.0:
                    skin[s] += step * (air_pull[s] * (air_k - skin[s]) - through) / skin_heat[s]
        hot = 0.0
        for p in range(slabs):
            if not live[p]:
                continue
            for i in range(slab_first[p], slab_first[p + 1]):
                t = now[i]
                around_t = (
                    now[lone[i, 0]] + now[lone[i, 1]] + now[lone[i, 2]]
                    + now[lone[i, 3]] + now[lone[i, 4]] + now[lone[i, 5]]
                )  # fmt: skip
                flow = pull * (around_t - 6.0 * t) + airy[i] * (air_k - t)
                value = t + step * per_heat[i] * flow + added[i] + gain[p]
                new[i] = value
                if value > peak[i]:
                    peak[i] = value
                hot = max(hot, value)
                if value > lower_k or t > lower_k:
                    above_lower[i] += step * _share_above(t, value, lower_k)
                    if value > limit_k or t > limit_k:
                        above[i] += step * _share_above(t, value, limit_k)
        now, new = new, now
        time += step
        if time > last_end and hot <= lower_k:
            return time
    return -time


@njit(cache=True)
def reduce_slabs(values, slab_first):
    """Largest of ``values`` (n,) in each slab; 0 where it has no cell."""
    out = np.zeros(len(slab_first) - 1)
    for p in range(len(out)):
        for i in range(slab_first[p], slab_first[p + 1]):
            out[p] = max(out[p], values[i])
    return out
