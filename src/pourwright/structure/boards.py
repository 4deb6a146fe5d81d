"""Boards over whole flat sides of a skin, against which shores or clamps hold it."""

from __future__ import annotations

import math

import numpy as np

from pourwright.fem import ShellModel
from pourwright.structure.balance import pieces_of
from pourwright.structure.model import Prop

FLAT = 0.99  # normals of one flat side: within 8 degrees
SAME_SIDE = 0.9  # normals of two boards of which one does for both
LEAST_FLAT = 6  # vertices that a flat side has at least


class FlatSides:
    """Finds the flat sides of a skin.

    Parameters
    ----------
    model : ShellModel
    floor : (n,) bool, vertices on the ground.
    wall_m : thinnest wall [m].
    side_m : side of its triangles [m].
    """

    def __init__(self, model: ShellModel, floor: np.ndarray, wall_m: float, side_m: float):
        self.vertices, self.triangles, self.area_m2 = model.vertices_m, model.triangles, model.area_m2
        self.middle, self.facing = model.vertices_m[model.triangles].mean(axis=1), model.normals
        self.floor, self.slack_m, self.side_m = floor, max(0.5 * wall_m, 1e-3), side_m

    def under(self, board: Prop) -> np.ndarray:
        """Vertices (n,) bool that a board bears on."""
        return self._on(self._side(board.point_m, board.normal))

    def boards(self, used: np.ndarray, props: tuple[Prop, ...]) -> tuple[Prop, ...]:
        """Boards over the whole of each flat side with a triangle of ``used`` (m,) over 1.

        None where a side is not flat, stands on the ground, or has its board among ``props`` already.
        """
        left = used > 1.0
        for prop in props:
            left &= ~self._side(prop.point_m, prop.normal)
        chosen: list[Prop] = []
        while left.any():
            k = int(np.argmax(np.where(left, used, -1.0)))
            # Triangles at an edge are tilted a little: the plane of their side is the mean of its like.
            like = self._piece(self.facing @ self.facing[k] > FLAT, k)
            area = self.area_m2[like]
            way = area @ self.facing[like]
            way /= np.linalg.norm(way)
            mine = self._side(area @ self.middle[like] / area.sum(), way)
            left[k] = False
            left &= ~(mine | like)
            on = self._on(mine)
            standing = way[2] < -0.3 and bool((on & self.floor).any())  # the ground is its board
            if not standing and on.sum() >= LEAST_FLAT:
                board = self._board(mine, way)
                chosen += [board] if 2 * board.pad_m > 3 * self.side_m else []
        chosen.sort(key=lambda board: -math.prod(board.board_m or (0.0, 0.0)))
        kept: list[Prop] = []
        for board in chosen:
            if not any(_over(other, board, self.side_m) for other in (*props, *kept)):
                kept.append(board)
        return tuple(kept)

    def _piece(self, which: np.ndarray, k: int) -> np.ndarray:
        """Triangles (m,) bool of ``which`` that hang together with triangle ``k``, one of them."""
        piece = pieces_of(self.triangles, which, len(self.vertices))
        return np.asarray(piece == piece[k]) & which

    def _side(self, point: np.ndarray, normal: np.ndarray) -> np.ndarray:
        """Triangles (m,) bool of the flat side at a point: one plane, in one piece."""
        level = np.abs((self.middle - point) @ normal) < self.slack_m
        level &= self.facing @ normal > FLAT
        if not level.any():
            return level
        return self._piece(level, int(np.argmin(np.where(level, np.linalg.norm(self.middle - point, axis=1), np.inf))))

    def _on(self, side: np.ndarray) -> np.ndarray:
        """Vertices (n,) bool of a flat side."""
        mine = np.zeros(len(self.vertices), bool)
        mine[self.triangles[side]] = True
        return mine

    def _board(self, side: np.ndarray, normal: np.ndarray) -> Prop:
        """The rectangle round a flat side, level edges first."""
        level = np.cross([0.0, 0.0, 1.0], normal)
        level = np.array([1.0, 0.0, 0.0]) if np.linalg.norm(level) < 0.2 else level / np.linalg.norm(level)
        up = np.cross(normal, level)
        points = self.vertices[self.triangles[side]].reshape(-1, 3)
        plane = points @ np.stack([level, up], axis=1)
        low, high = plane.min(axis=0), plane.max(axis=0)
        wide, tall = (float(v) for v in high - low)
        middle = 0.5 * (low + high) @ np.stack([level, up]) + float((points @ normal).mean()) * normal
        return Prop(middle, normal, 0.0, 0.5 * min(wide, tall), (wide, tall))


def _over(board: Prop, other: Prop, near_m: float) -> bool:
    """Whether a board already lies over the middle of another: a side whose edges were meshed a little round."""
    if board.board_m is None or board.normal @ other.normal < SAME_SIDE:
        return False
    off = other.point_m - board.point_m
    along = off - (off @ board.normal) * board.normal
    return bool(abs(off @ board.normal) < near_m and np.linalg.norm(along) < 0.5 * math.hypot(*board.board_m))
