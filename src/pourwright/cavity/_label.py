"""Kernels of the level graph: label every level at once, join thin cells to them, measure, list contacts.

The grid is stored with the level last, so the inner loops run along z and treat many levels side by side. A node lies
in one level, and a span of levels belongs to one thread, so every sum is taken in the same order on any machine.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from pourwright.cavity._pieces import IN, find


@njit(cache=True, nogil=True)
def _seeds(fraction: np.ndarray, z0: int, z1: int) -> int:
    """Cells of the span that start a provisional label: in the cavity, with no neighbour at lower x or y in it."""
    nx, ny, _ = fraction.shape
    count = 0
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                if (
                    fraction[ix, iy, iz] >= IN
                    and (ix == 0 or fraction[ix - 1, iy, iz] < IN)
                    and (iy == 0 or fraction[ix, iy - 1, iz] < IN)
                ):
                    count += 1
    return count


@njit(cache=True, nogil=True)
def label_span(fraction: np.ndarray, label: np.ndarray, z0: int, z1: int) -> np.ndarray:
    """Label the in-level pieces of levels z0 <= iz < z1 by 1, 2, ... in each level, in the order of their first cell.

    Returns the number of pieces of each level.
    """
    nx, ny, _ = fraction.shape
    parent = np.empty(_seeds(fraction, z0, z1) + 1, np.int32)
    last = 0
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                if fraction[ix, iy, iz] < IN:
                    continue
                a = label[ix - 1, iy, iz] if ix > 0 else 0
                b = label[ix, iy - 1, iz] if iy > 0 else 0
                if a == 0 and b == 0:
                    last += 1
                    parent[last] = last
                    label[ix, iy, iz] = last
                elif a == 0 or a == b:
                    label[ix, iy, iz] = b
                elif b == 0:
                    label[ix, iy, iz] = a
                else:
                    ra, rb = find(parent, a), find(parent, b)
                    low = min(ra, rb)
                    parent[max(ra, rb)] = low
                    label[ix, iy, iz] = low
    number = np.zeros(last + 1, np.int32)
    pieces = np.zeros(z1 - z0, np.int64)
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                a = label[ix, iy, iz]
                if a != 0:
                    root = find(parent, a)
                    if number[root] == 0:
                        pieces[iz - z0] += 1
                        number[root] = pieces[iz - z0]
                    label[ix, iy, iz] = number[root]
    return pieces


@njit(cache=True, nogil=True)
def shift_span(label: np.ndarray, first: np.ndarray, z0: int, z1: int) -> None:
    """Turn the numbers within a level into node index + 1; ``first`` is the index of each level's first node."""
    nx, ny, _ = label.shape
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                if label[ix, iy, iz] != 0:
                    label[ix, iy, iz] += first[iz]


@njit(cache=True, nogil=True)
def adopt_span(fraction: np.ndarray, label: np.ndarray, z0: int, z1: int) -> np.ndarray:
    """Nodes for the thin cells of a span, found but not written: rows (ix, iy, iz, label).

    A thin cell goes with the neighbour in the cavity that holds most of it, neighbours in its own level first, those
    over a face before those over an edge or a corner.
    """
    nx, ny, nz = fraction.shape
    count = 0
    out = np.empty((0, 4), np.int32)
    for turn in range(2):
        if turn == 1:
            out = np.empty((count, 4), np.int32)
            count = 0
        for ix in range(nx):
            for iy in range(ny):
                for iz in range(z0, z1):
                    share = fraction[ix, iy, iz]
                    if share == 0 or share >= IN:
                        continue
                    if turn == 0:
                        count += 1
                        continue
                    best, chosen = 0, 0
                    for dz in range(-1, 2):
                        jz = iz + dz
                        if jz < 0 or jz >= nz:
                            continue
                        for dx in range(-1, 2):
                            jx = ix + dx
                            if jx < 0 or jx >= nx:
                                continue
                            for dy in range(-1, 2):
                                jy = iy + dy
                                if jy < 0 or jy >= ny:
                                    continue
                                there = fraction[jx, jy, jz]
                                if there < IN:
                                    continue
                                apart = abs(dx) + abs(dy) + abs(dz)
                                rank = there + 1024 * (4 - apart) + (8192 if dz == 0 else 0)
                                if rank > best:
                                    best, chosen = rank, label[jx, jy, jz]
                    out[count, 0], out[count, 1], out[count, 2], out[count, 3] = ix, iy, iz, chosen
                    count += 1
    return out


@njit(cache=True, nogil=True)
def write_labels(label: np.ndarray, cells: np.ndarray) -> None:
    """Write rows (ix, iy, iz, label)."""
    for i in range(len(cells)):
        label[cells[i, 0], cells[i, 1], cells[i, 2]] = cells[i, 3]


@njit(cache=True, nogil=True)
def measure_span(fraction: np.ndarray, label: np.ndarray, sums: np.ndarray, z0: int, z1: int) -> None:
    """Add share, share * ix and share * iy of the cells in the cavity to ``sums`` (nodes, 3) int64."""
    nx, ny, _ = fraction.shape
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                share = np.int64(fraction[ix, iy, iz])
                if share >= IN:
                    node = label[ix, iy, iz] - 1
                    sums[node, 0] += share
                    sums[node, 1] += share * ix
                    sums[node, 2] += share * iy


@njit(cache=True, nogil=True)
def measure_cells(fraction: np.ndarray, cells: np.ndarray, sums: np.ndarray) -> None:
    """The same for rows (ix, iy, iz, label) of thin cells."""
    for i in range(len(cells)):
        share = np.int64(fraction[cells[i, 0], cells[i, 1], cells[i, 2]])
        node = cells[i, 3] - 1
        sums[node, 0] += share
        sums[node, 1] += share * cells[i, 0]
        sums[node, 2] += share * cells[i, 1]


@njit(cache=True, nogil=True)
def contacts_span(label: np.ndarray, fraction: np.ndarray, z0: int, z1: int) -> np.ndarray:
    """Contacts between levels iz and iz + 1 for z0 <= iz < z1: rows (lower label, upper label, cells in contact)."""
    nx, ny, nz = label.shape
    z1 = min(z1, nz - 1)
    levels = max(0, z1 - z0)
    lower, upper = np.zeros(levels, np.int32), np.zeros(levels, np.int32)
    cells = np.zeros(levels, np.int64)
    out = np.empty((1024, 3), np.int64)
    used = 0
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(z0, z1):
                if fraction[ix, iy, iz] < IN or fraction[ix, iy, iz + 1] < IN:
                    continue
                a, b, k = label[ix, iy, iz], label[ix, iy, iz + 1], iz - z0
                if a == lower[k] and b == upper[k]:
                    cells[k] += 1
                    continue
                if cells[k] > 0:
                    if used == len(out):
                        bigger = np.empty((2 * used, 3), np.int64)
                        bigger[:used] = out
                        out = bigger
                    out[used, 0], out[used, 1], out[used, 2] = lower[k], upper[k], cells[k]
                    used += 1
                lower[k], upper[k], cells[k] = a, b, 1
    rest = np.empty((levels, 3), np.int64)
    left = 0
    for k in range(levels):
        if cells[k] > 0:
            rest[left, 0], rest[left, 1], rest[left, 2] = lower[k], upper[k], cells[k]
            left += 1
    return np.concatenate((out[:used], rest[:left]))


@njit(cache=True, nogil=True)
def outline_span(fraction: np.ndarray, label: np.ndarray, length: np.ndarray, z0: int, z1: int) -> None:
    """Add the length, in cells, of the half-full contour of each level to its nodes.

    Marching squares over the shares at cell centres, cut by linear interpolation; where a square is ambiguous the
    corners in the cavity are kept apart, as they are in the labels.
    """
    nx, ny, _ = fraction.shape
    level = 127.5
    for ix in range(nx - 1):
        for iy in range(ny - 1):
            for iz in range(z0, z1):
                fa, fb = fraction[ix, iy, iz], fraction[ix + 1, iy, iz]
                fd, fc = fraction[ix, iy + 1, iz], fraction[ix + 1, iy + 1, iz]
                a, b, c, d = fa >= IN, fb >= IN, fc >= IN, fd >= IN
                count = int(a) + int(b) + int(c) + int(d)
                if count == 0 or count == 4:
                    continue
                ab = (level - fa) / (np.float64(fb) - fa) if a != b else 0.0
                bc = (level - fb) / (np.float64(fc) - fb) if b != c else 0.0
                dc = (level - fd) / (np.float64(fc) - fd) if d != c else 0.0
                ad = (level - fa) / (np.float64(fd) - fa) if a != d else 0.0
                if count == 2 and a == b:
                    node = label[ix, iy, iz] if a else label[ix, iy + 1, iz]
                    length[node - 1] += np.sqrt(1.0 + (bc - ad) ** 2)
                elif count == 2 and a == d:
                    node = label[ix, iy, iz] if a else label[ix + 1, iy, iz]
                    length[node - 1] += np.sqrt(1.0 + (dc - ab) ** 2)
                else:
                    odd = count == 3
                    if a != odd:
                        node = label[ix + 1, iy, iz] if odd else label[ix, iy, iz]
                        length[node - 1] += np.sqrt(ab**2 + ad**2)
                    if b != odd:
                        node = label[ix, iy, iz] if odd else label[ix + 1, iy, iz]
                        length[node - 1] += np.sqrt((1 - ab) ** 2 + bc**2)
                    if c != odd:
                        node = label[ix + 1, iy, iz] if odd else label[ix + 1, iy + 1, iz]
                        length[node - 1] += np.sqrt((1 - bc) ** 2 + (1 - dc) ** 2)
                    if d != odd:
                        node = label[ix, iy, iz] if odd else label[ix, iy + 1, iz]
                        length[node - 1] += np.sqrt(dc**2 + (1 - ad) ** 2)
