"""Loose pieces of the cavity: filled runs of each column joined with those of its neighbours (6-connected)."""

from __future__ import annotations

import numpy as np

from pourwright.cavity._compile import inner, kernel

IN = 128  # a cell of at least this share (of 255) is in the cavity


@kernel
def _count_runs(fraction: np.ndarray, start: np.ndarray) -> None:
    nx, ny, nz = fraction.shape
    for ix in range(nx):
        for iy in range(ny):
            runs = 0
            before = False
            for iz in range(nz):
                now = fraction[ix, iy, iz] >= IN
                if now and not before:
                    runs += 1
                before = now
            start[ix * ny + iy + 1] = runs


@kernel
def _list_runs(fraction: np.ndarray, start: np.ndarray, low: np.ndarray, high: np.ndarray, held: np.ndarray) -> None:
    nx, ny, nz = fraction.shape
    for ix in range(nx):
        for iy in range(ny):
            r = start[ix * ny + iy] - 1
            before = False
            for iz in range(nz):
                share = fraction[ix, iy, iz]
                now = share >= IN
                if now:
                    if not before:
                        r += 1
                        low[r] = iz
                    high[r] = iz + 1
                    held[r] += share
                before = now


@kernel
def spans_of(label: np.ndarray, nodes: int) -> np.ndarray:
    """First and one past the last cell of each node along x, and along y (nodes, 4); zeros where it has none."""
    nx, ny, nz = label.shape
    out = np.zeros((nodes, 4), np.int64)
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(nz):
                n = label[ix, iy, iz] - 1
                if n >= 0:
                    if out[n, 1] == 0:
                        out[n, 0], out[n, 2] = ix, iy
                    out[n, 1], out[n, 2], out[n, 3] = ix + 1, min(out[n, 2], iy), max(out[n, 3], iy + 1)
    return out


@inner
def find(parent: np.ndarray, i: int) -> int:
    """Root of ``i``; paths are halved on the way."""
    while parent[i] != i:
        parent[i] = parent[parent[i]]
        i = parent[i]
    return i


@kernel
def _join_runs(start: np.ndarray, low: np.ndarray, high: np.ndarray, parent: np.ndarray, nx: int, ny: int) -> None:
    for ix in range(nx):
        for iy in range(ny):
            column = ix * ny + iy
            for side in range(2):
                if (side == 0 and ix + 1 >= nx) or (side == 1 and iy + 1 >= ny):
                    continue
                other = column + (ny if side == 0 else 1)
                i, j = start[column], start[other]
                while i < start[column + 1] and j < start[other + 1]:
                    if low[i] < high[j] and low[j] < high[i]:
                        a, b = find(parent, i), find(parent, j)
                        if a < b:
                            parent[b] = a
                        elif b < a:
                            parent[a] = b
                    if high[i] <= high[j]:
                        i += 1
                    else:
                        j += 1
    for i in range(len(parent)):
        parent[i] = find(parent, i)


def runs_of(fraction: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Filled runs of all columns and the piece of each.

    Parameters
    ----------
    fraction : ndarray (nx, ny, nz) uint8

    Returns
    -------
    start : ndarray (nx * ny + 1,) int64
        Runs of column ``ix * ny + iy`` are ``start[c]:start[c + 1]``.
    low, high : ndarray (runs,) int32
        First level of each run and the one after its last.
    held : ndarray (runs,) int64
        Sum of the shares of its cells.
    piece : ndarray (runs,) int64
        Lowest run of the connected piece that it belongs to.
    """
    nx, ny, _ = fraction.shape
    start = np.zeros(nx * ny + 1, np.int64)
    _count_runs(fraction, start)
    np.cumsum(start, out=start)
    low, high = np.zeros(start[-1], np.int32), np.zeros(start[-1], np.int32)
    held = np.zeros(start[-1], np.int64)
    _list_runs(fraction, start, low, high, held)
    piece = np.arange(start[-1])
    _join_runs(start, low, high, piece, nx, ny)
    return start, low, high, held, piece


@kernel
def _erase_runs(fraction: np.ndarray, start: np.ndarray, low: np.ndarray, high: np.ndarray, drop: np.ndarray) -> None:
    nx, ny, _ = fraction.shape
    for ix in range(nx):
        for iy in range(ny):
            for r in range(start[ix * ny + iy], start[ix * ny + iy + 1]):
                if drop[r]:
                    for iz in range(low[r], high[r]):
                        fraction[ix, iy, iz] = 0


@kernel
def _erase_strays(fraction: np.ndarray) -> int:
    """Empty the thin cells none of whose 26 neighbours is in the cavity; returns what they held."""
    nx, ny, nz = fraction.shape
    lost = 0
    for ix in range(nx):
        for iy in range(ny):
            for iz in range(nz):
                share = fraction[ix, iy, iz]
                if share == 0 or share >= IN:
                    continue
                kept = False
                for jx in range(max(0, ix - 1), min(nx, ix + 2)):
                    for jy in range(max(0, iy - 1), min(ny, iy + 2)):
                        for jz in range(max(0, iz - 1), min(nz, iz + 2)):
                            kept = kept or fraction[jx, jy, jz] >= IN
                if not kept:
                    lost += share
                    fraction[ix, iy, iz] = 0
    return lost


def drop_stray_voids(fraction: np.ndarray, least: float) -> tuple[int, float]:
    """Empty, in place, the loose pieces that hold less than ``least`` cells, and thin cells that touch no piece.

    Returns the number of pieces dropped and the cells they held with the thin ones.
    """
    start, low, high, held, piece = runs_of(fraction)
    roots, number = np.unique(piece, return_inverse=True)
    volume = np.bincount(number, weights=held, minlength=len(roots)) / 255.0
    small = volume < least
    if small.any():
        _erase_runs(fraction, start, low, high, small[number])
    strays = _erase_strays(fraction) / 255.0
    return int(small.sum()), float(volume[small].sum() + strays)
