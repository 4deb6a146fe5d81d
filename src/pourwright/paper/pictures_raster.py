"""Triangles to depth, and depth to shade: the drawing kernel, without a display, a driver or a graphics library.

The off-screen windows of VTK's wheel need libEGL or libOSMesa of the system; on a machine with neither it ends the
process. Drawing here in a few compiled loops works wherever NumPy does, and gives the same bytes every time.
"""

from __future__ import annotations

import numba
import numpy as np

EMPTY = np.float32(-1e30)
"""Depth where nothing was drawn."""


@numba.njit(parallel=True, cache=True)
def _raster(corner: np.ndarray, first: int, depth: np.ndarray, owner: np.ndarray) -> None:
    height, width = depth.shape
    bands = (height + 31) // 32
    for band in numba.prange(bands):
        row0, row1 = band * 32, min(height, band * 32 + 32)
        for t in range(corner.shape[0]):
            y0 = min(corner[t, 0, 1], corner[t, 1, 1], corner[t, 2, 1])
            y1 = max(corner[t, 0, 1], corner[t, 1, 1], corner[t, 2, 1])
            if y1 < row0 or y0 > row1:
                continue
            ax, ay, az = corner[t, 0, 0], corner[t, 0, 1], corner[t, 0, 2]
            ux, uy, uz = corner[t, 1, 0] - ax, corner[t, 1, 1] - ay, corner[t, 1, 2] - az
            vx, vy, vz = corner[t, 2, 0] - ax, corner[t, 2, 1] - ay, corner[t, 2, 2] - az
            turn = ux * vy - uy * vx
            if turn == 0.0:
                continue
            x0 = min(ax, ax + ux, ax + vx)
            x1 = max(ax, ax + ux, ax + vx)
            low_x, high_x = max(0, int(np.ceil(x0 - 0.5))), min(width - 1, int(np.floor(x1 - 0.5)))
            low_y, high_y = max(row0, int(np.ceil(y0 - 0.5))), min(row1 - 1, int(np.floor(y1 - 0.5)))
            for y in range(low_y, high_y + 1):
                py = y + 0.5 - ay
                for x in range(low_x, high_x + 1):
                    px = x + 0.5 - ax
                    b = (px * vy - py * vx) / turn
                    c = (ux * py - uy * px) / turn
                    if b < 0.0 or c < 0.0 or b + c > 1.0:
                        continue
                    z = np.float32(az + b * uz + c * vz)
                    if z > depth[y, x]:
                        depth[y, x] = z
                        owner[y, x] = first + t


def raster(corner: np.ndarray, first: int, depth: np.ndarray, owner: np.ndarray) -> None:
    """Draw triangles into a depth buffer, the nearest kept.

    Parameters
    ----------
    corner : ndarray (m, 3, 3)
        Corners: x and y in pixels (y down), depth in metres towards the viewer.
    first : int
        Number of the first of them; ``owner`` gets ``first`` plus the place in ``corner``.
    depth : ndarray (h, w) float32
        Changed in place; start with `EMPTY`.
    owner : ndarray (h, w) int32
        Changed in place; start with -1.
    """
    _raster(np.ascontiguousarray(corner, float), first, depth, owner)


@numba.njit(parallel=True, cache=True)
def facing(corner: np.ndarray, normal: np.ndarray, owner: np.ndarray) -> np.ndarray:
    """Unit normals (h, w, 3) float32 in view axes, turned to the viewer; 0 where nothing was drawn.

    ``normal`` (m, 3, 3) holds the view-axes normal of each corner of ``corner`` (m, 3, 3).
    """
    height, width = owner.shape
    out = np.zeros((height, width, 3), np.float32)
    for y in numba.prange(height):
        for x in range(width):
            t = owner[y, x]
            if t < 0:
                continue
            ax, ay = corner[t, 0, 0], corner[t, 0, 1]
            ux, uy = corner[t, 1, 0] - ax, corner[t, 1, 1] - ay
            vx, vy = corner[t, 2, 0] - ax, corner[t, 2, 1] - ay
            px, py = x + 0.5 - ax, y + 0.5 - ay
            turn = ux * vy - uy * vx
            b, c = (px * vy - py * vx) / turn, (ux * py - uy * px) / turn
            a = 1.0 - b - c
            n0 = a * normal[t, 0, 0] + b * normal[t, 1, 0] + c * normal[t, 2, 0]
            n1 = a * normal[t, 0, 1] + b * normal[t, 1, 1] + c * normal[t, 2, 1]
            n2 = a * normal[t, 0, 2] + b * normal[t, 1, 2] + c * normal[t, 2, 2]
            size = np.sqrt(n0 * n0 + n1 * n1 + n2 * n2) + 1e-12
            if n2 < 0.0:
                size = -size
            out[y, x, 0], out[y, x, 1], out[y, x, 2] = n0 / size, n1 / size, n2 / size
    return out


@numba.njit(parallel=True, cache=True)
def shelter(depth: np.ndarray, normal: np.ndarray, step: int, pixel_m: float, reach: int) -> np.ndarray:
    """Share of the sky hidden at each pixel by what stands beside it, 0 open to 1 closed: soft shadow in hollows.

    Every ``step``-th pixel of ``depth`` (h, w) and ``normal`` (h, w, 3) is read; ``pixel_m`` is the size of such a
    pixel and ``reach`` how many of them to look away. Returns (h / step, w / step) float32.
    """
    height, width = depth.shape[0] // step, depth.shape[1] // step
    out = np.zeros((height, width), np.float32)
    for y in numba.prange(height):
        for x in range(width):
            here = depth[y * step, x * step]
            if here <= EMPTY:
                continue
            nx, ny, nz = normal[y * step, x * step, 0], normal[y * step, x * step, 1], normal[y * step, x * step, 2]
            total = 0.0
            for k in range(12):
                cx, cy = np.cos(k * np.pi / 6.0), np.sin(k * np.pi / 6.0)
                highest = 0.0
                for j in range(1, 7):
                    away = reach * (j / 6.0) ** 1.6 + 1.0
                    sx, sy = int(np.round(x + cx * away)), int(np.round(y + cy * away))
                    if sx < 0 or sy < 0 or sx >= width or sy >= height:
                        break
                    there = depth[sy * step, sx * step]
                    if there <= EMPTY:
                        continue
                    dx, dy, dz = (sx - x) * pixel_m, (y - sy) * pixel_m, there - here
                    far = np.sqrt(dx * dx + dy * dy + dz * dz) + 1e-12
                    rise = (dx * nx + dy * ny + dz * nz) / far
                    fade = 1.0 - min(1.0, abs(dz) / (2.0 * reach * pixel_m)) ** 2
                    highest = max(highest, (rise - 0.08) * fade)
                total += highest
            out[y, x] = min(1.0, total / 12.0)
    return out


@numba.njit(parallel=True, cache=True)
def lines(owner: np.ndarray, depth: np.ndarray, body: np.ndarray, jump_m: float) -> np.ndarray:
    """Strength 0 to 1 (float32, h x w) of an ink line: where one body ends against another, or depth jumps.

    ``body`` (m,) int32 names the body of each triangle. Half strength where two bodies only touch.
    """
    height, width = owner.shape
    out = np.zeros((height, width), np.float32)
    for y in numba.prange(1, height - 1):
        for x in range(1, width - 1):
            t = owner[y, x]
            if t < 0:
                continue
            mine, near = body[t], depth[y, x]
            strength = 0.0
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                other = owner[y + dy, x + dx]
                if other < 0:
                    strength = max(strength, 1.0)
                elif near - depth[y + dy, x + dx] > jump_m:
                    strength = max(strength, 0.8)
                elif body[other] != mine and body[other] < mine:
                    strength = max(strength, 0.62)
            out[y, x] = strength
    return out
