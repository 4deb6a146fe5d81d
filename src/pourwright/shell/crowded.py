"""Edges where more than two faces meet: which of them hang together."""

from __future__ import annotations

import numpy as np

from pourwright.shell.topology import Edges, from_vertex, pieces_of, to_vertex

CROWDED_LIMIT, CROWDED_SHARE = 50_000, 0.1
"""Beyond so many crowded edges, and so many to a face, nothing is paired: the mesh is a heap, not a surface."""
TURNS_LIMIT = 2_000_000
"""The same for the turns it takes, which at one edge go with the square of its faces."""


def pair_crowded(vertices: np.ndarray, faces: np.ndarray, edges: Edges, mate: np.ndarray) -> np.ndarray:
    """Mates (3 m,) with those of crowded edges added, for faces wound alike over the mates given.

    Around an edge, open space lies between a face that runs along it upwards and the next one that runs downwards:
    these two belong together, so that an inner and an outer face that touch in an edge stay two surfaces. Where their
    number is odd a fin or a partition ends at the edge: faces of a patch with a free border are left aside first, then
    the pair that encloses most is taken.
    """
    crowded = np.flatnonzero(edges.crowded)
    turns = int((edges.count[crowded].astype(np.int64) ** 2).sum())
    if not len(crowded) or len(crowded) > max(CROWDED_LIMIT, CROWDED_SHARE * len(faces)) or turns > TURNS_LIMIT:
        return mate
    _, patch = pieces_of(mate)
    free = np.zeros(patch.max() + 1, bool)
    free[patch[np.flatnonzero(edges.count[edges.of_face.ravel()] == 1) // 3]] = True
    mate = mate.copy()
    for edge in crowded:
        half = edges.order[edges.start[edge] : edges.start[edge + 1]]
        for a, b in _pairs(vertices, faces, edges.ends[edge], half, free[patch[half // 3]]):
            mate[a], mate[b] = b, a
    return mate


def _pairs(
    vertices: np.ndarray, faces: np.ndarray, ends: np.ndarray, half: np.ndarray, free: np.ndarray
) -> list[tuple[int, int]]:
    if len(half) % 2 and (~free).sum() >= 2:
        half = half[~free]
    low = vertices[ends[0]]
    axis = vertices[ends[1]] - low
    axis = axis / max(float(np.linalg.norm(axis)), 1e-300)
    apex = faces.reshape(-1)[half - half % 3 + (half + 2) % 3]
    arm = vertices[apex] - low
    arm = arm - np.outer(arm @ axis, axis)
    x = arm[0] / max(float(np.linalg.norm(arm[0])), 1e-300)
    angle = np.arctan2(arm @ np.cross(axis, x), arm @ x) % (2 * np.pi)
    order = np.argsort(angle, kind="stable")
    half, angle = half[order], angle[order]
    up = (from_vertex(faces, half) == ends[0]) & (to_vertex(faces, half) == ends[1])
    if len(half) % 2:
        return _widest(half, angle, up)
    pairs = []
    left = list(range(len(half)))
    while len(left) >= 2:
        for k, here in enumerate(left):
            following = left[(k + 1) % len(left)]
            if up[here] and not up[following]:
                break
        else:  # all run the same way: winding is lost here, so neighbours in angle are taken
            here, following = left[0], left[1]
        pairs.append((int(half[here]), int(half[following])))
        left = [n for n in left if n not in {here, following}]
    return pairs


def _widest(half: np.ndarray, angle: np.ndarray, up: np.ndarray) -> list[tuple[int, int]]:
    best, pair = -1.0, (0, 1)
    for i in np.flatnonzero(~up):
        for j in np.flatnonzero(up):
            wide = float((angle[j] - angle[i]) % (2 * np.pi))
            if wide > best:
                best, pair = wide, (int(i), int(j))
    rest = [int(h) for k, h in enumerate(half) if k not in pair]
    pairs = [(int(half[pair[0]]), int(half[pair[1]]))]
    return pairs + [(rest[k], rest[k + 1]) for k in range(0, len(rest) - 1, 2)]
