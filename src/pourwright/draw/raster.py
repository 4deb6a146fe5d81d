"""Triangles to depth, and depth to shade.

Who is seen where is drawn by PyVista wherever its off-screen window works (`pictures_gl`). Windows round corners to
parts of a pixel, each driver in its own way; so a compiled loop then holds every pixel to one rule: of the triangles
that its middle lies in the nearest is seen, and of equally near ones the first. On a machine without any graphics
library the loop begins with an empty image and comes to the same, to the last byte.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np

from pourwright.compiled import njit
from pourwright.draw import gl as pictures_gl
from pourwright.processors import thread_count

EMPTY = np.float32(-1e30)
"""Depth where nothing was drawn."""
NOBODY = -1
BAND = 48
"""Rows that one thread draws at a time."""

kernel = njit(cache=True, nogil=True, error_model="numpy")


@dataclass(frozen=True, slots=True)
class Box:
    """Rows and columns of a canvas: the first, and the one after the last."""

    top: int
    bottom: int
    left: int
    right: int

    @classmethod
    def whole(cls, shape: tuple[int, ...]) -> Box:
        """All of a canvas (h, w, ...)."""
        return cls(0, shape[0], 0, shape[1])

    @classmethod
    def round(cls, corner: np.ndarray, shape: tuple[int, ...]) -> Box:
        """All pixels of a canvas (h, w, ...) that triangles with these corners (m, 3, 3) can touch."""
        if not len(corner):
            return cls(0, 0, 0, 0)
        (left, top), (right, bottom) = (f(corner[..., :2], axis=(0, 1)) for f in (np.min, np.max))
        rows = np.clip([math.floor(top) - 1, math.ceil(bottom) + 1], 0, shape[0])
        columns = np.clip([math.floor(left) - 1, math.ceil(right) + 1], 0, shape[1])
        return cls(int(rows[0]), int(rows[1]), int(columns[0]), int(columns[1]))

    @property
    def slices(self) -> tuple[slice, slice]:
        """To index a canvas with."""
        return slice(self.top, self.bottom), slice(self.left, self.right)

    def __or__(self, other: Box) -> Box:
        """The smallest that holds both; an empty one holds nothing."""
        if other.top >= other.bottom or other.left >= other.right:
            return self
        if self.top >= self.bottom or self.left >= self.right:
            return other
        ends = min(self.top, other.top), max(self.bottom, other.bottom)
        return Box(*ends, min(self.left, other.left), max(self.right, other.right))

    def wider(self, by: int, shape: tuple[int, ...]) -> Box:
        """With so many pixels more on all sides, as far as the canvas (h, w, ...) goes."""
        ends = max(0, self.top - by), min(shape[0], self.bottom + by)
        return Box(*ends, max(0, self.left - by), min(shape[1], self.right + by))


def in_bands(work: Callable[..., None], height: int, *arguments: Any, first: int = 0) -> None:
    """``work(first row, last row + 1, *arguments)`` over bands of rows, in threads; each writes its own rows only."""
    with ThreadPoolExecutor(thread_count()) as pool:
        jobs = [pool.submit(work, y, min(y + BAND, height), *arguments) for y in range(first, height, BAND)]
        for job in jobs:
            job.result()


def raster(corner: np.ndarray, first: int, depth: np.ndarray, owner: np.ndarray, *, window: bool = True) -> None:
    """Draw triangles into a depth buffer, the nearest kept; of equally near ones what was drawn earlier, or the first.

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
    window : bool
        Whether PyVista's window may be asked first; opening one takes a second, the loop draws the same.
    """
    corner = np.ascontiguousarray(corner, float)
    box, seen = Box.round(corner, depth.shape), np.full(depth.shape, NOBODY, np.int32)
    shape = box.bottom - box.top, box.right - box.left
    if window and min(shape) > 0 and pictures_gl.fits(shape, len(corner)) and pictures_gl.can_render():
        seen[box.slices] = pictures_gl.seen(corner - (box.left, box.top, 0.0), shape)
    in_bands(_raster, box.bottom, corner, seen, first, depth, owner, first=box.top)


@kernel
def _raster(row0, row1, corner, seen, first, depth, owner):  # type: ignore[no-untyped-def]
    width = depth.shape[1]
    mine = seen[row0:row1]  # who is seen so far, of these triangles
    for y in range(row0, row1):
        for x in range(width):
            t = mine[y - row0, x]
            if t < 0:
                continue
            mine[y - row0, x] = NOBODY
            ax, ay, az = corner[t, 0, 0], corner[t, 0, 1], corner[t, 0, 2]
            ux, uy, uz = corner[t, 1, 0] - ax, corner[t, 1, 1] - ay, corner[t, 1, 2] - az
            vx, vy, vz = corner[t, 2, 0] - ax, corner[t, 2, 1] - ay, corner[t, 2, 2] - az
            turn = ux * vy - uy * vx
            if turn == 0.0:
                continue
            px, py = x + 0.5 - ax, y + 0.5 - ay
            b, c = (px * vy - py * vx) / turn, (ux * py - uy * px) / turn
            if b < 0.0 or c < 0.0 or b + c > 1.0:  # inside by the window's rounding only
                continue
            z = np.float32(az + b * uz + c * vz)
            if z > depth[y, x]:
                depth[y, x], owner[y, x], mine[y - row0, x] = z, first + t, t
    for t in range(corner.shape[0]):
        ax, ay, az = corner[t, 0, 0], corner[t, 0, 1], corner[t, 0, 2]
        bx, by, cx, cy = corner[t, 1, 0], corner[t, 1, 1], corner[t, 2, 0], corner[t, 2, 1]
        low_y = max(row0, int(np.ceil(min(ay, by, cy) - 0.5)))
        high_y = min(row1 - 1, int(np.floor(max(ay, by, cy) - 0.5)))
        if low_y > high_y:
            continue
        ux, uy, vx, vy = bx - ax, by - ay, cx - ax, cy - ay
        uz, vz = corner[t, 1, 2] - az, corner[t, 2, 2] - az
        turn = ux * vy - uy * vx
        if turn == 0.0:
            continue
        low_x = max(0, int(np.ceil(min(ax, bx, cx) - 0.5)))
        high_x = min(width - 1, int(np.floor(max(ax, bx, cx) - 0.5)))
        for y in range(low_y, high_y + 1):
            py = y + 0.5 - ay
            for x in range(low_x, high_x + 1):
                px = x + 0.5 - ax
                b, c = (px * vy - py * vx) / turn, (ux * py - uy * px) / turn
                if b < 0.0 or c < 0.0 or b + c > 1.0:
                    continue
                z = np.float32(az + b * uz + c * vz)
                if z > depth[y, x] or (z == depth[y, x] and t < mine[y - row0, x]):
                    depth[y, x], owner[y, x], mine[y - row0, x] = z, first + t, t


def facing(corner: np.ndarray, normal: np.ndarray, owner: np.ndarray, box: Box | None = None) -> np.ndarray:
    """Unit normals (h, w, 3) float32 in view axes within a box, turned to the viewer; 0 where nothing was drawn.

    ``normal`` (m, 3, 3) holds the view-axes normal of each corner of ``corner`` (m, 3, 3).
    """
    box = box or Box.whole(owner.shape)
    out = np.zeros((box.bottom - box.top, box.right - box.left, 3), np.float32)
    in_bands(_facing, box.bottom, box.top, box.left, corner, normal, owner, out, first=box.top)
    return out


@kernel
def _facing(row0, row1, top, left, corner, normal, owner, out):  # type: ignore[no-untyped-def]
    for y in range(row0, row1):
        for x in range(left, left + out.shape[1]):
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
            i, j = y - top, x - left
            out[i, j, 0], out[i, j, 1], out[i, j, 2] = n0 / size, n1 / size, n2 / size


def shelter(
    depth: np.ndarray, normal: np.ndarray, step: int, pixel_m: float, reach: int, box: Box | None = None,
    before: np.ndarray | None = None,
) -> np.ndarray:  # fmt: skip
    """Share of the sky hidden at each pixel by what stands beside it, 0 open to 1 closed: soft shadow in hollows.

    Every ``step``-th pixel of ``depth`` (h, w) is read; ``pixel_m`` is the size of such a pixel and ``reach`` how many
    of them to look away. Returns (h / step, w / step) float32: within ``box``, which counts those too, computed with
    the normals of all pixels of ``depth`` there (..., ..., 3); outside as ``before``, which is left as it is.
    """
    shape = depth.shape[0] // step, depth.shape[1] // step
    out = np.zeros(shape, np.float32) if before is None else before.copy()
    box = box or Box.whole(shape)
    far = reach * (np.arange(1, 7) / 6.0) ** 1.6 + 1.0
    angle = np.arange(12) * np.pi / 6.0
    looks = np.round(np.stack([np.cos(angle)[:, None] * far, np.sin(angle)[:, None] * far], -1)).astype(np.int64)
    lose_m, edges = 2.0 * reach * pixel_m, (box.top, box.left, box.right)
    in_bands(_shelter, box.bottom, depth, normal, *edges, step, pixel_m, lose_m, looks, out, first=box.top)
    return out


@kernel
def _shelter(row0, row1, depth, normal, top, left, right, step, pixel_m, lose_m, looks, out):  # type: ignore[no-untyped-def]
    height, width = out.shape
    for y in range(row0, row1):
        for x in range(left, right):
            here = depth[y * step, x * step]
            if here <= EMPTY:
                continue
            i, j0 = (y - top) * step, (x - left) * step
            nx, ny, nz = normal[i, j0, 0], normal[i, j0, 1], normal[i, j0, 2]
            total = 0.0
            for k in range(looks.shape[0]):
                highest = 0.0
                for j in range(looks.shape[1]):
                    sx, sy = x + looks[k, j, 0], y + looks[k, j, 1]
                    if sx < 0 or sy < 0 or sx >= width or sy >= height:
                        continue
                    there = depth[sy * step, sx * step]
                    if there <= EMPTY:
                        continue
                    dx, dy, dz = (sx - x) * pixel_m, (y - sy) * pixel_m, there - here
                    rise = (dx * nx + dy * ny + dz * nz) / (np.sqrt(dx * dx + dy * dy + dz * dz) + 1e-12)
                    fade = min(1.0, abs(dz) / lose_m)
                    highest = max(highest, (rise - 0.08) * (1.0 - fade * fade))
                total += highest
            out[y, x] = min(1.0, total / looks.shape[0])


def lines(
    owner: np.ndarray, depth: np.ndarray, body: np.ndarray, jump_m: float, box: Box | None = None,
    before: np.ndarray | None = None,
) -> np.ndarray:  # fmt: skip
    """Strength 0 to 1 (float32, h x w) of an ink line: where one body ends against another, or depth jumps.

    ``body`` (m,) int32 names the body of each triangle. Two bodies that touch share one weaker line. Outside ``box`` it
    is as ``before``, which is left as it is.
    """
    out = np.zeros(owner.shape, np.float32) if before is None else before.copy()
    box = box or Box.whole(owner.shape)
    in_bands(_lines, box.bottom, owner, depth, body, jump_m, box.left, box.right, out, first=box.top)
    return out


@kernel
def _lines(row0, row1, owner, depth, body, jump_m, left, right, out):  # type: ignore[no-untyped-def]
    height, width = owner.shape
    for y in range(max(1, row0), min(row1, height - 1)):
        for x in range(max(1, left), min(right, width - 1)):
            t = owner[y, x]
            if t < 0:
                continue
            strength = 0.0
            for k in range(4):
                dx, dy = (k % 2) * (2 - k), (1 - k % 2) * (1 - k)  # below, right, above, left
                other = owner[y + dy, x + dx]
                if other < 0:
                    strength = max(strength, 1.0)
                elif depth[y, x] - depth[y + dy, x + dx] > jump_m:
                    strength = max(strength, 0.8)
                elif body[other] < body[t]:
                    strength = max(strength, 0.62)
            out[y, x] = strength
