"""Questions straight up: where a vertical line leaves the cavity, and where it leaves the skin."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from pourwright.cavity._columns import _meet
from pourwright.cavity._compile import kernel
from pourwright.cavity._pieces import runs_of
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import Tree, build_tree, nearest_many
from pourwright.cavity.frame import PourFrame
from pourwright.cavity.model import Cavity, LevelGraph
from pourwright.shell import Skin


@dataclass(frozen=True, eq=False)
class ColumnMap:
    """Filled runs of every column of cells, from low to high. Read-only arrays.

    Runs of column (ix, iy) are ``start[ix * ny + iy] : start[ix * ny + iy + 1]``.
    """

    shape: tuple[int, int, int]
    start: np.ndarray  # (nx * ny + 1,)
    low: np.ndarray  # (runs,) first level of the run
    high: np.ndarray  # (runs,) level after its last
    high_node: np.ndarray  # (runs,) node of its highest cell

    @property
    def column(self) -> np.ndarray:
        """(runs, 2) ix and iy of each run."""
        flat = np.repeat(np.arange(len(self.start) - 1), np.diff(self.start))
        return np.column_stack([flat // self.shape[1], flat % self.shape[1]])

    def run_of(self, cells: np.ndarray) -> np.ndarray:
        """Run that holds each of ``cells`` (n, 3); -1 for a cell that is not in the cavity."""
        cells = np.asarray(cells, np.int64)
        column = cells[:, 0] * self.shape[1] + cells[:, 1]
        levels = self.shape[2] + 1
        flat = np.repeat(np.arange(len(self.start) - 1), np.diff(self.start))
        at = np.searchsorted(flat * levels + self.low, column * levels + cells[:, 2], side="right") - 1
        safe = np.maximum(at, 0)
        good = (at >= 0) & (flat[safe] == column) & (self.high[safe] > cells[:, 2]) if len(flat) else at >= 0
        return np.where(good, at, -1)


def straight_up(cavity: Cavity, graph: LevelGraph) -> ColumnMap:
    """Filled runs of every column: going straight up from a cell, its run's end is where the cavity ends."""
    start, low, high, _, _ = runs_of(cavity.fraction)
    flat = np.repeat(np.arange(len(start) - 1), np.diff(start))
    ix, iy = flat // cavity.grid.shape[1], flat % cavity.grid.shape[1]
    arrays = (start, low, high, graph.label[ix, iy, high - 1] - 1)
    for array in arrays:
        array.setflags(write=False)
    return ColumnMap(cavity.grid.shape, *arrays)


@kernel
def _first_above(
    tris: np.ndarray, skip: np.ndarray, points: np.ndarray, height: np.ndarray, hit: np.ndarray, start: int, stop: int
) -> None:
    """Lowest face above each point (start <= i < stop) that a line upwards leaves through."""
    for t in range(len(tris)):
        if skip[t]:
            continue
        tri = tris[t]
        x0, x1 = min(tri[0, 0], tri[1, 0], tri[2, 0]), max(tri[0, 0], tri[1, 0], tri[2, 0])
        y0, y1 = min(tri[0, 1], tri[1, 1], tri[2, 1]), max(tri[0, 1], tri[1, 1], tri[2, 1])
        z1 = max(tri[0, 2], tri[1, 2], tri[2, 2])
        for i in range(start, stop):
            px, py = points[i, 0], points[i, 1]
            if px < x0 or px > x1 or py < y0 or py > y1 or z1 < points[i, 2]:
                continue
            sign, z = _meet(tri, px, py)
            if sign > 0 and points[i, 2] <= z < height[i]:
                height[i], hit[i] = z, t


def skin_above(
    skin: Skin, frame: PourFrame, points_standing_m: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where the line straight up from each point leaves the piece.

    Parameters
    ----------
    skin : Skin
    frame : PourFrame
    points_standing_m : ndarray (n, 3)
        Points inside the piece, standing metres.

    Returns
    -------
    points_m : ndarray (n, 3)
        On the outside face or a cap, shell file's axes; nan where nothing lies above.
    triangle : ndarray (n,) int64
        Face of ``skin`` met, -1 where nothing lies above.
    opening : ndarray (n,) int32
        Index of the opening whose cap is met; -1 for skin or nothing.
    """
    points = np.atleast_2d(np.asarray(points_standing_m, float))
    tris = _standing(skin, frame)
    height, hit = np.full(len(points), np.inf), np.full(len(points), -1, np.int64)
    run_spans(lambda a, b: _first_above(tris, skin.void_face, points, height, hit, a, b), spans(len(points), 256))
    found = hit >= 0
    out = np.full(points.shape, np.nan)
    out[found] = frame.to_shell(np.column_stack([points[found, :2], height[found]]))
    return out, hit, np.where(found, skin.cap_opening[hit], -1).astype(np.int32)


def nearest_skin_point(
    skin: Skin, points_m: np.ndarray, *, caps: bool = False
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Nearest point of the outside face to each of ``points_m`` (n, 3), all in the shell file's axes.

    Parameters
    ----------
    skin : Skin
    points_m : ndarray (n, 3)
    caps : bool
        Whether the caps of openings count as well.

    Returns
    -------
    feet_m : ndarray (n, 3)
        On the skin.
    triangle : ndarray (n,) int64
        Face of ``skin``.
    distance_m : ndarray (n,)
    """
    points = np.ascontiguousarray(np.atleast_2d(np.asarray(points_m, float)))
    faces, tree = _outside(skin, caps)
    distance, hit, foot = np.empty(len(points)), np.empty(len(points), np.int64), np.empty((len(points), 3))
    run_spans(
        lambda a, b: nearest_many(tree.boxes, tree.triangles, tree.first_leaf, points, distance, hit, foot, a, b),
        spans(len(points), 2048),
    )
    return foot, faces[tree.order[hit]], distance


_OUTSIDE: WeakKeyDictionary[Skin, dict[bool, tuple[np.ndarray, Tree]]] = WeakKeyDictionary()
_STANDING: WeakKeyDictionary[Skin, dict[bytes, np.ndarray]] = WeakKeyDictionary()
"""A skin never changes and is asked from many places: what each question needs of it is made once, and goes with it."""
FRAMES_KEPT = 2  # upright, and upside down for lines that go down


def _outside(skin: Skin, caps: bool) -> tuple[np.ndarray, Tree]:
    """Indices of the outside faces, and a tree over them in the shell file's axes."""
    kept = _OUTSIDE.setdefault(skin, {})
    if caps not in kept:
        faces = np.flatnonzero(~skin.void_face if caps else ~skin.void_face & (skin.cap_opening < 0))
        kept[caps] = faces, build_tree(skin.vertices_m[skin.faces[faces]])
    return kept[caps]


def _standing(skin: Skin, frame: PourFrame) -> np.ndarray:
    """Triangles (m, 3, 3) of the skin in standing axes."""
    kept = _STANDING.setdefault(skin, {})
    name = frame.rotation.tobytes() + frame.offset_m.tobytes()
    if name not in kept:
        for old in list(kept)[: 1 - FRAMES_KEPT]:
            del kept[old]
        kept[name] = np.ascontiguousarray(frame.to_standing(skin.vertices_m)[skin.faces])
    return kept[name]
