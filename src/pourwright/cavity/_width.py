"""Width of every node: the largest circle that fits into its outline, by exact distances between cell centres."""

from __future__ import annotations

import numpy as np

from pourwright.cavity._compile import inner, kernel

COARSE = 8  # every so many cells in both directions is looked at first
TOGETHER = 16  # levels copied at a time: one line of the processor's cache holds so many labels


@inner
def _along_rows(page: np.ndarray, depth: np.ndarray) -> None:
    """Distance of every cell to the nearest cell of another label in its own row (first axis fixed), in cells."""
    nx, ny = page.shape
    for ix in range(nx):
        run = 0
        for iy in range(ny):
            run = run + 1 if iy > 0 and page[ix, iy] == page[ix, iy - 1] else 1
            depth[ix, iy] = run
        run = 0
        for iy in range(ny - 1, -1, -1):
            run = run + 1 if iy < ny - 1 and page[ix, iy] == page[ix, iy + 1] else 1
            depth[ix, iy] = min(depth[ix, iy], run)


@inner
def _deepest(page: np.ndarray, depth: np.ndarray, best: np.ndarray, spot: np.ndarray, every: int) -> None:
    """Raise ``best`` (by node) to the squared distance of the deepest cell of every node of a level, at ``spot``.

    A cell is looked at only if its distance along the row beats the best so far, and left as soon as another row
    takes it below that; the answer is that of a full distance transform at a small part of its cost.
    """
    nx, ny = page.shape
    for ix in range(0, nx, every):
        for iy in range(0, ny, every):
            node = page[ix, iy] - 1
            if node < 0:
                continue
            least = np.int64(depth[ix, iy]) ** 2
            record = best[node]
            step = 1
            while least > record and step * step < least:
                for jx in (ix - step, ix + step):
                    if jx < 0 or jx >= nx or page[jx, iy] != node + 1:
                        least = min(least, np.int64(step * step))
                    else:
                        least = min(least, step * step + np.int64(depth[jx, iy]) ** 2)
                step += 1
            if least > record:
                best[node] = least
                spot[node, 0], spot[node, 1] = ix, iy


@kernel
def deepest_span(label: np.ndarray, best: np.ndarray, spot: np.ndarray, z0: int, z1: int) -> None:
    """Squared distance, in cells, of the deepest cell of each node of levels z0 <= iz < z1 to a cell outside it.

    ``label`` must not hold the thin cells yet. ``best`` (nodes,) int64 is raised in place;
    ``spot`` (nodes, 2) tells where.
    """
    nx, ny, _ = label.shape
    pages = np.empty((TOGETHER, nx, ny), np.int32)
    depth = np.empty((nx, ny), np.int32)
    for start in range(z0, z1, TOGETHER):
        count = min(TOGETHER, z1 - start)
        for ix in range(nx):
            for iy in range(ny):
                for k in range(count):
                    pages[k, ix, iy] = label[ix, iy, start + k]
        for k in range(count):
            _along_rows(pages[k], depth)
            _deepest(pages[k], depth, best, spot, COARSE)  # a good record early spares most of the rest
            _deepest(pages[k], depth, best, spot, 1)


@kernel
def widths(fraction: np.ndarray, level: np.ndarray, best: np.ndarray, spot: np.ndarray) -> np.ndarray:
    """Width of each node in cells: twice the way from its deepest cell to its outline.

    The outline runs short of the nearest cell outside by half a cell less what that cell holds.
    """
    nx, ny, _ = fraction.shape
    out = np.empty(len(best))
    for node in range(len(best)):
        least = 0.5
        reach = int(np.sqrt(best[node]))
        for dx in range(-reach, reach + 1):
            rest = best[node] - dx * dx
            dy = int(np.sqrt(rest) + 0.5)
            if dy * dy != rest:
                continue
            for side in (-dy, dy):
                ix, iy = spot[node, 0] + dx, spot[node, 1] + side
                there = 0 <= ix < nx and 0 <= iy < ny
                least = min(least, fraction[ix, iy, level[node]] / 255.0 if there else 0.0)
        out[node] = 2.0 * (np.sqrt(best[node]) - 0.5 + least)
    return out
