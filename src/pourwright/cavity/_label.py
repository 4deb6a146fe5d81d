"""Kernels of the level graph: label every level at once, measure nodes, list contacts, take in thin cells.

The grid is stored with the level last. Inner loops run along z over many levels side by side and are kept free of
branches, so that the compiler turns them into vector code; only columns where something begins, ends or meets are
gone through cell by cell. A node lies in one level and a span of levels belongs to one thread, so every sum is taken
in the same order on any machine.
"""

from __future__ import annotations

import numpy as np

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._pieces import IN, find


@inner
def _longer(array: np.ndarray) -> np.ndarray:
    """The same numbers with room for twice as many (a loop: slices cost seconds to compile)."""
    out = np.empty(2 * len(array), array.dtype)
    for i in range(len(array)):
        out[i] = array[i]
    return out


@inner
def _longer_table(array: np.ndarray) -> np.ndarray:
    """The same rows with room for twice as many."""
    rows, columns = array.shape
    out = np.empty((2 * rows, columns), array.dtype)
    for i in range(rows):
        for j in range(columns):
            out[i, j] = array[i, j]
    return out


@kernel
def label_span(fraction: np.ndarray, label: np.ndarray, z0: int, z1: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Provisional labels of levels z0 <= iz < z1 from one sweep over the columns, joined by union-find.

    Returns, by provisional label: its level above z0, and the number (1, 2, ... in each level, in the order of the
    first cells) of the piece it belongs to; and the number of pieces of each level.
    """
    nx, ny, _ = fraction.shape
    levels = z1 - z0
    nothing, event = np.zeros(levels, np.int32), np.zeros(levels, np.uint8)
    parent, level = np.zeros(1024, np.int32), np.zeros(1024, np.int32)
    last = 0
    for ix in range(nx):
        for iy in range(ny):
            share, row = fraction[ix, iy, z0:z1], label[ix, iy, z0:z1]
            left = label[ix - 1, iy, z0:z1] if ix > 0 else nothing
            down = label[ix, iy - 1, z0:z1] if iy > 0 else nothing
            odd = False
            for k in range(levels):
                a, b = left[k], down[k]
                into = share[k] >= IN
                value = a if a != 0 else b
                row[k] = value if into else 0
                happens = into & ((value == 0) | ((a != b) & (a != 0) & (b != 0)))
                event[k] = happens
                odd |= happens
            if not odd:
                continue
            for k in range(levels):
                if event[k] == 0:
                    continue
                a, b = left[k], down[k]
                if a == 0 and b == 0:
                    last += 1
                    if last == len(parent):
                        parent, level = _longer(parent), _longer(level)
                    parent[last], level[last], row[k] = last, k, last
                else:
                    ra, rb = find(parent, a), find(parent, b)
                    parent[max(ra, rb)] = min(ra, rb)
    number = np.zeros(last + 1, np.int32)
    pieces = np.zeros(levels, np.int64)
    for i in range(1, last + 1):  # a root is the lowest of its labels and comes first
        root = find(parent, i)
        if root == i:
            pieces[level[i]] += 1
            number[i] = pieces[level[i]]
        else:
            number[i] = number[root]
    return level[: last + 1], number, pieces


@kernel
def settle_span(label: np.ndarray, final: np.ndarray, z0: int, z1: int) -> None:
    """Replace provisional labels by final ones."""
    nx, ny, _ = label.shape
    for ix in range(nx):
        for iy in range(ny):
            row = label[ix, iy, z0:z1]
            for k in range(len(row)):
                row[k] = final[row[k]]


@kernel
def measure_span(fraction: np.ndarray, label: np.ndarray, sums: np.ndarray, z0: int, z1: int) -> np.ndarray:
    """Measure the nodes of a span before thin cells are taken in.

    Adds share, share * ix and share * iy of their cells to ``sums`` (nodes, 3) int64. Returns the contacts between
    levels iz and iz + 1 for z0 <= iz < z1: rows (lower label, upper label, cells in contact), pairs repeated.
    """
    nx, ny, nz = label.shape
    levels = z1 - z0
    upper = min(z1 + 1, nz) - z0
    now = np.zeros(levels + 1, np.int32)  # the labels of the stretch of columns being added up
    held, held_y = np.zeros(levels, np.int64), np.zeros(levels, np.int64)
    columns = np.zeros(levels, np.int64)
    out = np.empty((1024, 3), np.int64)
    used = 0
    for ix in range(nx):
        for iy in range(ny + 1):
            end = iy == ny
            row = label[ix, iy if not end else 0, z0 : z0 + upper]
            changed = end
            for k in range(upper):
                changed |= now[k] != row[k]
            if changed:
                for k in range(levels):
                    both = k + 1 < upper
                    if not end and now[k] == row[k] and not (both and now[k + 1] != row[k + 1]):
                        continue
                    if now[k] != 0:
                        node = now[k] - 1
                        sums[node, 0] += held[k]
                        sums[node, 1] += held[k] * ix
                        sums[node, 2] += held_y[k]
                        if both and now[k + 1] != 0:
                            if used == len(out):
                                out = _longer_table(out)
                            out[used, 0], out[used, 1], out[used, 2] = now[k], now[k + 1], columns[k]
                            used += 1
                    held[k], held_y[k], columns[k] = 0, 0, 0
                for k in range(upper):
                    now[k] = 0 if end else row[k]
            if not end:
                share = fraction[ix, iy, z0:z1]
                for k in range(levels):
                    held[k] += share[k]
                    held_y[k] += share[k] * np.int64(iy)
                    columns[k] += 1
    return out[:used]


@inner
def _host(fraction: np.ndarray, label: np.ndarray, ix: int, iy: int, iz: int) -> int:
    """Label of the neighbour that a thin cell counts with, 0 if it has none in the cavity.

    The neighbour that holds most: those over a face first, then over an edge, then a corner; its own level first.
    """
    nx, ny, nz = fraction.shape
    best, chosen = 0, 0
    for dz in (0, -1, 1):
        jz = iz + dz
        if jz < 0 or jz >= nz:
            continue
        if chosen != 0 and dz == -1:
            break
        for dx in range(-1, 2):
            jx = ix + dx
            if jx < 0 or jx >= nx:
                continue
            for dy in range(-1, 2):
                jy = iy + dy
                if jy < 0 or jy >= ny:
                    continue
                there = fraction[jx, jy, jz]
                if there >= IN:
                    rank = there + 1024 * (4 - abs(dx) - abs(dy) - abs(dz))
                    if rank > best:
                        best, chosen = rank, label[jx, jy, jz]
    return chosen


@kernel
def adopt_span(fraction: np.ndarray, label: np.ndarray, z0: int, z1: int) -> np.ndarray:
    """The thin cells of a span with the label of their host, found but not written: rows (ix, iy, iz, label)."""
    nx, ny, _ = fraction.shape
    out = np.empty((1024, 4), np.int32)
    used = 0
    for ix in range(nx):
        for iy in range(ny):
            share = fraction[ix, iy, z0:z1]
            any_thin = False
            for k in range(z1 - z0):
                any_thin |= bool(np.uint8(share[k] - 1) < IN - 1)
            if not any_thin:
                continue
            for k in range(z1 - z0):
                if share[k] == 0 or share[k] >= IN:
                    continue
                if used == len(out):
                    out = _longer_table(out)
                out[used, 0], out[used, 1], out[used, 2] = ix, iy, z0 + k
                out[used, 3] = _host(fraction, label, ix, iy, z0 + k)
                used += 1
    return out[:used]


@kernel
def take_in(fraction: np.ndarray, label: np.ndarray, cells: np.ndarray, sums: np.ndarray) -> None:
    """Write rows (ix, iy, iz, label) of thin cells into the labels and add them to the sums."""
    for i in range(len(cells)):
        ix, iy, iz, value = cells[i, 0], cells[i, 1], cells[i, 2], cells[i, 3]
        if value == 0:
            continue
        share = np.int64(fraction[ix, iy, iz])
        label[ix, iy, iz] = value
        sums[value - 1, 0] += share
        sums[value - 1, 1] += share * ix
        sums[value - 1, 2] += share * iy


@kernel
def outline_span(fraction: np.ndarray, label: np.ndarray, length: np.ndarray, z0: int, z1: int) -> None:
    """Add the length, in cells, of the half-full contour of each level to its nodes.

    Marching squares over the shares at cell centres, cut by linear interpolation; where a square is ambiguous the
    corners in the cavity are kept apart, as they are in the labels.
    """
    nx, ny, _ = fraction.shape
    level = 127.5
    nothing = np.zeros(z1 - z0, np.uint8)  # beyond the edge of the grid
    for ix in range(-1, nx):
        for iy in range(-1, ny):
            wa = fraction[ix, iy, z0:z1] if ix >= 0 and iy >= 0 else nothing
            wb = fraction[ix + 1, iy, z0:z1] if ix + 1 < nx and iy >= 0 else nothing
            wc = fraction[ix + 1, iy + 1, z0:z1] if ix + 1 < nx and iy + 1 < ny else nothing
            wd = fraction[ix, iy + 1, z0:z1] if ix >= 0 and iy + 1 < ny else nothing
            mixed = False
            for k in range(z1 - z0):
                mixed |= bool((wa[k] ^ wb[k] | wa[k] ^ wc[k] | wa[k] ^ wd[k]) >= IN)
            if not mixed:
                continue
            for iz in range(z0, z1):
                fa, fb, fc, fd = wa[iz - z0], wb[iz - z0], wc[iz - z0], wd[iz - z0]
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
