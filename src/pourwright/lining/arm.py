"""How far an arm reaches into a piece: from which mouth, and the shortest way inside from there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import KDTree

from pourwright.cavity import Cavity, build_cavity
from pourwright.cores import clear_m, rim_m
from pourwright.lining.chambers import IN
from pourwright.lining.rules import HAND
from pourwright.lining.surface import Inside
from pourwright.panels import tangent_frame
from pourwright.sanitising import MEMORY_BYTES
from pourwright.shell import Opening, Skin
from pourwright.sources import Cited, Standing

PASSAGE = Cited(0.1, "m", Standing.JUDGEMENT, note="a hand with a brush goes through inside, that wide all along")
BRUSH = Cited(0.08, "m", Standing.JUDGEMENT, note="its brush reaches so far on from there, into corners")
CELL_M, MOST_ALONG, LEAST_ALONG = 0.03, 64, 32
"""Cells in which ways are sought [m], and how many of them along the piece."""
UNDER = -0.5
"""A mouth that looks down by more than 30 degrees is not worked through: the piece lies on it. Our judgement."""
NEAREST = 80
"""Cells around a place, on its own side of the skin, from which the way to it is taken, the shortest of them."""


@dataclass(frozen=True, eq=False)
class Mouth:
    """A mouth that an arm goes through, and how far in each face of the inside lies. Shell file's axes."""

    name: str
    normal: np.ndarray  # (3,) out of the piece
    clear_m: float  # diameter of the largest disc that passes, walls taken off
    way_m: np.ndarray  # (n,) shortest way inside from the mouth to each face; inf where none leads there

    def open_to(self, up: np.ndarray) -> bool:
        """Whether it can be worked through with a way up (3,)."""
        return bool(self.normal @ up >= UNDER)


def mouths_for(skin: Skin, cavity: Cavity, inside: Inside, memory_bytes: int = MEMORY_BYTES) -> tuple[Mouth, ...]:
    """The mouths of a piece that let an arm in, and the ways from them to the faces of the inside.

    Ways are followed from cell to cell along 49 directions to and fro, up to 3 % too long, where a ball as wide as a
    hand with a brush passes; from there the brush reaches `BRUSH` on. That an arm bends as they do is not computed.
    """
    wide = [(one, clear_m(one, rim_m(one, skin))) for one in skin.openings]
    wide = [(one, clear) for one, clear in wide if clear >= HAND.value]
    if not wide:
        return ()
    size = float(cavity.frame.size_m.max())
    cell = max(cavity.grid.cell_m, min(max(CELL_M, size / MOST_ALONG), size / LEAST_ALONG))
    coarse = build_cavity(skin, cavity.frame, cell_m=cell, memory_bytes=memory_bytes)
    passes = let_through(coarse.fraction >= IN, 0.5 * PASSAGE.value / cell)
    cells = np.argwhere(passes)
    if not len(cells):
        return ()
    at, links = cavity.frame.to_shell(coarse.grid.centres(cells)), ways_between(passes, cell)
    middle_m = inside.middle_m
    off, near = KDTree(at).query(middle_m, k=min(NEAREST, len(cells)), distance_upper_bound=BRUSH.value + cell)
    off, near = off.reshape(len(middle_m), -1), near.reshape(len(middle_m), -1)
    away = np.append(at, np.zeros((1, 3)), axis=0)[near] - middle_m[:, None]
    off = np.where((away * inside.normal[:, None]).sum(axis=2) <= 0.0, off, math.inf)  # not through the skin
    out = []
    for opening, clear in wide:
        way = np.append(_from_mouth(opening, at, links, 0.5 * PASSAGE.value + cell), math.inf)
        out.append(Mouth(opening.name, opening.normal, clear, (way[near] + off).min(axis=1)))
    return tuple(out)


def let_through(inside: np.ndarray, half_cells: float) -> np.ndarray:
    """Cells (nx, ny, nz) bool of the inside that some ball of a half width [cells] covers without leaving it.

    >>> wide, narrow = np.ones((9, 9, 9), bool), np.ones((9, 3, 3), bool)
    >>> bool(let_through(wide, 3.0)[4, 4, 4]), bool(let_through(narrow, 3.0).any())
    (True, False)
    """
    import edt

    core = edt.edt(np.pad(inside, 1))[1:-1, 1:-1, 1:-1] - 0.5 * inside >= half_cells
    if not core.any():
        return np.zeros(inside.shape, bool)
    return np.asarray(inside & (edt.edt(~core) <= half_cells + 0.5))


def _from_mouth(opening: Opening, at: np.ndarray, links: coo_array, deep_m: float) -> np.ndarray:
    """Shortest way (n,) from a mouth to cells at points (n, 3), the first of them no deeper than so much."""
    n = len(at)
    deep = -(at - opening.centroid_m) @ opening.normal
    near = np.abs(deep) <= deep_m
    near &= _within(opening.loop_m - opening.centroid_m, opening.normal, at - opening.centroid_m)
    first = np.flatnonzero(near)
    if not len(first):
        return np.full(n, math.inf)
    start = coo_array((np.maximum(deep[first], 1e-9), (np.full(len(first), n), first)), (n + 1, n + 1))
    whole = coo_array((links.data, links.coords), (n + 1, n + 1)) + start
    return np.asarray(dijkstra(whole.tocsr(), directed=False, indices=n)[:n])


def _within(loop: np.ndarray, normal: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Which points (n, 3) lie in a loop (k, 3), seen along its normal, both from its middle."""
    import shapely

    flat = tangent_frame(normal)[:2].T
    shape = shapely.make_valid(shapely.Polygon(loop @ flat))
    shapely.prepare(shape)
    return np.asarray(shapely.contains_xy(shape, *(points @ flat).T))


def ways_between(inside: np.ndarray, cell_m: float) -> coo_array:
    """Ways (n, n) between the middles of cells (nx, ny, nz) bool, numbered in their order, one way each.

    To those around, and two cells off where those between are inside too.

    >>> ways_between(np.ones((3, 1, 1), bool), 2.0).toarray().tolist()
    [[0.0, 2.0, 0.0], [0.0, 0.0, 2.0], [0.0, 0.0, 0.0]]
    """
    number = np.full(inside.shape, -1, np.int64)
    number[inside] = np.arange(int(inside.sum()))
    wide = np.pad(number, 2, constant_values=-1)
    size = np.array(inside.shape)

    def off(step: Sequence[int]) -> np.ndarray:
        return wide[tuple(slice(2 + s, 2 + s + n) for s, n in zip(step, size, strict=True))]

    rows, columns, far = [], [], []
    for step in itertools.product((-2, -1, 0, 1, 2), repeat=3):
        if step <= (0, 0, 0) or math.gcd(*step) != 1:
            continue
        keep = (number >= 0) & (off(step) >= 0)
        for between in {tuple(int(s / 2 + e) for s, e in zip(step, ends, strict=True)) for ends in _ends(step)}:
            keep &= off(between) >= 0
        rows.append(number[keep])
        columns.append(off(step)[keep])
        far.append(np.full(int(keep.sum()), cell_m * math.hypot(*step)))
    n = int(inside.sum())
    return coo_array((np.concatenate(far), (np.concatenate(rows), np.concatenate(columns))), (n, n))


def _ends(step: Sequence[int]) -> list[tuple[float, ...]]:
    """Half steps rounded to either side: the cells that a step of two passes between."""
    if max(abs(s) for s in step) < 2:
        return []
    low = tuple(0.0 if s % 2 == 0 else -math.copysign(0.5, s) for s in step)
    return [low, tuple(-value for value in low)]
