"""Explicit march of heat on a box of cells, layer by layer, each slab from its own start: fast, to be asked often.

Temperatures are kelvin above the air. Cells lie in one long array, a margin of empty ones around; what is no foam
holds nothing and is counted by nobody, so that a layer is one straight run of the same arithmetic.
"""

# mypy: allow-untyped-defs
from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

NO_FACE = -1e9
FAR, LEAST_AGE_S = 4.5, 3600.0
"""Layers stand still that are so many times as far as heat goes, in the age of what is hot and an hour at least, from
all that is hot or not settled yet: what they would still do reaches that by less than a hundredth of a kelvin."""


@njit(cache=True, nogil=True, fastmath=True, inline="never")
def _layer(now, new, keep, draw, upright, low, count, row, layer):
    """One step of the cells ``low <= i < low + count``: ``keep`` of what they had, ``draw`` of each of four neighbours.

    Of the two under and over them ``upright`` times as much.
    """
    t, out, a, b = now[low : low + count], new[low : low + count], keep[low : low + count], draw[low : low + count]
    left, right = now[low - 1 : low - 1 + count], now[low + 1 : low + 1 + count]
    back, front = now[low - row : low - row + count], now[low + row : low + row + count]
    under, over = now[low - layer : low - layer + count], now[low + layer : low + layer + count]
    for i in range(count):
        beside = left[i] + right[i] + back[i] + front[i]
        out[i] = t[i] * a[i] + b[i] * (beside + upright * (under[i] + over[i]))


@njit(cache=True, nogil=True, fastmath=True, inline="never")
def _peaks(new, peak, low, count):
    """The hottest of a layer; ``peak`` is kept."""
    value, most = new[low : low + count], peak[low : low + count]
    hot = np.float32(0.0)
    for i in range(count):
        most[i] = max(most[i], value[i])
        hot = max(hot, value[i])
    return hot


@njit(cache=True, nogil=True, fastmath=True, inline="never")
def _count(now, new, above, low, count, limit, step):
    """Time of a step above ``limit``, on a straight line from ``now`` to ``new``."""
    before, after, out = now[low : low + count], new[low : low + count], above[low : low + count]
    none, one, least = np.float32(0.0), np.float32(1.0), np.float32(1e-6)
    for i in range(count):
        high = max(before[i], after[i])
        out[i] += step * min(one, max(none, (high - limit) / max(high - min(before[i], after[i]), least)))


@njit(cache=True, nogil=True)
def _rest(asleep, near, left, since, before, lit, time, lower_k, spread):
    """Put layers to sleep that are far from all that is hot or not settled; whether any was.

    ``near`` (layers,) is written: layers to the nearest such. ``left`` (layers,) cells not settled yet, ``since``
    (layers,) last start in each, ``before`` (layers,) its hottest, ``spread`` [layers2/s] of conduction upwards.
    """
    layers, age, some = len(near), LEAST_AGE_S, False
    for z in range(layers):
        busy = left[z] > 0 or before[z] > lower_k
        if busy and left[z] == 0:
            age = max(age, time - since[z])
        near[z] = 0 if busy else (near[z - 1] + 1 if z > 0 else layers)
    reach = FAR * np.sqrt(spread * age)
    for z in range(layers - 1, -1, -1):
        if z + 1 < layers:
            near[z] = min(near[z], near[z + 1] + 1)
        if near[z] > reach and lit[z] and not asleep[z]:
            asleep[z], some = True, True
    return some


@njit(cache=True, nogil=True)
def march(
    where, slab_first, layer_of, run_first, run_low, run_count, row, layer, keep, draw, upright, share, share_over,
    skin_first, cell, skin_pull, nearer, into_cell, to_air, to_foam, skin_start, start, lowest, held, warm,
    curve_s, curve_share, rise, start_k, limit_k, lower_k, spread, step, most_steps, above, above_lower, peak, face,
):  # fmt: skip
    """March until nothing is above ``lower_k`` (no more than ``limit_k``) any more, at most ``most_steps``.

    ``where`` (n,) place of each cell, slab after slab: those of slab ``p`` are ``slab_first[p] <= i <
    slab_first[p + 1]``, in the layers ``layer_of``; layer ``z`` is the runs ``run_first[z] <= r < run_first[z + 1]``,
    each of ``run_count`` places from ``run_low`` on; ``row`` and ``layer`` are the steps to the neighbours beside and
    above. ``keep``, ``draw`` (places,) and ``upright`` as
    `_layer` has them; ``share`` of the way to the air that an open face is warmer than it, ``share_over`` that of a
    face over or under a cell. Pieces of skin lie slab after slab too
    (``skin_first``), each on a ``cell`` (a place), with ``skin_pull`` [W/K], kelvin of its cell a watt
    (``into_cell``), and the shares that it gives to the air (``to_air``) and takes a watt of the foam (``to_foam``).
    ``start`` (slabs,) [s]; ``lowest`` (slabs,) is the first slab of what is poured together; of the mean excess of the
    faces that it stands on, those at the skin by what their cells hold (``held``, places), ``warm`` (slabs,) is the
    share that the liquid begins warmer by. Foam at a skin has its own middle ``nearer`` of the way from its cell's
    to that of the skin. ``spread`` as `_rest` has it. ``above``, ``above_lower`` [s] and
    ``peak`` [K] (places,) are written, zero before, and ``face`` (slabs,) [K], the hottest face, where there is one. A
    slab counts from the step nearest to its start, with what ``curve_share`` has out by then. Returns the time at
    the end [s], negative where something was still hot.
    """
    slabs, layers = len(start), len(run_first) - 1
    first, second, third, mean = np.zeros_like(keep), np.zeros_like(keep), np.zeros_like(keep), np.zeros_like(keep)
    before = np.zeros(layers)
    skin = skin_start.copy()
    live, lit = np.zeros(slabs, np.bool_), np.zeros(layers, np.bool_)
    poured = np.zeros(len(keep), np.bool_)
    ghost, beside, ghosts = np.empty(len(where), np.int64), np.empty(len(where), np.int64), 0
    falls = np.empty(len(where), np.float32)
    asleep, near, since_s = np.zeros(layers, np.bool_), np.zeros(layers, np.int64), np.zeros(layers)
    left, settled, skin_layer = np.zeros(layers, np.int64), np.zeros(slabs, np.bool_), cell // layer
    for i in range(len(where)):
        left[layer_of[i]] += 1
    hottest, stood, excess = np.full(slabs, NO_FACE), np.zeros(slabs), np.zeros(slabs)
    sides = np.array([-layer, -1, 1, -row, row, layer])  # what lies under it first
    shares = np.float32(1.0) - np.array([share_over, share, share, share, share, share_over], np.float32)
    bare = np.float32(0.5) + np.float32(0.5) * shares
    toward = np.float32(upright)
    last_end = start.max() + curve_s[-1]
    time, open_ = 0.0, False  # open_: a step was made that is not counted yet
    for _ in range(most_steps):
        now, new = (second, third) if open_ else (first, second)
        fresh, reacts, reckoned, gain = False, False, np.nan, 0.0
        for p in range(slabs):
            if not live[p] and start[p] < time + 0.5 * step:
                fresh = True
                one = lowest[p]
                for i in range(slab_first[p], slab_first[p + 1]):
                    for s in range(6):
                        j = where[i] + sides[s]
                        if poured[j]:
                            hottest[one] = max(hottest[one], now[j] * bare[s])
        if fresh:  # the mean of what lies under each pour
            mean[:] = now
            for p in range(slabs):
                if live[p]:
                    for s in range(skin_first[p], skin_first[p + 1]):
                        mean[cell[s]] += nearer[s] * (skin[s] - now[cell[s]])
        for p in range(slabs):
            if fresh and not live[p] and lowest[p] == p and start[p] < time + 0.5 * step:
                for i in range(slab_first[p], slab_first[p + 1]):
                    j = where[i] - layer
                    if poured[j]:
                        stood[p] += held[where[i]] + held[j]
                        excess[p] += (held[where[i]] + held[j]) * mean[j] * bare[0]
        for p in range(slabs):
            if fresh and not live[p] and start[p] < time + 0.5 * step:
                live[p] = True
                begin = start_k + rise * curve_share[0]
                one = lowest[p]
                if hottest[one] > NO_FACE:
                    face[p] = hottest[one]
                    under = excess[one] / stood[one] if stood[one] > 0.0 else hottest[one]
                    begin += warm[p] * max(0.0, under - start_k)
                for i in range(slab_first[p], slab_first[p + 1]):
                    j = where[i]
                    first[j], now[j] = begin, begin
                    poured[j], lit[layer_of[i]] = True, True
                    above[j], above_lower[j], peak[j] = 0.0, 0.0, 0.0
        if fresh:  # cells not poured yet that a poured one looks at: they stand for the air over it
            ghosts = 0
            for p in range(slabs):
                if not live[p]:
                    for i in range(slab_first[p], slab_first[p + 1]):
                        for s in range(6):
                            if poured[where[i] + sides[s]]:
                                ghost[ghosts], beside[ghosts], falls[ghosts] = where[i], where[i] + sides[s], shares[s]
                                ghosts += 1
                                break
        for g in range(ghosts):
            now[ghost[g]] = now[beside[g]] * falls[g]
        for z in range(layers):
            if lit[z] and not asleep[z]:
                for r in range(run_first[z], run_first[z + 1]):
                    _layer(now, new, keep, draw, toward, run_low[r], run_count[r], row, layer)
        for p in range(slabs):
            if live[p]:
                for s in range(skin_first[p], skin_first[p + 1]):
                    if asleep[skin_layer[s]]:
                        continue
                    through = skin_pull[s] * (skin[s] - now[cell[s]])
                    new[cell[s]] += into_cell[s] * through
                    skin[s] -= to_air[s] * skin[s] + to_foam[s] * through
                since = time - start[p]
                if since + step > 0.0 and since < curve_s[-1]:
                    reacts = True
                    if start[p] != reckoned:  # slabs of one pour come one after another
                        reckoned = start[p]
                        gain = rise * (
                            np.interp(since + step, curve_s, curve_share)
                            - np.interp(max(since, 0.0), curve_s, curve_share)
                        )
                    for i in range(slab_first[p], slab_first[p + 1]):
                        new[where[i]] += gain
                elif not settled[p]:
                    settled[p] = True
                    for i in range(slab_first[p], slab_first[p + 1]):
                        left[layer_of[i]] -= 1
                        since_s[layer_of[i]] = max(since_s[layer_of[i]], start[p])
        time += step
        if not (open_ or reacts):  # where nothing reacts, two steps are one straight line
            open_ = True
            continue
        hot, span = np.float32(0.0), np.float32(2.0 * step if open_ else step)
        for z in range(layers):
            if lit[z] and not asleep[z]:
                top = np.float32(0.0)
                for r in range(run_first[z], run_first[z + 1]):
                    top = max(top, _peaks(new, peak, run_low[r], run_count[r]))
                most = max(top, before[z])
                before[z] = top
                for r in range(run_first[z], run_first[z + 1] if most > lower_k else run_first[z]):
                    _count(first, new, above_lower, run_low[r], run_count[r], np.float32(lower_k), span)
                    if most > limit_k:
                        _count(first, new, above, run_low[r], run_count[r], np.float32(limit_k), span)
                hot = max(hot, top)
        if time > last_end and hot <= lower_k:
            return time
        if open_:
            first, second, third, open_ = third, first, second, False
        else:
            first, second = second, first
        if _rest(asleep, near, left, since_s, before, lit, time, lower_k, spread):
            for z in range(layers):
                if asleep[z]:
                    for r in range(run_first[z], run_first[z + 1]):
                        low, high = run_low[r], run_low[r] + run_count[r]
                        second[low:high], third[low:high] = first[low:high], first[low:high]
    return -time


@njit(cache=True)
def reduce_slabs(values, where, slab_first):
    """Largest of ``values`` (places,) in each slab; 0 where it has no cell."""
    out = np.zeros(len(slab_first) - 1)
    for p in range(len(out)):
        for i in range(slab_first[p], slab_first[p + 1]):
            out[p] = max(out[p], values[where[i]])
    return out


@njit(cache=True, nogil=True)
def stood_on(label, fraction, slab_of, slabs):
    """Cells (slabs,) on which each slab stands on another, counted by the share that they and those under them hold.

    ``label`` (nx, ny, nz) is 0 in no node, and one more than its number in a node, of the slab ``slab_of`` (nodes,),
    negative where that is of none. ``fraction`` in 255ths.
    """
    out = np.zeros(slabs)
    for i in range(label.shape[0]):
        for j in range(label.shape[1]):
            under = -1
            for k in range(label.shape[2]):
                here = slab_of[label[i, j, k] - 1] if label[i, j, k] > 0 else -1
                if here >= 0 and under >= 0 and here != under:
                    out[here] += 0.5 * (float(fraction[i, j, k - 1]) + float(fraction[i, j, k])) / 255.0
                under = here
    return out
