"""Occupancy that stands dirt: signed crossings along all three axes, voted; the winding number where votes differ.

Along a line the winding is counted from both ends. Through a hole or a flipped triangle the two counts disagree, and
the line says nothing of the cells where they do. A cell is decided by two axes that agree with none against; what is
left is decided by the generalised winding number, block by block where no triangle is near.
"""

from __future__ import annotations

import math

import numpy as np

from pourwright.cavity._columns import cross_columns
from pourwright.cavity._compile import kernel
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import Tree, nearest
from pourwright.cavity._winding import Moments, winding

INSIDE, SILENT = 1, 2  # a vote has two bits; none set: outside
BLOCK = 4
CONTESTED = 1
DOUBT = 0.25  # a winding number within so much of 1/2 leaves a cell in doubt


@kernel
def _vote(
    start: np.ndarray, z: np.ndarray, sign: np.ndarray, turn: int, out: np.ndarray, shift: int, x0: int, x1: int
) -> None:
    """Add the votes of the columns x0 <= ix < x1 to the bits of ``out`` from ``shift`` on."""
    ny, nz = out.shape[1], out.shape[2]
    for ix in range(x0, x1):
        for iy in range(ny):
            column = ix * ny + iy
            first, last = start[column], start[column + 1]
            total = 0
            for i in range(first, last):
                total += turn * sign[i]
            if first == last:
                continue
            below = 0  # crossings passed, counted from below
            for i in range(first - 1, last):
                if i >= first:
                    below -= turn * sign[i]
                above = below + total  # counted from above; the two agree on a line that closes
                a, b = below > 0, above > 0
                if not a and not b:
                    continue
                vote = (INSIDE if a and b else SILENT) << shift
                low = 0 if i < first else max(0, math.floor(z[i]) + 1)
                high = nz - 1 if i + 1 >= last else min(nz - 1, math.floor(z[i + 1]))
                for iz in range(low, high + 1):
                    out[ix, iy, iz] |= vote


@kernel
def _decide(out: np.ndarray, table: np.ndarray, x0: int, x1: int) -> int:
    """Replace votes by verdicts; returns how many cells are contested."""
    count = 0
    for ix in range(x0, x1):
        for iy in range(out.shape[1]):
            row = out[ix, iy]
            for iz in range(out.shape[2]):
                row[iz] = table[row[iz]]
                count += row[iz] == CONTESTED
    return count


def _verdicts() -> np.ndarray:
    """Verdict by the six bits of three votes: 0 outside, 255 inside, CONTESTED."""
    table = np.zeros(256, np.uint8)
    for bits in range(64):
        votes = [(bits >> shift) & 3 for shift in (0, 2, 4)]
        yes = sum(v == INSIDE for v in votes)
        silent = sum(v >= SILENT for v in votes)
        no = 3 - yes - silent
        table[bits] = 255 if yes >= 2 and no == 0 else 0 if no >= 2 and yes == 0 else CONTESTED
    return table


@kernel
def _settle(out: np.ndarray, tree: Tree, moments: Moments, turn: int, x0: int, x1: int) -> int:
    """Decide the contested cells of a row of blocks by the winding number; returns how many stay in doubt."""
    stack, gaps = np.empty(64, np.int64), np.empty(64)
    doubts = 0
    for by in range(0, out.shape[1], BLOCK):
        for bz in range(0, out.shape[2], BLOCK):
            y1, z1 = min(by + BLOCK, out.shape[1]), min(bz + BLOCK, out.shape[2])
            contested = False
            for ix in range(x0, x1):
                for iy in range(by, y1):
                    for iz in range(bz, z1):
                        contested |= out[ix, iy, iz] == CONTESTED
            if not contested:
                continue
            mx, my, mz = 0.5 * (x0 + x1 - 1), 0.5 * (by + y1 - 1), 0.5 * (bz + z1 - 1)
            radius = 0.5 * math.sqrt(3.0) * (BLOCK - 1)
            _, hit, _, _, _ = nearest(
                tree.boxes, tree.triangles, tree.first_leaf, mx, my, mz, 2.0 * radius, radius, stack, gaps
            )
            whole = hit < 0
            w = turn * winding(tree, moments, mx, my, mz, stack) if whole else 0.5
            whole = whole and abs(w - 0.5) > DOUBT
            for ix in range(x0, x1):
                for iy in range(by, y1):
                    for iz in range(bz, z1):
                        if out[ix, iy, iz] != CONTESTED:
                            continue
                        if not whole:
                            w = turn * winding(tree, moments, float(ix), float(iy), float(iz), stack)
                        out[ix, iy, iz] = 255 if w > 0.5 else 0
                        doubts += abs(w - 0.5) < DOUBT
    return doubts


def fill_by_votes(
    triangles: np.ndarray, out: np.ndarray, tree: Tree, moments: Moments, *, turn: int = 1
) -> tuple[int, int]:
    """Mark the cells whose centre lies inside a surface that need not be closed or wound alike.

    Parameters
    ----------
    triangles : ndarray (m, 3, 3)
        Corners in cell units.
    out : ndarray (nx, ny, nz) uint8
        Zeros; becomes 255 inside.
    tree, moments : Tree, Moments
        Of the same triangles.
    turn : int
        1 for surfaces wound outwards, -1 for inwards.

    Returns
    -------
    contested, doubted : int
        Cells that the votes left open, and those of them whose winding number does not tell clearly either.
    """
    for axis in range(3):
        order = [(axis + 1) % 3, (axis + 2) % 3, axis]
        view = out.transpose(order)
        start, z, sign = cross_columns(np.ascontiguousarray(triangles[:, :, order]), view.shape)
        slabs = spans(view.shape[0], max(1, -(-view.shape[0] // 8)))
        run_spans(lambda a, b: _vote(start, z, sign, turn, view, 2 * axis, a, b), slabs)  # noqa: B023 - run at once
    table = _verdicts()
    contested = sum(run_spans(lambda a, b: _decide(out, table, a, b), spans(out.shape[0], 16)))
    doubted = 0
    if contested:
        rows = spans(out.shape[0], BLOCK)
        doubted = sum(run_spans(lambda a, b: _settle(out, tree, moments, turn, a, b), rows))
    return contested, doubted
