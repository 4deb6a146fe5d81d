"""Compiled march of foam and air through the network of a pour."""

# mypy: allow-untyped-defs
from __future__ import annotations

import numpy as np

from pourwright.compiled import njit
from pourwright.physics.constants import STANDARD_GRAVITY

_G = STANDARD_GRAVITY
_BUBBLES_M2 = 1e3  # open area that stands for air rising through the foam above it
_TIRED = 30  # whole steps of Newton, after which they are halved
_AIR_OFF = 0.02  # of the pressure of the air, most by which the fronts may misjudge it in a step


@njit(cache=True, nogil=True)
def components(full, low, high, owner):
    """``owner[i]``: smallest index of the set of not-full nodes that hang together with ``i``; -1 for full ones."""
    n = len(full)
    for i in range(n):
        owner[i] = -1 if full[i] else i
    changed = True
    while changed:
        changed = False
        for e in range(len(low)):
            i, j = low[e], high[e]
            if owner[i] >= 0 and owner[j] >= 0 and owner[i] != owner[j]:
                least = min(owner[i], owner[j])
                owner[i] = least
                owner[j] = least
                changed = True
        for e in range(len(low) - 1, -1, -1):
            i, j = low[e], high[e]
            if owner[i] >= 0 and owner[j] >= 0 and owner[i] != owner[j]:
                least = min(owner[i], owner[j])
                owner[i] = least
                owner[j] = least
                changed = True


@njit(cache=True, nogil=True)
def air_pressure(amount, room, leak, atm):
    """Absolute pressure of air squeezed into ``room`` while it leaves through holes, and its slope with the room.

    Solves ``p/atm (room + leak sqrt(p - atm)) = amount``: what stays and what leaves in the step make up the air there
    was. ``amount`` is a volume at the outside pressure, ``leak`` time times discharge times area times sqrt(2/rho).
    A cubic in sqrt(p - atm), rising and convex: Newton from above.
    """
    if amount <= room:
        return (atm, 0.0) if leak > 0.0 else (atm * amount / room, -atm * amount / (room * room))
    x = np.inf
    if leak > 0.0:
        x = (amount - room) / leak
    if room > 0.0:
        x = min(x, (atm * (amount - room) / room) ** 0.5)
    for _ in range(60):
        value = (atm + x * x) * (room + leak * x) - amount * atm
        slope = 2 * x * (room + leak * x) + (atm + x * x) * leak
        new = x - value / slope
        if abs(new - x) <= 1e-13 * x:
            break
        x = new
    slope = 2 * x * (room + leak * x) + (atm + x * x) * leak
    return atm + x * x, -2 * x * (atm + x * x) / slope


@njit(cache=True, nogil=True)
def state_of(u, volume, amount, rest, leak, gas, solid, atm):
    """Fill, pressure, mass of a room and the slopes of the last two with ``u``.

    ``u`` in [-1, 0]: partly full, fill 1 + u, at the pressure of its air (``amount`` of it in the set of rooms it
    belongs to, ``rest`` the room of the set's air elsewhere). Above 0: full, and pressed by the share u over the
    pressure at which it became full.
    """
    fill = min(1.0 + u, 1.0)
    p, slope = air_pressure(amount, max(rest + volume * (1.0 - fill), 1e-9 * volume), leak, atm)
    if u > 0.0:
        edge = p
        p = edge * (1.0 + u)
        v = solid + gas * atm / p
        return 1.0, p, volume / v, edge, volume / (v * v) * gas * atm / (p * p) * edge
    v = solid + gas * atm / p
    dp = -volume * slope
    return fill, p, fill * volume / v, dp, volume / v + fill * volume / (v * v) * gas * atm / (p * p) * dp


@njit(cache=True, nogil=True)
def solve_banded(matrix, right, width):
    """Solve in place by elimination without pivoting.

    ``matrix`` (n, 2 width + 1) holds row i at columns j - i + width; each column's diagonal outweighs the rest of it.
    """
    n = len(right)
    for i in range(n):
        pivot = matrix[i, width]
        for r in range(i + 1, min(i + width + 1, n)):
            factor = matrix[r, i - r + width] / pivot
            if factor != 0.0:
                for c in range(i, min(i + width + 1, n)):
                    matrix[r, c - r + width] -= factor * matrix[i, c - i + width]
                right[r] -= factor * right[i]
    for i in range(n - 1, -1, -1):
        value = right[i]
        for c in range(i + 1, min(i + width + 1, n)):
            value -= matrix[i, c - i + width] * right[c]
        right[i] = value / matrix[i, width]


@njit(cache=True, nogil=True)
def step(
    u, mass, dt, gas, solid, atm, mu, volume, height, low, high, ease, out_node, out_ease, out_head,
    amount, rest, leak, width, matrix, right, fill, p, m, dp, dm, flow, out_flow,
):  # fmt: skip
    """One implicit step of ``dt``; updates ``u``. Returns True when the balance of every node closes."""
    n, total = len(u), mass.sum()
    for turn in range(90):
        for i in range(n):
            fill[i], p[i], m[i], dp[i], dm[i] = state_of(u[i], volume[i], amount[i], rest[i], leak[i], gas, solid, atm)
        matrix[:] = 0.0
        for i in range(n):
            right[i] = mass[i] - m[i]
            matrix[i, width] = max(dm[i], 1e-14 * total)
        for e in range(len(low)):
            i, j = low[e], high[e]
            dense = 1.0 / (solid + gas * atm / p[i])
            drive = p[i] - p[j] - dense * _G * (height[j] - height[i])
            up = i if drive > 0.0 else j
            dense = 1.0 / (solid + gas * atm / p[up])
            conduct = dt * dense * ease[e] / mu
            share = fill[up]
            flow[e] = conduct * share * drive
            by_i, by_j = conduct * share * dp[i], -conduct * share * dp[j]
            if u[up] <= 0.0:
                if up == i:
                    by_i += conduct * drive
                else:
                    by_j += conduct * drive
            right[i] -= flow[e]
            right[j] += flow[e]
            matrix[i, width] += by_i
            matrix[j, width] -= by_j
            matrix[i, j - i + width] += by_j
            matrix[j, i - j + width] -= by_i
        for k in range(len(out_node)):
            i = out_node[k]
            out_flow[k] = 0.0
            if u[i] > 0.0 and out_ease[k] > 0.0:
                dense = 1.0 / (solid + gas * atm / p[i])
                drive = p[i] - atm - dense * _G * out_head[k]
                if drive > 0.0:
                    conduct = dt * dense * out_ease[k] / mu
                    out_flow[k] = conduct * drive
                    right[i] -= out_flow[k]
                    matrix[i, width] += conduct * dp[i]
        worst = 0.0
        for i in range(n):
            worst = max(worst, abs(right[i]))
        if worst <= 1e-10 * total:
            return True
        solve_banded(matrix, right, width)
        for i in range(n):
            change = min(max(right[i], -0.5), 0.5)
            if turn >= _TIRED:  # at a bend of the flow whole steps can go to and fro between two states for ever
                change *= 0.5
            new = u[i] + change
            # The bend at full: stop on it once, so that the slope of the other side is seen.
            if (u[i] < 0.0 and new > 0.0) or (u[i] > 0.0 and new < 0.0):
                new = 1e-12 if new > 0.0 else -1e-12
            if rest[i] <= 0.0 and leak[i] <= 0.0 and amount[i] > 0.0:
                new = min(new, -1e-6)  # the last of its air has no way out
            u[i] = max(new, -1.0)
    return False


@njit(cache=True, nogil=True)
def march(
    mass, times, gases, mus, solid, atm, volume, height, low, high, ease, area, out_node, out_ease, out_head, out_air,
    discharge, air_density, width, fill, filled_s, speed, drop, peak, peak_s, out_mass, out_from, out_back, history,
    air_flow,
):  # fmt: skip
    """From the first time to the last; returns how many steps were cut in two, -1 if one could not be taken.

    ``history`` (times, 3): foam volume, highest front, highest gauge pressure. ``air_flow`` (times, outlets) [m3/s].
    """
    n, outs = len(mass), len(out_node)
    u = np.empty(n)
    air = np.empty(n)  # amount of air in the room, as its volume at the outside pressure
    for i in range(n):
        v = solid + gases[0]
        fill[i] = min(mass[i] * v / volume[i], 1.0)
        u[i] = fill[i] - 1.0 if mass[i] * v <= volume[i] else 1e-12
        air[i] = volume[i] * (1.0 - fill[i])
    p, m, dp, dm = np.full(n, atm), mass.copy(), np.zeros(n), np.zeros(n)
    flow, out_flow = np.zeros(len(low)), np.zeros(outs)
    matrix, right = np.zeros((n, 2 * width + 1)), np.zeros(n)
    owner = np.empty(n, np.int64)
    amount, rest, leak = np.empty(n), np.empty(n), np.empty(n)
    fill_was, u_was, p_was, left = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    sets = np.zeros((n, 3))  # of rooms with air that hang together: amount of air, room it has, open area
    full, caught = np.zeros(n, np.bool_), np.zeros(n, np.bool_)
    tops = np.ones(n, np.bool_)  # rooms from which nothing leads up: only there can air be caught
    for e in range(len(low)):
        tops[low[e]] = False
    cuts = 0
    for s in range(1, len(times)):
        now, end, dt = times[s - 1], times[s], times[s] - times[s - 1]
        while now < end - 1e-9 * end:
            dt = min(dt, end - now)
            at = (now + dt - times[s - 1]) / (times[s] - times[s - 1])
            gas = gases[s - 1] + at * (gases[s] - gases[s - 1])
            mu = mus[s - 1] * (mus[s] / mus[s - 1]) ** at
            for i in range(n):
                full[i] = u[i] > 0.0
            components(full, low, high, owner)
            sets[:] = 0.0
            for i in range(n):
                fill_was[i], u_was[i], p_was[i] = fill[i], u[i], p[i]
                if owner[i] >= 0:
                    sets[owner[i], 0] += air[i]
                    sets[owner[i], 1] += volume[i] * (1.0 - fill[i])
            for k in range(outs):
                o = owner[out_node[k]]
                if o >= 0:
                    sets[o, 2] += out_air[k]
            caught[:] = False
            for i in range(n):
                if tops[i] and owner[i] >= 0:
                    caught[owner[i]] = True
            for o in range(n):
                if owner[o] == o and not caught[o]:
                    sets[o, 2] += _BUBBLES_M2  # foam above it only: air rises through it
            for i in range(n):
                o = owner[i]
                if o < 0:  # full: its pressure is counted from the outside's
                    amount[i], rest[i], leak[i], u[i] = 0.0, 0.0, 1.0, max(p[i] / atm - 1.0, 1e-12)
                else:
                    amount[i], rest[i] = sets[o, 0], max(sets[o, 1] - volume[i] * (1.0 - fill[i]), 0.0)
                    leak[i] = dt * discharge * sets[o, 2] * (2 / air_density) ** 0.5
            good = step(
                u, mass, dt, gas, solid, atm, mu, volume, height, low, high, ease, out_node, out_ease, out_head,
                amount, rest, leak, width, matrix, right, fill, p, m, dp, dm, flow, out_flow,
            )  # fmt: skip
            if good and dt > 1e-3 * (times[s] - times[s - 1]):
                # Each front saw the room of its air shrink by its own doing only: too far off, and the step is halved.
                good = _air_agrees(fill, p, volume, owner, sets, leak, left, atm)
            if not good:
                cuts += 1
                dt *= 0.5
                for i in range(n):
                    u[i], fill[i], p[i] = u_was[i], fill_was[i], p_was[i]
                if dt < 1e-7 * times[-1]:
                    return -1
                continue
            now += dt
            _keep(
                now, dt, mass, m, p, fill, atm, volume, owner, sets, out_node, out_air, out_flow, leak, air, filled_s,
                peak, peak_s, out_mass, out_from, out_back, air_flow, s,
            )  # fmt: skip
            for e in range(len(low)):
                i, j = low[e], high[e]
                up = i if flow[e] > 0.0 else j
                through = abs(flow[e]) / dt * (solid + gas * atm / p[up])
                for side in (i, j):
                    speed[side] = max(speed[side], through / area[side])
                drop[j] = max(drop[j], through * mu / ease[e])
        inside, front, most = 0.0, -np.inf, 0.0
        for i in range(n):
            inside += fill[i] * volume[i]
            if fill[i] > 1e-3:
                front = max(front, height[i])
                most = max(most, p[i] - atm)
        history[s, 0], history[s, 1], history[s, 2] = inside, front, most
    return cuts


@njit(cache=True, nogil=True)
def _air_agrees(fill, p, volume, owner, sets, leak, left, atm):
    """Whether the pressure each front felt is that of its air after all fronts have moved."""
    left[:] = 0.0
    for i in range(len(fill)):
        if owner[i] >= 0:
            left[owner[i]] += volume[i] * (1.0 - fill[i])
    for i in range(len(fill)):
        o = owner[i]
        if o >= 0 and 0.0 < fill[i] < 1.0:
            air, _ = air_pressure(sets[o, 0], max(left[o], 1e-9 * volume[o]), leak[o], atm)
            if abs(air - p[i]) > _AIR_OFF * air:
                return False
    return True


@njit(cache=True, nogil=True)
def _keep(
    now, dt, mass, m, p, fill, atm, volume, owner, sets, out_node, out_air, out_flow, leak, air, filled_s,
    peak, peak_s, out_mass, out_from, out_back, air_flow, s,
):  # fmt: skip
    """After a step that closed: masses, air, peaks, what passed the outlets."""
    n, outs = len(mass), len(out_node)
    left, density, pressure = np.zeros(n), np.ones(n), np.full(n, atm)
    for i in range(n):
        mass[i] = m[i]
        if fill[i] >= 1.0 - 1e-6 and np.isnan(filled_s[i]):
            filled_s[i] = now
        if p[i] - atm > peak[i] and fill[i] > 1e-3:
            peak[i], peak_s[i] = p[i] - atm, now
        if owner[i] >= 0:
            left[owner[i]] += volume[i] * (1.0 - fill[i])
    for i in range(n):
        o = owner[i]
        if o == i:  # air of the set at the end of the step, and how much of it has left
            pressure[o], _ = air_pressure(sets[o, 0], max(left[o], 1e-9 * volume[o]), leak[o], atm)
            density[o] = pressure[o] / atm
            if sets[o, 2] <= 0.0 and left[o] > 0.0:
                density[o] = sets[o, 0] / left[o]
    for i in range(n):
        o = owner[i]
        air[i] = volume[i] * (1.0 - fill[i]) * (density[o] if o >= 0 else 1.0)
    for k in range(outs):
        out_mass[k] += out_flow[k]
        if out_flow[k] > 0.0 and np.isnan(out_from[k]):
            out_from[k] = now
        o = owner[out_node[k]]
        if o >= 0:
            gone = max(sets[o, 0] - left[o] * density[o], 0.0)
            air_flow[s, k] = max(air_flow[s, k], gone / dt * out_air[k] / sets[o, 2])
            out_back[k] = max(out_back[k], pressure[o] - atm)
