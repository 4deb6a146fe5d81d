"""What is skin in a dirty mesh: triangles with the outside on one side, and patches over holes.

A triangle with the inside of the piece on both sides is no wall: the part of a body that sticks into another, a piece
of junk. One that is so in part is split until its parts are small. Where inside and outside meet with no triangle
between them there is a hole; it gets the faces of the cells there, so that the wall goes on across it.
"""

from __future__ import annotations

import numpy as np

from pourwright.cavity._compile import kernel
from pourwright.cavity._threads import run_spans, spans
from pourwright.cavity._tree import Tree, nearest_many
from pourwright.cavity._winding import Moments, winding_numbers

LONGEST = 8.0  # cells; longer triangles are split first, so that none hides a part
SHORTEST = 1.0  # cells; shorter ones are not split any more
ASIDE = 0.9  # cells; step off a triangle after which the nearest cell centre lies on that side of it
BESIDE = 0.02  # cells; step for the winding number, which needs no grid
TOGETHER = 200_000  # triangles looked at together
BARE = 0.75  # cells; where inside meets outside, a triangle is due within half a cell
SPOTS = np.array([[1, 1, 1], [4, 1, 1], [1, 4, 1], [1, 1, 4], [3, 3, 0.5], [0.5, 3, 3], [3, 0.5, 3]], float)
SPOTS /= SPOTS.sum(axis=1, keepdims=True)


def _quarter(triangles: np.ndarray) -> np.ndarray:
    """Each triangle in four by the middles of its sides, wound alike."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    ab, bc, ca = 0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a)
    return np.concatenate([np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])


def _longest(triangles: np.ndarray) -> np.ndarray:
    """Length of the longest side of each."""
    return np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)


@kernel
def _by_grid(
    triangles: np.ndarray,
    spots: np.ndarray,
    inside: np.ndarray,
    both: np.ndarray,
    normal: np.ndarray,
    start: int,
    stop: int,
) -> None:
    """Whether the cells on both sides of each of the ``spots`` of triangles are inside, and their unit normals."""
    for m in range(start, stop):
        t = triangles[m]
        u, v = t[1] - t[0], t[2] - t[0]
        n = np.array([u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]])
        length = np.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
        if length > 0.0:
            n /= length
        normal[m] = n
        for s in range(len(spots)):
            held = True
            for side in (ASIDE, -ASIDE):
                i, j, k = 0, 0, 0
                for axis in range(3):
                    at = spots[s, 0] * t[0, axis] + spots[s, 1] * t[1, axis] + spots[s, 2] * t[2, axis]
                    cell = int(np.rint(at + side * n[axis]))
                    held = held and 0 <= cell < inside.shape[axis]
                    i, j, k = j, k, cell
                held = held and inside[i, j, k]
            both[m, s] = held


def _buried(triangles: np.ndarray, inside: np.ndarray, tree: Tree, moments: Moments, turn: int) -> np.ndarray:
    """Whether each of the SPOTS of each triangle has the inside on both sides: (m, spots) bool.

    The grid is asked first; where it says so, the winding number beside the triangle must say so too, since a gap
    narrower than a cell between two skins looks like inside to the grid.
    """
    both = np.empty((len(triangles), len(SPOTS)), np.bool_)
    normal = np.empty((len(triangles), 3))
    run_spans(lambda a, b: _by_grid(triangles, SPOTS, inside, both, normal, a, b), spans(len(triangles), 16_384))
    which, spot = np.nonzero(both)
    points = np.einsum("pk,pkd->pd", SPOTS[spot], triangles[which])
    for side in (BESIDE, -BESIDE):
        w = turn * winding_numbers(tree, moments, points + side * normal[which])
        both[which[w < 0.5], spot[w < 0.5]] = False
    return both


def skin_only(triangles: np.ndarray, inside: np.ndarray, tree: Tree, moments: Moments, turn: int = 1) -> np.ndarray:
    """The parts of ``triangles`` (m, 3, 3), in cell units, that have the outside on one side.

    ``inside`` (nx, ny, nz) bool is the occupancy of the same triangles; ``tree`` and ``moments`` are of all of them.
    """
    kept = [triangles[:0]]
    for start, stop in spans(len(triangles), TOGETHER):
        todo = triangles[start:stop]
        while len(todo):
            length = _longest(todo)
            long = length > LONGEST
            if long.any():
                todo = np.concatenate([todo[~long], _quarter(todo[long])])
                continue
            share = _buried(todo, inside, tree, moments, turn).mean(axis=1)
            small = length <= SHORTEST
            kept.append(todo[(share == 0) | (small & (share < 0.5))])
            todo = _quarter(todo[(share > 0) & (share < 1) & ~small])
    return np.concatenate(kept)


def patches(inside: np.ndarray, tree: Tree) -> np.ndarray:
    """Triangles (m, 3, 3), in cell units, over the faces between inside and outside cells that no triangle backs."""
    found = [np.empty((0, 3, 3))]
    for axis in range(3):
        others = [a for a in range(3) if a != axis]
        corners = np.zeros((4, 3))
        corners[:, others] = [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]
        step = np.zeros(3)
        step[axis] = 0.5

        def meet(a: int, b: int, axis: int = axis) -> np.ndarray:
            part = inside[a : min(b + (axis == 0), len(inside))]
            low, high = np.moveaxis(part, axis, 0)[:-1], np.moveaxis(part, axis, 0)[1:]
            index = np.argwhere(np.moveaxis(low != high, 0, axis))
            index[:, 0] += a
            return index

        faces = np.concatenate(run_spans(meet, spans(len(inside), 16))) + step
        distance, hit, foot = np.empty(len(faces)), np.empty(len(faces), np.int64), np.empty((len(faces), 3))

        def ask(
            a: int,
            b: int,
            faces: np.ndarray = faces,
            d: np.ndarray = distance,
            h: np.ndarray = hit,
            f: np.ndarray = foot,
        ) -> None:
            nearest_many(tree.boxes, tree.triangles, tree.first_leaf, faces, d, h, f, a, b)

        run_spans(ask, spans(len(faces), 4096))
        quads = faces[distance > BARE][:, None] + corners[None]
        found += [quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]]
    return np.concatenate(found)
