"""Compiled heart of the heat computation: one stage of the field, and what is read off after a step.

A *regular* cell lies inside one pour with six full neighbours of the same pour: its equation needs one number. Regular
cells stand in runs along z in which the offsets to the neighbours stay the same, so that the loop runs straight through
memory. Every other cell is *odd*: it carries six conductances, its film to the air and its piece of skin.
No kernel adds across threads; sums are taken over fixed chunks, so results do not depend on how many threads there are.
"""

# mypy: allow-untyped-defs
from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

_ONE = np.uint64(1)
CHUNK = 4096  # cells of one partial sum and of one block: its lines stay in the cache of a core


@njit(cache=True, nogil=True)
def regular_first(runs, rate, source, y0, m0, out, step, low, high):
    """First stage on runs ``low`` to ``high``: slope ``m0`` of ``y0`` and ``out = y0 + step * m0``."""
    for r in range(low, high):
        # Unsigned, so that no index is checked for being counted from the end: twice as fast.
        start, pour = np.uint64(runs[r, 0]), runs[r, 2]
        stop = start + np.uint64(runs[r, 1])
        w, e, s, n = np.uint64(runs[r, 3]), np.uint64(runs[r, 4]), np.uint64(runs[r, 5]), np.uint64(runs[r, 6])
        a, q = rate[pour], source[pour]
        for i in range(start, stop):
            t = y0[i]
            m = a * (y0[i - _ONE] + y0[i + _ONE] + y0[i + w] + y0[i + e] + y0[i + s] + y0[i + n] - 6.0 * t) + q
            m0[i] = m
            out[i] = t + step * m


@njit(cache=True, nogil=True)
def regular_stage(runs, rate, source, y0, m0, y1, out, mu, nu, rest, slope, first, low, high):
    """Later stage: ``out = mu y1 + nu out + rest y0 + slope L(y1) + first m0``."""
    for r in range(low, high):
        # Unsigned, so that no index is checked for being counted from the end: twice as fast.
        start, pour = np.uint64(runs[r, 0]), runs[r, 2]
        stop = start + np.uint64(runs[r, 1])
        w, e, s, n = np.uint64(runs[r, 3]), np.uint64(runs[r, 4]), np.uint64(runs[r, 5]), np.uint64(runs[r, 6])
        a, q = slope * rate[pour], slope * source[pour]
        own = mu - 6.0 * a
        for i in range(start, stop):
            around = y1[i - _ONE] + y1[i + _ONE] + y1[i + w] + y1[i + e] + y1[i + s] + y1[i + n]
            out[i] = own * y1[i] + a * around + q + nu * out[i] + rest * y0[i] + first * m0[i]


# Columns of an odd cell's coefficients: six pulls [W/K], film [W/K], its own K/J, cell to skin [W/K], skin to air
# [W/K], the skin's K/J. Single precision: the loop is governed by memory, and a conductance known to 1e-7 is known
# well enough.
FILM, PER_HEAT, SKIN_PULL, AIR_PULL, SKIN_PER_HEAT, COLUMNS = 6, 7, 8, 9, 10, 11
UP = 5  # of the six: the cell above


@njit(cache=True, nogil=True)
def odd_first(cell, around, coef, pour, source, air, y0, m0, out, s0, sm0, sout, step, low, high):
    """First stage of the odd cells and their skin."""
    for q in range(low, high):
        i = cell[q]
        t = y0[i]
        flow = coef[q, FILM] * (air - t)
        for k in range(6):
            flow += coef[q, k] * (y0[around[q, k]] - t)
        across = coef[q, SKIN_PULL] * (t - s0[q])
        m = (flow - across) * coef[q, PER_HEAT] + source[pour[q]]
        m0[i] = m
        out[i] = t + step * m
        m = (across + coef[q, AIR_PULL] * (air - s0[q])) * coef[q, SKIN_PER_HEAT]
        sm0[q] = m
        sout[q] = s0[q] + step * m


@njit(cache=True, nogil=True)
def odd_stage(
    cell, around, coef, pour, source, air, y0, m0, y1, out, s0, sm0, s1, sout, mu, nu, rest, slope, first, low, high
):
    """Later stage of the odd cells and their skin."""
    for q in range(low, high):
        i = cell[q]
        t, s = y1[i], s1[q]
        flow = coef[q, FILM] * (air - t)
        for k in range(6):
            flow += coef[q, k] * (y1[around[q, k]] - t)
        across = coef[q, SKIN_PULL] * (t - s)
        m = (flow - across) * coef[q, PER_HEAT] + source[pour[q]]
        out[i] = mu * t + nu * out[i] + rest * y0[i] + slope * m + first * m0[i]
        m = (across + coef[q, AIR_PULL] * (air - s)) * coef[q, SKIN_PER_HEAT]
        sout[q] = mu * s + nu * sout[q] + rest * s0[q] + slope * m + first * sm0[q]


@njit(cache=True, nogil=True)
def first_stage(
    runs, rate, cell, around, coef, pour, source, air, y0, m0, out, s0, sm0, sout, step, block_run, block_odd, low, high
):
    """First stage of blocks ``low`` to ``high``: runs, then the odd cells among them while their lines are at hand."""
    for b in range(low, high):
        regular_first(runs, rate, source, y0, m0, out, step, block_run[b], block_run[b + 1])
        odd_first(
            cell, around, coef, pour, source, air, y0, m0, out, s0, sm0, sout, step, block_odd[b], block_odd[b + 1]
        )


@njit(cache=True, nogil=True)
def later_stage(
    runs, rate, cell, around, coef, pour, source, air, y0, m0, y1, out, s0, sm0, s1, sout,
    mu, nu, rest, slope, first, block_run, block_odd, low, high,
):  # fmt: skip
    """A later stage of blocks ``low`` to ``high``."""
    for b in range(low, high):
        regular_stage(runs, rate, source, y0, m0, y1, out, mu, nu, rest, slope, first, block_run[b], block_run[b + 1])
        odd_stage(
            cell, around, coef, pour, source, air, y0, m0, y1, out, s0, sm0, s1, sout,
            mu, nu, rest, slope, first, block_odd[b], block_odd[b + 1],
        )  # fmt: skip


@njit(cache=True, nogil=True)
def whole_step(
    runs, rate, cell, around, coef, pour, source, air, y0, m0, last, out, s0, sm0, skin_last, skin_out,
    begin, rows, step, block_run, block_odd, high,
):  # fmt: skip
    """All stages of a step, an odd number, on one thread: the answer stands in ``last`` and ``skin_last``."""
    first_stage(
        runs, rate, cell, around, coef, pour, source, air, y0, m0, last, s0, sm0, skin_last, begin * step,
        block_run, block_odd, 0, high,
    )  # fmt: skip
    for k in range(len(rows)):
        mu, nu, rest, slope, gamma = rows[k, 0], rows[k, 1], rows[k, 2], rows[k, 3], rows[k, 4]
        if k == 0:  # the stage before the first is the start itself
            rest, nu = rest + nu, 0.0
        later_stage(
            runs, rate, cell, around, coef, pour, source, air, y0, m0, last, out, s0, sm0, skin_last, skin_out,
            mu, nu, rest, slope * step, gamma * step, block_run, block_odd, 0, high,
        )  # fmt: skip
        last, out = out, last
        skin_last, skin_out = skin_out, skin_last


@njit(cache=True, nogil=True)
def stiffness(runs, rate, cell, around, coef, bare_film, fields, skins, rounds):
    """Bound [1/s] on the fastest rate of the network, whichever pours are in.

    Collatz and Wielandt: for a matrix without negative entries and any positive vector x, its largest eigenvalue is
    at most the largest (A x)_i / x_i. A is the network's matrix by absolute value, a face that may be open to the
    air counting with the larger of its two conductances. Each round takes x from the round before.
    """
    x, y = fields[0], fields[1]
    sx, sy = skins[0], skins[1]
    x[:] = 1.0
    sx[:] = 1.0
    bound = 0.0
    for _ in range(rounds):
        bound = 0.0
        for r in range(len(runs)):
            a, w, e, s, n = rate[runs[r, 2]], runs[r, 3], runs[r, 4], runs[r, 5], runs[r, 6]
            for i in range(runs[r, 0], runs[r, 0] + runs[r, 1]):
                y[i] = a * (x[i - 1] + x[i + 1] + x[i + w] + x[i + e] + x[i + s] + x[i + n] + 6.0 * x[i])
                bound = max(bound, y[i] / x[i])
        for q in range(len(cell)):
            i = cell[q]
            own = coef[q, FILM] + coef[q, SKIN_PULL]
            flow = coef[q, SKIN_PULL] * sx[q]
            for k in range(6):
                if around[q, k] != i:
                    own += max(coef[q, k], bare_film[q])
                    flow += coef[q, k] * x[around[q, k]]
            y[i] = (own * x[i] + flow) * coef[q, PER_HEAT]
            bound = max(bound, y[i] / x[i])
            sy[q] = ((coef[q, SKIN_PULL] + coef[q, AIR_PULL]) * sx[q] + coef[q, SKIN_PULL] * x[i]) * coef[
                q, SKIN_PER_HEAT
            ]
            bound = max(bound, sy[q] / sx[q])
            sy[q] = max(sy[q], 1e-3 * bound * sx[q])  # keeps x positive where there is no skin
        x[:] = y / bound
        x[-1] = 0.0
        sx[:] = sy / bound
    return bound


@njit(cache=True, nogil=True, error_model="numpy")
def read_cells(before, now, peak, above, thresholds, share, step, starts, stops, hottest, heat, low, high):
    """After a step, over chunks ``low`` to ``high``: peaks, seconds above thresholds, hottest and sum of share x T.

    ``thresholds`` stand lowest first. Loops that divide by nothing that could be zero run four cells at a time.
    """
    for c in range(low, high):
        begin, end = np.uint64(starts[c]), np.uint64(stops[c])
        top, was_top, total = -1e300, -1e300, 0.0
        for i in range(begin, end):
            t = now[i]
            total += share[i] * t
            top = t if t > top else top
            was_top = before[i] if before[i] > was_top else was_top
        for i in range(begin, end):
            peak[i] = now[i] if now[i] > peak[i] else peak[i]
        for k in range(len(thresholds)):
            limit = thresholds[k]
            if top <= limit and was_top <= limit:
                break
            spent = above[k]
            for i in range(begin, end):
                t, was = now[i], before[i]
                hot, cool = (t, was) if t > was else (was, t)
                part = step * (hot - limit) / (hot - cool)
                spent[i] += step if cool > limit else part if hot > limit else 0.0
        hottest[c], heat[c] = top, total


@njit(cache=True, nogil=True)
def read_odd(
    cell, coef, skin_heat, inner, pour_first, active_pours, bare, bare_share, bare_area, air, now, skin, peak, out
):  # fmt: skip
    """After a step, pour by pour over its odd cells; ``out`` (pours, 6).

    Columns: loss [W], heat in the skin [J above 0 K], hottest inner face of the skin, hottest bare top, area mean of
    the bare top, its area.
    """
    for p in range(active_pours):
        loss, stored, hot_skin, hot_top, top, area = 0.0, 0.0, -1e300, -1e300, 0.0, 0.0
        for j in range(pour_first[p], pour_first[p + 1]):
            q = np.uint64(j)
            t, s = now[cell[q]], skin[q]
            loss += coef[q, FILM] * (t - air)
            if coef[q, SKIN_PULL] > 0.0:
                loss += coef[q, AIR_PULL] * (s - air)
                stored += skin_heat[q] * s
                face = s + inner[q] * (t - s)
                if face > hot_skin:
                    hot_skin = face
                if face > peak[q]:
                    peak[q] = face
            if bare[q]:
                face = air + bare_share[q] * (t - air)
                if face > hot_top:
                    hot_top = face
                for _ in range(bare[q]):
                    top += bare_area[q] * face
                    area += bare_area[q]
        out[p, 0], out[p, 1], out[p, 2] = loss, stored, hot_skin
        out[p, 3], out[p, 4], out[p, 5] = hot_top, top / area if area > 0.0 else 0.0, area


@njit(cache=True, nogil=True)
def note_pours(hottest, chunk_heat, pour_chunks, share, capacity, count, read, row):
    """A moment of ``count`` pours from what was read, into ``row`` (5, pours); returns the heat in them [J above 0 K].

    ``share`` (pours,) is the sum of the filled shares of a pour's cells. Rows: core, mean, bare top, its mean, skin.
    """
    heat = 0.0
    for p in range(count):
        if pour_chunks[p] == pour_chunks[p + 1]:
            continue
        top, total = -1e300, 0.0
        for c in range(pour_chunks[p], pour_chunks[p + 1]):
            top = max(top, hottest[c])
            total += chunk_heat[c]
        row[0, p], row[1, p] = top, total / share[p]
        heat += capacity[p] * total
    for p in range(count):
        heat += read[p, 1]
        if read[p, 5] > 0.0:
            row[2, p], row[3, p] = read[p, 3], read[p, 4]
        if read[p, 2] > -1e299:
            row[4, p] = read[p, 2]
    return heat


@njit(cache=True, nogil=True)
def open_faces(around, full, bare_film, active_cells, active_odd, coef, bare):
    """Coefficients ``coef`` from those of all faces closed, ``full``, when the first ``active_cells`` hold foam.

    ``bare`` is filled with how many faces of each odd cell are open.
    """
    for q in range(active_odd):
        air = full[q, FILM]
        bare[q] = 0
        for k in range(6):
            if around[q, k] < active_cells:
                coef[q, k] = full[q, k]
            else:
                coef[q, k] = 0.0
                air += bare_film[q]
                bare[q] += 1
        coef[q, FILM] = air
        coef[q, PER_HEAT:] = full[q, PER_HEAT:]


@njit(cache=True, nogil=True)
def landing(cell, around, bare_share, cell_pour, lift_of, lift, active_cells, active_odd, air, now):
    """Hottest bare face that foam of ``lift`` will lie on; -1e300 if it lies on none."""
    hot = -1e300
    for q in range(active_odd):
        for k in range(6):
            n = around[q, k]
            if n >= active_cells and n < len(cell_pour) and lift_of[cell_pour[n]] == lift:
                face = air + bare_share[q] * (now[cell[q]] - air)
                if face > hot:
                    hot = face
    return hot


@njit(cache=True, nogil=True)
def stood_on(cell, around, bare_share, cell_pour, share, pour, active_cells, active_odd, air, now):
    """Mean of the bare faces that foam of ``pour`` will stand on, those at the skin by what their cells hold.

    -1e300 if it stands on none.
    """
    area, excess = 0.0, 0.0
    for q in range(active_odd):
        n = around[q, UP]
        if n >= active_cells and n < len(cell_pour) and cell_pour[n] == pour:
            held = 0.5 * (share[cell[q]] + share[n])
            area += held
            excess += held * bare_share[q] * (now[cell[q]] - air)
    return air + excess / area if area > 0.0 else -1e300


@njit(cache=True, nogil=True)
def find_runs(regular, west, east, south, north, pour, runs):
    """Runs of regular cells whose neighbours keep their offsets; returns how many were written to ``runs``."""
    count = 0
    for i in range(len(regular)):
        if not regular[i]:
            continue
        w, e, s, n = west[i] - i, east[i] - i, south[i] - i, north[i] - i
        if count > 0:
            r = count - 1
            if (
                runs[r, 0] + runs[r, 1] == i and runs[r, 2] == pour[i] and runs[r, 3] == w and runs[r, 4] == e
                and runs[r, 5] == s and runs[r, 6] == n
            ):  # fmt: skip
                runs[r, 1] += 1
                continue
        runs[count, 0], runs[count, 1], runs[count, 2] = i, 1, pour[i]
        runs[count, 3], runs[count, 4], runs[count, 5], runs[count, 6] = w, e, s, n
        count += 1
    return count
