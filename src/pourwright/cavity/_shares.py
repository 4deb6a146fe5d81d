"""Filled share of the cells near the wall: exact distances to the surface, plane cuts of cubes, blocks skipped whole.

A cell far from every surface is full or empty as its centre is. Blocks of 8, 4 and 2 cells are asked first; only cells
that the offset surface can cut are looked at singly, so that the work grows with the area of the wall. The triangles
that can matter to a block of 2 are listed once for its cells.
All lengths in cells: the centre of cell (i, j, k) is the point (i, j, k).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from pourwright.cavity._compile import inner, kernel
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import build_tree, closest_on_triangle, gather, nearest

STEP = 0.125  # cells; shift of the offset surface for its area by differences
REACH = math.sqrt(3.0) / 2.0 + STEP  # a plane farther than this from the centre does not cut the cell
BLOCK = 8  # blocks of cells that are asked first, ...
SMALL = 2  # ... halved down to this before single cells


class Walls(NamedTuple):
    """Trees of all surfaces end to end; surface s has boxes box_at[s]:box_at[s + 1] and so on."""

    boxes: np.ndarray
    triangles: np.ndarray
    box_at: np.ndarray
    triangle_at: np.ndarray
    first_leaf: np.ndarray
    wall: np.ndarray  # thickness of each; 0 for caps and for the faces of voids


def join_walls(surfaces: list[tuple[np.ndarray, float]]) -> Walls:
    """Trees of ``(triangles (m, 3, 3), thickness)`` pairs."""
    trees = [build_tree(triangles) for triangles, _ in surfaces]
    if len(trees) == 1:  # no second copy of a big mesh
        boxes, flat = trees[0].boxes, trees[0].triangles
    else:
        boxes, flat = np.concatenate([t.boxes for t in trees]), np.concatenate([t.triangles for t in trees])
    return Walls(
        boxes,
        flat,
        np.cumsum([0, *(len(t.boxes) for t in trees)]),
        np.cumsum([0, *(len(t.triangles) for t in trees)]),
        np.array([t.first_leaf for t in trees]),
        np.array([thickness for _, thickness in surfaces], float),
    )


@inner
def plane_share(phi: float, nx: float, ny: float, nz: float) -> float:
    """Share of the unit cube at the origin where ``phi + n . x > 0``, n of unit length.

    The polynomial pieces are those of Scardovelli & Zaleski, J. Comput. Phys. 164 (2000) 228-237 (from memory;
    checked in the tests against sampling).
    """
    a, b, c = abs(nx), abs(ny), abs(nz)
    if a > b:
        a, b = b, a
    if b > c:
        b, c = c, b
    if a > b:
        a, b = b, a
    half = 0.5 * (a + b + c)
    if phi >= half:
        return 1.0
    if phi <= -half:
        return 0.0
    depth = half - abs(phi)  # along n from the corner that is cut first
    if a < 1e-6:  # below this the cubes cancel (a relative 1e-16 over a b), and dropping it costs no more
        a = 0.0
    if b < 1e-6:
        b = 0.0
    if b == 0.0:
        share = depth / c
    elif a == 0.0:
        share = depth * depth / (2.0 * b * c) if depth < b else (depth - 0.5 * b) / c
    else:
        s = depth**3
        if depth > a:
            s -= (depth - a) ** 3
        if depth > b:
            s -= (depth - b) ** 3
        if depth > c:
            s -= (depth - c) ** 3
        if depth > a + b:
            s += (depth - a - b) ** 3
        share = s / (6.0 * a * b * c)
    return 1.0 - share if phi > 0.0 else share


class Scratch(NamedTuple):
    """Work space of one thread."""

    stack: np.ndarray
    gaps: np.ndarray
    near: np.ndarray  # per surface: distance from the middle of the block, or more than matters
    at: np.ndarray  # per surface and one more: its stretch of the two lists below
    found: np.ndarray  # triangles near the block
    far: np.ndarray  # their distance from its middle, and the direction of it
    normal: np.ndarray


@inner
def _judge(x: float, y: float, z: float, radius: float, inside: bool, walls: Walls, work: Scratch) -> int:
    """A block of cell centres within ``radius`` of a point: 0 no wall near, 1 all inside the wall, 2 look closer.

    ``inside`` tells whether any of them is inside; blocks outside matter only where the wall is thinner than a cell.
    """
    verdict = 0
    for s in range(len(walls.wall)):
        t = walls.wall[s]
        work.near[s] = t + REACH + radius
        if not inside:
            if t >= REACH:
                continue
            t = 0.0
        d, hit, _, _, _ = nearest(
            walls.boxes[walls.box_at[s] : walls.box_at[s + 1]],
            walls.triangles[walls.triangle_at[s] : walls.triangle_at[s + 1]],
            walls.first_leaf[s],
            x,
            y,
            z,
            t + REACH + radius,
            t - REACH - radius,
            work.stack,
            work.gaps,
        )
        if hit >= 0:
            if d < t - REACH - radius:
                return 1
            work.near[s] = d
            verdict = 2
    return verdict


@inner
def _list_near(x: float, y: float, z: float, radius: float, walls: Walls, work: Scratch) -> None:
    """List the triangles that can be nearest to, and matter for, any point within ``radius`` of a block's middle."""
    used = 0
    for s in range(len(walls.wall)):
        work.at[s] = used
        limit = min(work.near[s] + 2.0 * radius, walls.wall[s] + REACH + radius) + 1e-9
        used = gather(
            walls.boxes[walls.box_at[s] : walls.box_at[s + 1]],
            walls.triangles[walls.triangle_at[s] : walls.triangle_at[s + 1]],
            walls.first_leaf[s],
            x,
            y,
            z,
            limit,
            work.stack,
            work.found,
            work.far,
            used,
        )
        best = work.at[s]  # the nearest first: it spares most of the others
        for i in range(work.at[s] + 1, used):
            if work.far[i, 0] < work.far[best, 0]:
                best = i
        if best > work.at[s]:
            top = work.at[s]
            work.found[top], work.found[best] = work.found[best], work.found[top]
            for k in range(4):
                work.far[top, k], work.far[best, k] = work.far[best, k], work.far[top, k]
    work.at[len(walls.wall)] = used


@inner
def _cell(
    x: float, y: float, z: float, ox: float, oy: float, oz: float, inside: bool, walls: Walls, work: Scratch
) -> tuple[float, int]:
    """Signed depth of a cell centre beyond the wall, and the surface that rules; its normal in ``work``.

    The surface is -1 where none is near; the depth is then, and wherever the cell is not cut, only good for its sign.
    (ox, oy, oz) is the centre seen from the middle of the block for which triangles were listed: a triangle is no
    nearer than the plane across its nearest point to that middle.
    """
    best, ruler = 2.0 * REACH, -1
    close, closest, cx, cy, cz = REACH, -1, 0.0, 0.0, 0.0
    n = work.normal
    for s in range(len(walls.wall)):
        t = walls.wall[s]
        d2, qx, qy, qz, bound = np.inf, 0.0, 0.0, 0.0, np.inf
        for i in range(work.at[s], work.at[s + 1]):
            if work.far[i, 0] + work.far[i, 1] * ox + work.far[i, 2] * oy + work.far[i, 3] * oz >= bound:
                continue
            fx, fy, fz = closest_on_triangle(walls.triangles[walls.triangle_at[s] + work.found[i]], x, y, z)
            e2 = (x - fx) ** 2 + (y - fy) ** 2 + (z - fz) ** 2
            if e2 < d2:
                d2, qx, qy, qz = e2, fx, fy, fz
                bound = math.sqrt(e2)
        d = bound
        scale = 1.0 / d if d > 1e-12 else 0.0
        if d - t < best:
            best, ruler = d - t, s
            n[0], n[1], n[2] = (x - qx) * scale, (y - qy) * scale, (z - qz) * scale
        if d < close:
            close, closest = d, s
            cx, cy, cz = (qx - x) * scale, (qy - y) * scale, (qz - z) * scale
    if not inside:
        if closest < 0 or walls.wall[closest] >= REACH:
            return -2.0 * REACH, ruler
        if -close - walls.wall[closest] < best:
            best, ruler = -close - walls.wall[closest], closest
            n[0], n[1], n[2] = cx, cy, cz
    return best, ruler


@inner
def _any_full(out: np.ndarray, x0: int, y0: int, z0: int, size: int) -> bool:
    for ix in range(x0, min(x0 + size, out.shape[0])):
        for iy in range(y0, min(y0 + size, out.shape[1])):
            for iz in range(z0, min(z0 + size, out.shape[2])):
                if out[ix, iy, iz] != 0:
                    return True
    return False


@inner
def _clear(out: np.ndarray, x0: int, y0: int, z0: int, size: int) -> None:
    for ix in range(x0, min(x0 + size, out.shape[0])):
        for iy in range(y0, min(y0 + size, out.shape[1])):
            for iz in range(z0, min(z0 + size, out.shape[2])):
                out[ix, iy, iz] = 0


@inner
def _carve_cells(
    out: np.ndarray, x0: int, y0: int, z0: int, size: int, walls: Walls, work: Scratch, sums: np.ndarray
) -> None:
    """Shares of the cells of one block."""
    middle = 0.5 * (size - 1)
    radius = math.sqrt(3.0) * middle
    _list_near(x0 + middle, y0 + middle, z0 + middle, radius, walls, work)
    n = work.normal
    for ix in range(x0, min(x0 + size, out.shape[0])):
        for iy in range(y0, min(y0 + size, out.shape[1])):
            for iz in range(z0, min(z0 + size, out.shape[2])):
                ox, oy, oz = ix - x0 - middle, iy - y0 - middle, iz - z0 - middle
                phi, s = _cell(float(ix), float(iy), float(iz), ox, oy, oz, out[ix, iy, iz] != 0, walls, work)
                if s < 0:
                    continue
                share = plane_share(phi, n[0], n[1], n[2])
                out[ix, iy, iz] = np.uint8(math.floor(255.0 * share + 0.5))
                if abs(phi) < REACH:
                    thinner = plane_share(phi + STEP, n[0], n[1], n[2])
                    thicker = plane_share(phi - STEP, n[0], n[1], n[2])
                    sums[s, 0] += thinner
                    sums[s, 1] += thicker
                    sums[s, 2] += thinner + thicker - 2.0 * share


@kernel
def _carve(out: np.ndarray, walls: Walls, x0: int, x1: int) -> np.ndarray:
    """Shares of all cells x0 <= ix < x1 (a row of blocks). ``out`` comes in as 255 inside, 0 outside."""
    surfaces = len(walls.wall)
    sums = np.zeros((surfaces, 3))
    work = Scratch(
        np.empty(64, np.int64),
        np.empty(64),
        np.empty(surfaces),
        np.empty(surfaces + 1, np.int64),
        np.empty(len(walls.triangles), np.int64),
        np.empty((len(walls.triangles), 4)),
        np.zeros(3),
    )
    pending = np.empty((64, 4), np.int64)
    for by in range(0, out.shape[1], BLOCK):
        for bz in range(0, out.shape[2], BLOCK):
            top = 0
            pending[0, 0], pending[0, 1], pending[0, 2], pending[0, 3] = x0, by, bz, BLOCK
            while top >= 0:
                px, py, pz, size = pending[top, 0], pending[top, 1], pending[top, 2], pending[top, 3]
                top -= 1
                middle = 0.5 * (size - 1)
                radius = math.sqrt(3.0) * middle
                inside = _any_full(out, px, py, pz, size)
                verdict = _judge(px + middle, py + middle, pz + middle, radius, inside, walls, work)
                if verdict == 1:
                    _clear(out, px, py, pz, size)
                elif verdict == 2 and size == SMALL:
                    _carve_cells(out, px, py, pz, size, walls, work, sums)
                elif verdict == 2:
                    half = size // 2
                    for corner in range(8):
                        qx = px + half * (corner & 1)
                        qy = py + half * ((corner >> 1) & 1)
                        qz = pz + half * (corner >> 2)
                        if qx < x1 and qy < out.shape[1] and qz < out.shape[2]:
                            top += 1
                            pending[top, 0], pending[top, 1], pending[top, 2], pending[top, 3] = qx, qy, qz, half
    return sums


def carve(out: np.ndarray, walls: Walls, tell: Callable[[float], None] | None = None) -> np.ndarray:
    """Cut the walls out of the inside, in place.

    Parameters
    ----------
    out : ndarray (nx, ny, nz) uint8
        255 where the centre is inside the surfaces, 0 elsewhere; becomes the filled share of each cell.
    walls : Walls
        Every surface with its thickness in cells.
    tell : callable, optional
        Hears the share that is done.

    Returns
    -------
    ndarray (surfaces, 3)
        Per surface, in cells: volume of its cut cells with the wall thinner and thicker by STEP, and the second
        difference of the two about the volume as it is.
    """
    rows = run_spans(lambda a, b: _carve(out, walls, a, b), spans(out.shape[0], BLOCK), tell)
    total = np.zeros((len(walls.wall), 3))
    for row in rows:
        total += row
    return total
