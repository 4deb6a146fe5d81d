"""Kernels that turn the cavity's fine cells into heat cells and find their surface."""

# mypy: allow-untyped-defs
from __future__ import annotations

import numpy as np

from pourwright.compiled import njit

NOTHING, AIR = -1, -2  # cells outside the cavity; cavity that is never poured


@njit(cache=True, nogil=True)
def pool_blocks(fraction, full, label, node_pour, factor, low, high, share, pour):
    """Mean share and pour of the larger part, for coarse x-slabs ``low`` to ``high`` (arrays padded by one cell).

    ``full`` is what a full cell has in ``fraction``.
    """
    nx, ny, nz = fraction.shape
    whole = full * factor**3
    ids = np.empty(16, np.int64)
    weights = np.empty(16, np.float64)
    for ci in range(low, high):
        for cj in range((ny + factor - 1) // factor):
            for ck in range((nz + factor - 1) // factor):
                used, total = 0, 0.0
                for i in range(ci * factor, min((ci + 1) * factor, nx)):
                    for j in range(cj * factor, min((cj + 1) * factor, ny)):
                        for k in range(ck * factor, min((ck + 1) * factor, nz)):
                            part = np.float64(fraction[i, j, k])
                            node = label[i, j, k]
                            if part == 0.0 or node <= 0:
                                continue
                            total += part
                            p = np.int64(max(node_pour[node - 1], NOTHING))
                            if p < 0:
                                p = np.int64(AIR)
                            slot = 0
                            while slot < used and ids[slot] != p:
                                slot += 1
                            if slot == used:
                                if used == 16:
                                    continue
                                ids[slot], weights[slot] = p, 0.0
                                used += 1
                            weights[slot] += part
                best = -1
                for slot in range(used):
                    # The tie goes to the lower pour, so that the order of cells does not matter.
                    if (
                        best < 0
                        or weights[slot] > weights[best]
                        or (weights[slot] == weights[best] and ids[slot] < ids[best])
                    ):
                        best = slot
                share[ci + 1, cj + 1, ck + 1] = total / whole
                pour[ci + 1, cj + 1, ck + 1] = ids[best] if best >= 0 else NOTHING


@njit(cache=True, nogil=True)
def settle_thin(share, pour, keep, added):
    """Give the foam of cells less than half full to a fuller neighbour, or let the cell stand on its own.

    ``keep`` (bool) marks cells at least half full and gets the ones that stand on their own; ``added`` gets what a
    cell takes over. Returns the share that was dropped (in cells).
    """
    nx, ny, nz = share.shape
    dropped = 0.0
    alone = np.zeros(share.shape, np.bool_)
    for i in range(1, nx - 1):
        for j in range(1, ny - 1):
            for k in range(1, nz - 1):
                s = share[i, j, k]
                if s <= 0.0 or keep[i, j, k] or pour[i, j, k] < 0:
                    continue
                best, rank, bi, bj, bk = 0.0, 9, -1, -1, -1
                for di in range(-1, 2):
                    for dj in range(-1, 2):
                        for dk in range(-1, 2):
                            a, b, c = i + di, j + dj, k + dk
                            far = abs(di) + abs(dj) + abs(dk)
                            if far == 0 or not keep[a, b, c] or pour[a, b, c] < 0:
                                continue
                            if far < rank or (far == rank and share[a, b, c] > best):
                                best, rank, bi, bj, bk = share[a, b, c], far, a, b, c
                if bi >= 0:
                    added[bi, bj, bk] += s
                elif s >= 0.05:
                    alone[i, j, k] = True
                else:
                    dropped += s
    for i in range(1, nx - 1):
        for j in range(1, ny - 1):
            for k in range(1, nz - 1):
                if alone[i, j, k]:
                    keep[i, j, k] = True
    return dropped


@njit(cache=True, nogil=True)
def surface_of(cells, pour, smooth, faces, normal, smoothed, thin):
    """For flat indices ``cells``: area (in faces), outward normal of the smoothed shares, smoothed share.

    ``thin`` counts the axes along which the cell is bare on both sides: there is no one side to face along those.
    """
    _, ny, nz = pour.shape
    for m in range(len(cells)):
        flat = cells[m]
        i, j, k = flat // (ny * nz), (flat // nz) % ny, flat % nz
        gx = 0.5 * (smooth[i - 1, j, k] - smooth[i + 1, j, k])
        gy = 0.5 * (smooth[i, j - 1, k] - smooth[i, j + 1, k])
        gz = 0.5 * (smooth[i, j, k - 1] - smooth[i, j, k + 1])
        smoothed[m] = smooth[i, j, k]
        bare_x = (pour[i - 1, j, k] == NOTHING) + (pour[i + 1, j, k] == NOTHING)
        bare_y = (pour[i, j - 1, k] == NOTHING) + (pour[i, j + 1, k] == NOTHING)
        bare_z = (pour[i, j, k - 1] == NOTHING) + (pour[i, j, k + 1] == NOTHING)
        gx, gy, gz = gx * (bare_x < 2), gy * (bare_y < 2), gz * (bare_z < 2)
        size = (gx * gx + gy * gy + gz * gz) ** 0.5
        if size > 0.02:
            gx, gy, gz = gx / size, gy / size, gz / size
        else:  # nothing to go by: bare faces count in full
            gx, gy, gz = 1.0 * (bare_x == 1), 1.0 * (bare_y == 1), 1.0 * (bare_z == 1)
        # A face of the staircase stands for its shadow on the true surface; two opposite ones are walls of their own.
        area = bare_x * (abs(gx) if bare_x < 2 else 1.0)
        area += bare_y * (abs(gy) if bare_y < 2 else 1.0)
        area += bare_z * (abs(gz) if bare_z < 2 else 1.0)
        faces[m] = area
        thin[m] = (bare_x == 2) + (bare_y == 2) + (bare_z == 2)
        normal[m, 0], normal[m, 1], normal[m, 2] = gx, gy, gz
