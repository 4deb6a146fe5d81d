"""The compiled walk over faces that grows a gently curved region from a seed."""

from __future__ import annotations

import numpy as np

from pourwright.compiled import njit


@njit(cache=True)
def grow(
    seed: int,
    neighbour: np.ndarray,
    faces: np.ndarray,
    vertices: np.ndarray,
    normals: np.ndarray,
    frame: np.ndarray,
    origin: np.ndarray,
    coefficients: np.ndarray,
    tolerance: float,
    steepest: float,
    radius: float,
    stamp: np.ndarray,
    mark: int,
    queue: np.ndarray,
) -> tuple[int, bool]:
    """Mark every face joined to ``seed`` on the model surface; returns how many, and whether ``radius`` held it back.

    A face joins when all its corners are within ``tolerance`` of z = c0 + c1 x + c2 y + c3 x2 + c4 x y + c5 y2
    (in ``frame`` (3, 3), rows x, y, z, at ``origin``), the model there is no steeper than ``steepest``, the side it
    is reached over is within ``radius`` of the origin across, and it does not look back. ``neighbour`` (m, 3) holds
    -1 where a side is a border. ``stamp`` (m,) is written with ``mark``; ``queue`` (m,) holds the faces found, seed
    first.
    """
    c0, c1, c2, c3, c4, c5 = coefficients
    head, tail, held = 0, 1, False
    queue[0] = seed
    stamp[seed] = mark
    while head < tail:
        face = queue[head]
        head += 1
        for side in range(3):
            other = neighbour[face, side]
            if other < 0 or stamp[other] == mark:
                continue
            if (
                normals[other, 0] * frame[2, 0] + normals[other, 1] * frame[2, 1] + normals[other, 2] * frame[2, 2]
                < 0.3
            ):
                continue
            fits = True
            mx, my = 0.0, 0.0
            for corner in range(3):
                v = faces[other, corner]
                px, py, pz = vertices[v, 0] - origin[0], vertices[v, 1] - origin[1], vertices[v, 2] - origin[2]
                x = px * frame[0, 0] + py * frame[0, 1] + pz * frame[0, 2]
                y = px * frame[1, 0] + py * frame[1, 1] + pz * frame[1, 2]
                z = px * frame[2, 0] + py * frame[2, 1] + pz * frame[2, 2]
                if abs(z - (c0 + c1 * x + c2 * y + c3 * x * x + c4 * x * y + c5 * y * y)) > tolerance:
                    fits = False
                    break
                mx += x / 3.0
                my += y / 3.0
            if not fits:
                continue
            a, b = faces[face, side], faces[face, (side + 1) % 3]
            ax = ay = bx = by = 0.0
            for axis in range(3):
                ax += (vertices[a, axis] - origin[axis]) * frame[0, axis]
                ay += (vertices[a, axis] - origin[axis]) * frame[1, axis]
                bx += (vertices[b, axis] - origin[axis]) * frame[0, axis]
                by += (vertices[b, axis] - origin[axis]) * frame[1, axis]
            dx, dy = bx - ax, by - ay
            along = -(ax * dx + ay * dy) / max(dx * dx + dy * dy, 1e-300)
            along = min(max(along, 0.0), 1.0)
            nx, ny = ax + along * dx, ay + along * dy
            if nx * nx + ny * ny > radius * radius:
                held = True
                continue
            sx, sy = c1 + 2.0 * c3 * mx + c4 * my, c2 + c4 * mx + 2.0 * c5 * my
            if sx * sx + sy * sy > steepest * steepest:
                continue
            stamp[other] = mark
            queue[tail] = other
            tail += 1
    return tail, held
